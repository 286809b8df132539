@echo off
rem For Windows: press twice in the Explorer. Installs what is needed and opens the page.
setlocal
cd /d "%~dp0.."

set "PYTHON="
for %%v in (3.14 3.13 3.12 3.11) do (
    if not defined PYTHON py -%%v -c "pass" >nul 2>nul && set "PYTHON=py -%%v"
)
if not defined PYTHON (
    python -c "import sys; sys.exit(sys.version_info < (3, 11))" >nul 2>nul && set "PYTHON=python"
)
if not defined PYTHON goto no_python

if not exist ".venv\Scripts\python.exe" (
    echo Preparing the folder .venv ...
    %PYTHON% -m venv .venv || goto failed
)
rem Install again only when the needs changed since the last time.
fc /b pyproject.toml ".venv\.climrisk-needs" >nul 2>nul
if errorlevel 1 (
    echo Installing. The first time this takes about two minutes.
    ".venv\Scripts\python.exe" -m pip install --quiet --disable-pip-version-check --upgrade "pip>=25.1" || goto failed
    ".venv\Scripts\python.exe" -m pip install --quiet --disable-pip-version-check --editable . || goto failed
    copy /y pyproject.toml ".venv\.climrisk-needs" >nul
)
echo The page opens in your browser. Close this window to end it.
".venv\Scripts\python.exe" -c "from climrisk.web.tasks import warm; warm()"
".venv\Scripts\climrisk.exe" serve %* || goto failed
exit /b 0

:no_python
echo climrisk needs Python 3.11 or newer, which was not found on this computer.
echo.
echo 1. Open https://www.python.org/downloads/ and press the yellow button.
echo 2. Open the file that was downloaded. Tick "Add python.exe to PATH", then "Install Now".
echo 3. Press page.bat twice again.
echo.
pause
start "" "https://www.python.org/downloads/"
exit /b 2

:failed
echo.
echo That did not work; what went wrong stands above.
echo If it says that the network cannot be reached, try again when it can.
pause
exit /b 1
