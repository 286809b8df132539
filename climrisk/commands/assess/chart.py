"""The year strip: night minima through the growing year against a plant's limits."""

from __future__ import annotations

from datetime import date

from climrisk.commands.assess.result import AssessResult, AssessSeveral
from climrisk.core.days import day_in_words
from climrisk.core.quantities import DEGREES, TEMPERATURE, number
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, ORANGE, draw_limits, styled
from climrisk.render.charts.units import axes_of
from climrisk.render.document import SeasonBand

_DASHES = ("solid", "dash", "dot", "dashdot")
#: Least distance of two names in the margin, in kelvin of a usual picture, and the
#: letters that the margin holds.
_NAME_K, _NAME_MOST = 2.2, 24
#: Least days indoors whose two dates fit between their lines on a phone.
_DATES_WITHIN_DAYS = 150


def year_strip(result: AssessResult, today: date | None = None) -> Chart:
    """Draw the spread of night minima by week against the plant's limits."""
    weeks = [w for w in result.year_strip if w.mid_c is not None]
    x = [_season_day(w.starts, result.year_strip) for w in weeks]
    figure = Chart()
    figure.add_scatter(
        x=x,
        y=[w.high_c for w in weeks],
        mode="lines",
        line={"width": 0},
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=x,
        y=[w.low_c for w in weeks],
        mode="lines",
        line={"width": 0},
        fill="tonexty",
        fillcolor=BLUES[0],
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=x,
        y=[w.mid_c for w in weeks],
        mode="lines",
        line={"color": BLUES[3], "width": 2.5},
        hovertemplate="week of %{x|%d %b}: middle night %{y:.1f} "
        + DEGREES
        + "<extra></extra>",
    )
    figure.add_scatter(
        x=x,
        y=[w.coldest_c for w in weeks],
        mode="markers",
        marker={
            "symbol": "line-ew",
            "size": 9,
            "line": {"width": 2, "color": BLUES[2]},
        },
        hovertemplate="week of %{x|%d %b}: coldest night %{y:.1f} "
        + DEGREES
        + "<extra></extra>",
    )
    _limit_lines(figure, result)
    _within(figure, result)
    _strip_labels(figure, weeks, x)
    _moves(figure, result)
    if today is not None:
        _today(figure, today, result.year_strip)
    axes_of(figure, y=TEMPERATURE)
    return styled(
        figure,
        height=430,
        y_title=f"night minimum, {DEGREES}",
        months=result.year_strip,
        top=48,
    )


def strips_together(result: AssessSeveral) -> Chart:
    """Draw the spread of night minima once, with the minimum of every plant across."""
    first = result.choices[0].result
    bare = first.model_copy(
        update={
            "plant": first.plant.model_copy(
                update={"limits": dict.fromkeys(first.plant.limits)}
            ),
            "move_in": first.move_in.model_copy(update={"month_day": None}),
            "watch_from": None,
        }
    )
    figure = year_strip(bare)
    lines: dict[float, list[str]] = {}
    for choice in result.choices:
        limit = choice.result.plant.limits["preferred"]
        if limit is not None:
            lines.setdefault(limit.value, []).append(choice.kind)
    _named_lines(figure, lines)
    figure.update_layout(margin={"r": 200})
    return figure


def _named_lines(figure: Chart, lines: dict[float, list[str]]) -> None:
    """Draw minima right across, each named on one line in the margin."""
    values = sorted(lines)
    places = list(values)
    # From the lowest up, each name keeps its distance; then all move down by half.
    for i in range(1, len(places)):
        places[i] = max(places[i], places[i - 1] + _NAME_K)
    pushed = max(p - v for p, v in zip(places, values, strict=True))
    for value, place, dash in zip(values, places, _DASHES * len(values), strict=False):
        figure.add_hline(y=value, line={"color": ORANGE, "width": 2, "dash": dash})
        names = list(dict.fromkeys(lines[value]))
        words = names[0] if len(names[0]) <= _NAME_MOST else names[0][: _NAME_MOST - 1]
        words += "…" if len(names) > 1 or words != names[0] else ""
        # A phone has room for the degrees alone: the words are a hint.
        for text, shift, name in (
            (f"<b>{number(TEMPERATURE, value)}</b>", 6, None),
            (words, 38, "hint"),
        ):
            figure.add_annotation(
                x=1.0,
                xref="paper",
                y=place - pushed / 2,
                text=text,
                name=name,
                showarrow=False,
                xanchor="left",
                xshift=shift,
                align="left",
                font={"color": ORANGE, "size": 12},
            )


def _season_day(starts: str, weeks: list[SeasonBand]) -> str:
    """Return a date of a nominal growing year, so that months follow one another."""
    month, day = (int(p) for p in starts.split("-"))
    first = int(weeks[0].starts[:2])
    return date(2001 if month >= first else 2002, month, day).isoformat()


def _limit_lines(figure: Chart, result: AssessResult) -> None:
    lines = []
    for kind, words, dash in (
        ("preferred", "prefers", "solid"),
        ("tolerated", "tolerates", "dash"),
    ):
        row = result.plant.limits[kind]
        if row is not None:
            about = "<br>(estimate)" if row.basis == "estimate" else ""
            lines.append((row.value, words + about, dash))
    draw_limits(figure, lines)


def _within(figure: Chart, result: AssessResult) -> None:
    """Let the picture reach down or up to the limits, where its nights do not."""
    rows = [result.plant.limits[kind] for kind in ("preferred", "tolerated")]
    limits = [row.value for row in rows if row is not None]
    bands = [(w.coldest_c, w.high_c) for w in result.year_strip]
    nights = [v for pair in bands for v in pair if v is not None]
    if limits and nights:
        least, most = min(nights), max(nights)
        if min(limits) < least or max(limits) > most:
            low, high = min(*limits, least), max(*limits, most)
            figure.update_yaxes(range=[low - 1.5, high + 1.5])


def _strip_labels(figure: Chart, weeks: list[SeasonBand], x: list[str]) -> None:
    """Name band, middle and coldest at the picture, in place of a legend.

    The growing year begins in summer, where the picture has room.
    """
    if len(weeks) < 12:
        return
    top = max(w.high_c for w in weeks[:11] if w.high_c is not None)
    for week, value, text, shift in (
        (0, top, "8 nights in 10 are in the shaded range", 10),
        (9, weeks[9].mid_c, "middle night", 12),
        (0, _least(weeks[:8]), "coldest seen in each week", -14),
    ):
        figure.add_annotation(
            x=x[week],
            y=value,
            text=text,
            name="hint",
            showarrow=False,
            yshift=shift,
            xanchor="left",
            font={"color": INK, "size": 12},
            bgcolor="rgba(255,255,255,0.7)" if shift < 0 else None,
        )


def _least(weeks: list[SeasonBand]) -> float:
    return min(w.coldest_c for w in weeks if w.coldest_c is not None)


def _moves(figure: Chart, result: AssessResult) -> None:
    """Shade the time indoors between the two dates, or mark the time to watch."""
    words = ("in by", "out from")
    days = result.move_in.month_day, result.move_out.month_day
    inside = None not in days
    if not inside and result.watch_from is not None and result.watch_until is not None:
        words = ("watch from", "until")
        days = result.watch_from.month_day, result.watch_until.month_day
    first, last = days
    if first is None or last is None:
        return
    begin, end = (_season_day(d, result.year_strip) for d in (first, last))
    if begin >= end:
        return
    if inside:
        figure.add_vrect(
            x0=begin, x1=end, fillcolor="#f3efe8", line={"width": 0}, layer="below"
        )
    stay = (date.fromisoformat(end) - date.fromisoformat(begin)).days
    sides = ("left", "right") if stay >= _DATES_WITHIN_DAYS else ("right", "left")
    for at, day, word, anchor in zip(
        (begin, end), (first, last), words, sides, strict=True
    ):
        figure.add_vline(x=at, line={"color": INK, "width": 1.5, "dash": "dot"})
        figure.add_annotation(
            x=at,
            y=1.0,
            yref="paper",
            text=f"{word}<br><b>{day_in_words(day, brief=True)}</b>",
            align=anchor,
            showarrow=False,
            xanchor=anchor,
            yanchor="bottom",
            font={"size": 13, "color": INK},
        )


def _today(figure: Chart, today: date, weeks: list[SeasonBand]) -> None:
    starts = f"{today.month:02d}-{min(today.day, 28):02d}"
    at = _season_day(starts, weeks)
    figure.add_annotation(
        x=at,
        y=0,
        yref="paper",
        text="▲ today",
        showarrow=False,
        yanchor="bottom",
        font={"size": 12, "color": INK},
    )
