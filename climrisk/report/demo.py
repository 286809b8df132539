"""The demo home's report and calendar, as files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from climrisk import __version__
from climrisk.errors import InputError
from climrisk.output_paths import check_outputs
from climrisk.plants.registry import short_name
from climrisk.report import agenda
from climrisk.report.answer import Answer, Part, Rows, Words, spoken
from climrisk.report.calendar_text import today_line
from climrisk.report.pages import home_page
from climrisk.report.sheet import calendar_sheet
from climrisk.report.write import write_file
from climrisk.result.assess import AssessResult
from climrisk.result.calendar import CalendarResult
from climrisk.result.demo import DemoResult
from climrisk.result.winter import WinterResult

#: Of the report, its calendar, its table and its sheet to print.
_NAMES = ("report.html", "moves.ics", "months.csv", "sheet.html")


def demo_answer(
    result: DemoResult, calendar: CalendarResult, assessed: Sequence[AssessResult]
) -> Answer:
    """Return what should be inside, the verdicts, and where the report lies."""
    rows = []
    for one in assessed:
        into, out = one.move_in.month_day, one.move_out.month_day
        dates = (
            f"; in by {spoken(into)}, out from {spoken(out)}" if into and out else ""
        )
        name = short_name(one.plant.name)
        rows.append((name, one.spot.at, f"{one.verdict.word}{dates}"))
    parts: list[Part] = [
        Rows(rows, rank=1, least=3, what="more plant"),
        Words("All of this is invented weather in an invented town."),
        Words(f"Report: {result.report}"),
        Words(
            f"Written beside it: {', '.join(Path(f).name for f in result.files[1:])}."
        ),
    ]
    return Answer(today_line(calendar), parts, "every sentence", calendar.cautions)


def demo_text(result: DemoResult) -> str:
    """Return every sentence of the report, and its files."""
    lines = ["\n\n".join(result.sentences), ""]
    lines.append("Everything above is about invented weather in an invented town.")
    lines += [f"Written: {path}" for path in result.files[1:]]
    return "\n".join([*lines, f"Report: {result.report}"])


def make_demo_folder(folder: Path) -> None:
    """Make the folder of the report, and check that the report can go there.

    Raises
    ------
    InputError
        The folder cannot be made or written, or holds something else by a name needed.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            "cannot make the folder", where="--out", value=folder
        ) from error
    check_outputs({f"--out, {name}": folder / name for name in _NAMES}, ())


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
        A file cannot be written.
    """
    texts: tuple[str | bytes, ...] = (
        home_page(calendar.home, calendar, assessed, winter, today),
        agenda.calendar_ics(calendar),
        agenda.calendar_csv(calendar),
        calendar_sheet(calendar),
    )
    files = [
        write_file(folder / name, text, option="--out")
        for name, text in zip(_NAMES, texts, strict=True)
    ]
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
