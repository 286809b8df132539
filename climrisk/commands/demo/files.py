"""The demo home's report and calendar, as files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from climrisk.commands.assess.result import AssessResult
from climrisk.commands.calendar import exports
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.sheet import calendar_sheet
from climrisk.commands.calendar.text import today_line
from climrisk.commands.demo.page import home_page
from climrisk.commands.demo.result import DemoResult
from climrisk.commands.winter.result import WinterResult
from climrisk.core.errors import InputError
from climrisk.core.output_paths import check_outputs
from climrisk.core.references import field
from climrisk.core.typed_text import typed
from climrisk.core.version import __version__
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, spoken
from climrisk.render.display_units import shown
from climrisk.render.write import write_file

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
            "cannot make the folder", where=field("out"), value=folder
        ) from error
    check_outputs({f"{field('out')}, {name}": folder / name for name in _NAMES}, ())


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
    lines = [(r.verdict.word.upper(), typed(r.verdict.sentence)) for r in assessed]
    sentences = [calendar.sentence, *(f"{a}. {b}" for a, b in lines), winter.sentence]
    calendar, assessed, winter = shown((calendar, tuple(assessed), winter))
    texts: tuple[str | bytes, ...] = (
        home_page(calendar.home, calendar, assessed, winter, today),
        exports.calendar_ics(calendar),
        exports.calendar_csv(calendar),
        calendar_sheet(calendar),
    )
    files = [
        write_file(folder / name, text, option=field("out"))
        for name, text in zip(_NAMES, texts, strict=True)
    ]
    return DemoResult(
        command="demo",
        version=__version__,
        report=str(Path(files[0]).resolve()),
        files=files,
        sentences=sentences,
    )
