#!/bin/sh
# For macOS: press twice in the Finder. Installs what is needed and opens the page.
cd "$(dirname "$0")/.." || exit 1
for python in python3.14 python3.13 python3.12 python3.11 python3; do
    if command -v "$python" >/dev/null 2>&1 &&
        "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
        PYTHON=$(command -v "$python")
        export PYTHON
        sh scripts/page "$@"
        status=$?
        [ "$status" -eq 0 ] && exit 0
        echo
        echo "The page has ended with an error; what it says stands above."
        printf "Press Return to close this window. "
        read -r _
        exit "$status"
    fi
done
echo "climrisk needs Python 3.11 or newer, which was not found on this Mac."
echo
echo "1. Open https://www.python.org/downloads/ and press the yellow button."
echo "2. Open the file that was downloaded and follow it to its end."
echo "3. Press page.command twice again."
echo
printf "Press Return to open that address now, or Ctrl+C to leave. "
read -r _
open "https://www.python.org/downloads/"
exit 2
