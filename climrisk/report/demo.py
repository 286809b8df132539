"""The demo home's report and calendar, as files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from climrisk import __version__
from climrisk.errors import InputError
from climrisk.report import agenda
from climrisk.report.pages import home_page
from climrisk.report.sheet import calendar_sheet
from climrisk.report.write import write_file
from climrisk.result.assess import AssessResult
from climrisk.result.calendar import CalendarResult
from climrisk.result.demo import DemoResult
from climrisk.result.winter import WinterResult


def write_demo(
    folder: Path,
    today: date,
    calendar: CalendarResult,
    assessed: Sequence[AssessResult],
    winter: WinterResult,
) -> DemoResult:
    """Write the report of a home and return where it lies.

    Raises
    ------
    InputError
        The folder cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "cannot make the folder", where="--out", value=folder
        ) from error
    page = home_page(calendar.home, calendar, assessed, winter, today)
    files = [
        write_file(folder / "report.html", page, option="--out"),
        write_file(folder / "moves.ics", agenda.calendar_ics(calendar), option="--out"),
        write_file(
            folder / "months.csv", agenda.calendar_csv(calendar), option="--out"
        ),
    ]
    sheet = write_file(folder / "sheet.html", calendar_sheet(calendar), option="--out")
    files.append(sheet)
    sentences = [calendar.sentence]
    sentences += [f"{r.verdict.word.upper()}. {r.verdict.sentence}" for r in assessed]
    sentences.append(winter.sentence)
    return DemoResult(
        command="demo",
        version=__version__,
        report=str(Path(files[0]).resolve()),
        files=files,
        sentences=sentences,
    )
