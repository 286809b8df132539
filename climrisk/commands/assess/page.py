"""The page of an assessment, or of several side by side."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial

from climrisk.advice.verdict import span as month_span
from climrisk.commands.assess.chart import strips_together, year_strip
from climrisk.commands.assess.date_chart import risk_dates
from climrisk.commands.assess.evidence_tables import evidence_tables
from climrisk.commands.assess.result import AssessResult, AssessSeveral, ConditionInfo
from climrisk.commands.assess.several_text import HEADER, month_row, several_row
from climrisk.commands.assess.sun_chart import sun_clock
from climrisk.commands.assess.text import (
    COLD_HEADER,
    EXTREME_HEADER,
    cold_rows,
    extreme_rows,
    night_rows,
    risk_rows,
)
from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.dates_text import inside_now, read_as_lines, words
from climrisk.commands.shared.light_text import (
    clock_rows,
    dry_header,
    dry_rows,
    light_header,
    light_lines,
    light_rows,
)
from climrisk.commands.shared.verdict_text import (
    ROOM_WORDS,
    ROOMS,
    STATE_WORDS,
    beside,
    month_cells,
)
from climrisk.commands.shared.wind_text import (
    HELPS_HEADER,
    helps_rows,
    month_header,
    month_rows,
    wind_lines,
)
from climrisk.core.calendar import today_here
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.core.wording import month_heads
from climrisk.render.answer import spoken
from climrisk.render.display_units import temperature
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of
from climrisk.render.text import or_unknown, span


def assess_section(result: AssessResult, number: int, today: date) -> Section:
    """Return the section of an assessment: verdict, year strip, months, numbers."""
    return Section(
        f"{result.plant.name} {result.spot.at}",
        result.verdict.sentence,
        result.verdict.word,
        _reasons(result),
        [
            Picture(
                f"strip{number}",
                partial(year_strip, result, today),
                "Night minima at the spot by week: the line is the middle night, the "
                "shaded range holds 8 nights in 10, a dash is the coldest seen. "
                "Across: the night minimum it prefers, and the coldest night it "
                "tolerates. " + _shaded(result),
            ),
            *_risk_picture(result, number),
            *_sun_picture(result, number),
        ],
        [
            _months(result),
            _dates(result),
            *_places(result),
            *_conditions(result),
            _nights(result),
            *_behind(result),
        ],
        may_be=result.verdict.may_be or "",
        beside=[
            *beside(result.verdict.basis),
            *(["every cold night counts as harmful"] if result.verdict.strict else []),
        ],
    )


def _reasons(result: AssessResult) -> list[str]:
    flowering, wanted = result.flowering, result.wanted
    verb = f"is {flowering.word}"
    if flowering.word == "cannot say":
        verb = "cannot be judged"
    lines = [
        *read_as_lines(result.plant),
        *result.verdict.reasons[1:],
        f"Flowering {verb}: {flowering.reason}.",
    ]
    if wanted is not None and f"{temperature(wanted.high_c)}" not in flowering.reason:
        lines.append(wanted.sentence)
    sun = result.light.first_sun
    return [*lines, *([sun.sentence] if sun.sentence and sun.warn else [])]


def _shaded(result: AssessResult) -> str:
    if result.move_in.month_day is not None and result.move_out.month_day is not None:
        return "Shaded: the time indoors."
    if result.watch_from is not None:
        return "Between the dotted lines single nights are harmful: watch."
    return ""


def _months(result: AssessResult) -> Table:
    caption = "Month by month"
    if result.months_basis == "typical year":
        caption += " in a typical year"
    if result.spot.kind in ROOMS:
        caption += f" ({ROOM_WORDS})"
    elif "watch" in result.months.values():
        caption += f" ({STATE_WORDS})"
    return Table(
        caption,
        ["", *_names(result)],
        [("state", *month_cells(*states_of(result)))],
        kind="year",
    )


def states_of(result: AssessResult) -> tuple[dict[str, str], dict[str, str]]:
    """Return the states of the months, and the days on which they change."""
    notes = {m: r.note for m, r in result.month_details.items() if r.note}
    return dict(result.months), notes


def _names(result: AssessResult) -> list[str]:
    return month_heads(result.months)


def _nights(result: AssessResult) -> Table:
    limits = result.plant.limits
    prefers, tolerates = limits["preferred"], limits["tolerated"]
    words = "Cold nights and harmful nights"
    if prefers is not None and tolerates is not None:
        words += (
            f" (below {temperature(prefers.value)} and below "
            f"{temperature(tolerates.value)})"
        )
    rows = night_rows(result)
    return Table(words, ["", *_names(result)], rows, kind="year counts")


def _places(result: AssessResult) -> list[Table]:
    """Return where the plant stands through the year, where that is not one place."""
    found = result.verdict
    inside, away = found.months_in, found.retreat_months
    stays = [int(m) for m in result.months if int(m) not in (*inside, *away)]
    if not stays or found.word in ("poor match", "cannot say") or not (inside or away):
        return []
    into, out = result.move_in, result.move_out
    rows = [(result.spot.words, month_span(stays))]
    if inside:
        winter = month_span(inside)
        if into.month_day is not None and out.month_day is not None:
            winter = f"{words(into)} to {words(out)}"
            if not away:
                rows = [(result.spot.words, f"{words(out)} to {words(into)}")]
        tried = " (assumed: the home names no room)" if found.rooms_assumed else ""
        rows.append((f"{found.room or 'indoors'}{tried}", winter))
    if away:
        rows.append((f"{found.retreat}, from the heat", month_span(away)))
    return [Table("Where it is", ["place", "when"], rows)]


_CONDITIONS = {
    "light": "a lamp",
    "single nights": "single nights",
    "heat": "heat",
    "dry air": "dry air",
    "retreat": "summer retreat",
}


def _conditions(result: AssessResult) -> list[Table]:
    rows = [
        (_CONDITIONS[c.kind], _when(c), _what(c, result))
        for c in result.verdict.conditions
    ]
    return [Table("What else it needs", ["", "when", "what to do"], rows)] * bool(rows)


def _when(condition: ConditionInfo) -> str:
    months = condition.months
    return "all year" if len(months) == 12 else month_span(months) if months else ""


def _what(condition: ConditionInfo, result: AssessResult) -> str:
    need = result.light_need
    if condition.kind != "light" or need.darkest_mol_m2 is None:
        return condition.words
    month = MONTH_NAMES[(need.darkest_month or 1) - 1]
    return (
        f"{condition.lamp_h} h a day in {month}, fewer in brighter months: daylight "
        f"gives {need.darkest_mol_m2:.1f} mol/m² a day then, and it needs "
        f"{need.floor_mol_m2:g}"
    )


def _dates(result: AssessResult) -> Table:
    into, out = result.move_in, result.move_out
    rows = [_date_row("inside by", into), _date_row("out from", out)]
    lives_there = result.verdict.word not in ("poor match", "cannot say")
    if lives_there and inside_now(into, out):
        rows[0] = (*rows[0][:2], "should be inside now", rows[0][3])
    if result.watch_from is not None and result.watch_until is not None:
        rows = [
            _date_row("watch from", result.watch_from),
            _date_row("watch until", result.watch_until),
        ]
    elif into.status == out.status == "never":
        rows = [("moves", "stays here all year", "", "no month is too cold")]
    usual, prefers = result.usual, result.plant.limits["preferred"]
    if prefers is not None:
        why = f"in the median winter, below the {temperature(prefers.value)} it prefers"
        for name, day in (
            ("first cold night", usual.first_cold_night),
            ("last cold night", usual.last_cold_night),
        ):
            if day is not None:
                rows.append((name, spoken(day), "", why))
    return Table("Dates", ["", "date", "next", "why"], rows)


def _date_row(name: str, row: Move) -> tuple[str, str, str, str]:
    return (name, words(row), row.next_date or "", row.why)


def _behind(result: AssessResult) -> list[Table]:
    """Return the tables that stand folded behind the answer."""
    tables = [
        Table("Hours too cold (low to high)", COLD_HEADER, cold_rows(result)),
        Table("The coldest of the record", EXTREME_HEADER, extreme_rows(result)),
        *_risk_tables(result),
        Table(
            "Wind and light at the spot",
            ["what"],
            [(w,) for w in (*wind_lines(result.wind), *light_lines(result.light))],
        ),
        *_wind_tables(result),
        Table(
            "Light at the spot, month by month",
            light_header(result.light),
            light_rows(result.light),
            kind="year counts",
        ),
        *_sun_tables(result),
        Table(
            "Dry air, hours a year (low to high)",
            dry_header(result.dryness),
            dry_rows(result.dryness),
        ),
        *evidence_tables(result),
        Table(
            f"Night minima by week, {DEGREES}",
            ["week from", "low", "middle", "high", "coldest seen"],
            [
                (
                    w.starts,
                    *(or_unknown(v) for v in (w.low_c, w.mid_c, w.high_c, w.coldest_c)),
                )
                for w in result.year_strip
            ],
        ),
    ]
    return [replace(t, folded=True) for t in tables]


def _risk_picture(result: AssessResult, number: int) -> list[Picture]:
    if not result.risk_curve.autumn and not result.risk_curve.spring:
        return []
    words = (
        "The risk of a harmful night by the date of the move: line, from the winters "
        "seen; shade, 8 chances in 10 with other winters of the same climate and what "
        "is not known of the spot; diamond, the date advised. Spring takes the higher "
        "risk, because a plant put out too early is carried back in."
    )
    return [Picture(f"risk{number}", partial(risk_dates, result), words, extra=True)]


def _sun_picture(result: AssessResult, number: int) -> list[Picture]:
    if result.light.facing_deg is None:
        return []
    words = (
        "When the sun reaches the spot, local standard time: dark where it shines on "
        "two days in three or more, lighter on one in three, palest on few. The days "
        "without it are cloudy; the hours without it are shaded."
    )
    return [
        Picture(f"sun{number}", partial(sun_clock, result.light), words, extra=True)
    ]


def _sun_tables(result: AssessResult) -> list[Table]:
    rows = clock_rows(result.light)
    if result.light.facing_deg is None or not rows:
        return []
    words = "Days with sun in the hour from, %"
    return [Table(words, light_header(result.light), rows, folded=True)]


def _risk_tables(result: AssessResult) -> list[Table]:
    rows = result.risk_curve.by_risk
    tail = result.winters.tail
    out = []
    if rows:
        out.append(
            Table(
                "Dates by risk, with the days between which each may lie",
                ["risk", "inside by", "between", "out from", "between"],
                risk_rows(result),
            )
        )
    if tail.levels:
        out.append(
            Table(
                f"Coldest night at the spot, {tail.why}",
                ["once in so many winters", f"lowest {DEGREES}"],
                [
                    (r.once_in_winters, span(r.lowest_c, 1, TEMPERATURE))
                    for r in tail.levels
                ],
            )
        )
    return out


def _wind_tables(result: AssessResult) -> list[Table]:
    thrown = result.wind.toppling
    if thrown is None:
        return []
    out = [Table("What keeps the pot standing", HELPS_HEADER, helps_rows(thrown))]
    if thrown.expected_nights_by_month:
        words = "Nights on which the pot may fall, on average"
        out.insert(0, Table(words, month_header(thrown), month_rows(thrown)))
    return out


def assess_sheet(result: AssessResult, today: date) -> Page:
    """Return an assessment as a page."""
    return page_of(
        result,
        f"{result.plant.name}: {result.verdict.word}",
        f"{result.spot.words}, {result.weather.source}",
        [assess_section(result, 1, today)],
    )


def open_sheet(result: AssessResult | AssessSeveral, today: date) -> Page:
    """Return the answer for a plant, or those of all that a name may mean."""
    if isinstance(result, AssessResult):
        return assess_sheet(result, today)
    return several_sheet(result)


def several_sheet(result: AssessSeveral) -> Page:
    """Return answers side by side as a page."""
    months = list(result.choices[0].result.months)
    names = month_heads(months)
    kinds = dict.fromkeys((c.kind, c.line) for c in result.choices)
    section = Section(
        result.question,
        result.sentence,
        reasons=[f"{kind}: {line}" for kind, line in kinds],
        figures=[
            Picture(
                "strips1",
                strips_together(result),
                "Night minima at the spot, week by week, over all years, the same for "
                "every plant; across, the night minimum that each prefers.",
            )
        ],
        tables=[
            Table("Side by side", HEADER, [several_row(c) for c in result.choices]),
            Table(
                "Month by month",
                ["plant", *names],
                [(c.name, *month_cells(*states_of(c.result))) for c in result.choices],
                kind="year",
            ),
            Table(
                "Years with a harmful night, colder than it tolerates",
                ["plant", *names],
                [month_row(c, months) for c in result.choices],
                kind="year counts",
            ),
            Table("What next", ["step"], [(_next_step(result),)]),
        ],
    )
    return page_of(
        result,
        f"{result.asked}: {result.why}",
        result.choices[0].result.spot.words,
        [section],
    )


def _next_step(result: AssessSeveral) -> str:
    if result.why == "no profile":
        near = "; ".join(result.nearest)
        return (
            f"Spelled otherwise? The nearest names: {near}. Or check a plant of the "
            "class that its limits fit."
        )
    return "Check it again by its full name in the list above."


def exports(result: AssessResult, today: date | None = None) -> Exports:
    """Return page, chart and table of an assessment."""
    return Exports(
        sheet=partial(assess_sheet, result, today or today_here()),
        figure=partial(year_strip, result),
        title=f"{result.plant.name} {result.spot.at}: {result.verdict.word}",
        words="",
        header=["week_from", "low_c", "mid_c", "high_c", "coldest_c"],
        rows=lambda: [
            (w.starts, w.low_c, w.mid_c, w.high_c, w.coldest_c)
            for w in result.year_strip
        ],
        weather=result.weather,
    )


def several_exports(result: AssessSeveral) -> Exports:
    """Return page, chart and table of answers side by side."""
    return Exports(
        sheet=partial(several_sheet, result),
        figure=partial(strips_together, result),
        title=f"{result.asked}: {result.question}",
        words="",
        header=list(HEADER),
        rows=lambda: [several_row(c) for c in result.choices],
        weather=result.weather,
    )
