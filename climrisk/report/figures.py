"""Results as pictures; the only file that draws.

Blue is cold, orange is warm, dark is more; shapes and direct labels say the same, so
that no color is needed. Every number drawn stands in the result.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from climrisk.result.assess import AssessResult, SeasonBand
from climrisk.result.winter import NightRow, WinterResult
from climrisk.seasons import MONTH_NAMES

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

INK, PAPER, GRID = "#17212b", "#ffffff", "#e3e7ea"
BLUES = ("#dbe8f2", "#8fb8d6", "#3f7fae", "#123f66")
ORANGE, MUTED = "#b4540a", "#5b6770"
FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif"

#: Without the plot library's own tools, sharing and logo.
CONFIG: dict[str, Any] = {
    "displayModeBar": False,
    "displaylogo": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": False,
}


def year_strip(result: AssessResult, today: date | None = None) -> Figure:
    """Draw the spread of night minima by week against the plant's limits."""
    import plotly.graph_objects as go

    weeks = [w for w in result.year_strip if w.mid_c is not None]
    x = [_season_day(w.starts, result.year_strip) for w in weeks]
    figure = go.Figure()
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
        hovertemplate="week of %{x|%d %b}: middle night %{y:.1f} °C<extra></extra>",
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
        hovertemplate="week of %{x|%d %b}: coldest night %{y:.1f} °C<extra></extra>",
    )
    _limit_lines(figure, result)
    _strip_labels(figure, weeks, x)
    _moves(figure, result)
    if today is not None:
        _today(figure, today, result.year_strip)
    return _styled(
        figure, height=430, y_title="night minimum, °C", months=result.year_strip
    )


def _season_day(starts: str, weeks: list[SeasonBand]) -> str:
    """Return a date of a nominal growing year, so that months follow one another."""
    month, day = (int(p) for p in starts.split("-"))
    first = int(weeks[0].starts[:2])
    return date(2001 if month >= first else 2002, month, day).isoformat()


def _limit_lines(figure: Figure, result: AssessResult) -> None:
    limits = result.plant.limits
    lines = [
        (row.value, kind, dash)
        for kind, dash in (("preferred", "solid"), ("tolerated", "dash"))
        if (row := limits[kind]) is not None
    ]
    _draw_limits(figure, lines)


#: Least distance of two limits' names in the margin, in kelvin of a usual picture.
_LABEL_K = 4.0


def _draw_limits(figure: Figure, lines: list[tuple[float, str, str]]) -> None:
    """Draw limits right across and name them in the margin, where nothing covers them.

    Names of close limits are pushed apart, the higher up.
    """
    order = sorted(lines)
    places = [value for value, _, _ in order]
    for i in range(1, len(places)):
        lack = _LABEL_K - (places[i] - places[i - 1])
        if lack > 0:
            places[i - 1] -= lack / 2
            places[i] += lack / 2
    for (value, words, dash), place in zip(order, places, strict=True):
        figure.add_hline(y=value, line={"color": ORANGE, "width": 2, "dash": dash})
        figure.add_annotation(
            x=1.0,
            xref="paper",
            y=place,
            text=f"{words}<br><b>{value:g} °C</b>" if words else f"<b>{value:g} °C</b>",
            showarrow=False,
            xanchor="left",
            xshift=6,
            align="left",
            font={"color": ORANGE, "size": 13},
        )


def _strip_labels(figure: Figure, weeks: list[SeasonBand], x: list[str]) -> None:
    """Name band, middle and coldest at the picture, in place of a legend.

    The growing year begins in summer, where the picture has room.
    """
    if len(weeks) < 12:
        return
    top = max(w.high_c for w in weeks[:11] if w.high_c is not None)
    for week, value, text, shift in (
        (0, top, "8 nights in 10 lie in the band", 10),
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


def _moves(figure: Figure, result: AssessResult) -> None:
    """Shade the time indoors between the two dates."""
    into, out = result.move_in.month_day, result.move_out.month_day
    if into is None or out is None:
        return
    begin, end = (_season_day(d, result.year_strip) for d in (into, out))
    if begin >= end:
        return
    figure.add_vrect(
        x0=begin, x1=end, fillcolor="#f3efe8", line={"width": 0}, layer="below"
    )
    for at, word, anchor in ((begin, "in by", "left"), (end, "out from", "right")):
        figure.add_vline(x=at, line={"color": INK, "width": 1.5, "dash": "dot"})
        figure.add_annotation(
            x=at,
            y=1.0,
            yref="paper",
            text=f"{word}<br><b>{_spoken(into if word == 'in by' else out)}</b>",
            align=anchor,
            showarrow=False,
            xanchor=anchor,
            yanchor="bottom",
            font={"size": 13, "color": INK},
        )


def _spoken(month_day: str) -> str:
    month, day = month_day.split("-")
    return f"{int(day)} {MONTH_NAMES[int(month) - 1][:3]}"


def _today(figure: Figure, today: date, weeks: list[SeasonBand]) -> None:
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


def winter_ladder(result: WinterResult) -> Figure:
    """Draw one winter: a bar a night from its lowest to its evening temperature."""
    import plotly.graph_objects as go

    figure = go.Figure()
    key = f"{result.thresholds[0].threshold_c:g}"
    for kind, shape, words in (
        ("still", "", "clear, still"),
        ("mixed", ".", "mixed"),
        ("windy", "/", "windy or overcast"),
    ):
        for shade in BLUES:
            rows = [
                n
                for n in result.nights
                if n.kind == kind
                and n.lowest_c is not None
                and _shade(n.hours_below[key]) == shade
            ]
            if rows:
                figure.add_bar(**_bars(rows, shade, shape, f"{key} °C, {words}", key))
    _gaps(figure, result)
    lines = [
        (row.threshold_c, row.words, "dash" if i else "solid")
        for i, row in enumerate(result.thresholds[:4])
    ]
    _draw_limits(figure, lines)
    _worst(figure, result)
    figure.update_layout(barmode="overlay")
    return _styled(figure, height=470, y_title="°C", months=None)


#: Least distance of two labels, in days of a winter's width.
_LABEL_DAYS = 10


def _worst(figure: Figure, result: WinterResult) -> None:
    """Name the five coldest nights below the picture, each with a thread to its bar."""
    nights = sorted(result.worst, key=lambda n: n.evening)
    if not nights:
        return
    days = [date.fromisoformat(n.evening) for n in nights]
    first = date.fromisoformat(result.nights[0].evening)
    last = date.fromisoformat(result.nights[-1].evening)
    at = _apart([(d - first).days for d in days], _LABEL_DAYS, (last - first).days)
    lowest = min(n.lowest_c or 0.0 for n in result.worst)
    rank = {n.evening: i for i, n in enumerate(result.worst)}
    for night, place in zip(nights, at, strict=True):
        day = date.fromisoformat(night.evening)
        figure.add_annotation(
            x=night.evening,
            y=night.lowest_c,
            ax=(first + timedelta(days=place)).isoformat(),
            ay=lowest - 2.2,
            axref="x",
            ayref="y",
            text=f"<b>{night.lowest_c:.1f}°</b><br>{day.day} {day:%b}",
            name=f"worst {rank[night.evening]}",
            arrowhead=0,
            arrowwidth=1,
            arrowcolor=MUTED,
            yanchor="top",
            font={"size": 12, "color": INK},
        )
    tops = [
        (n.lowest_c or 0.0) + _height(n)
        for n in result.nights
        if n.lowest_c is not None
    ]
    figure.update_yaxes(range=[lowest - 5.2, max(tops) + 1.5])


def _apart(places: list[int], least: int, end: int) -> list[int]:
    """Return places in order, pushed apart to a least distance within 0 to `end`."""
    out = list(places)
    for _ in range(60):
        for i in range(len(out) - 1):
            lack = least - (out[i + 1] - out[i])
            if lack > 0:
                out[i] -= (lack + 1) // 2
                out[i + 1] += (lack + 1) // 2
        out = [min(max(p, 3), end - 3) for p in out]
    return out


def _bars(
    rows: list[NightRow], shade: str, shape: str, words: str, key: str
) -> dict[str, Any]:
    """Return the bars of nights of one kind and shade."""
    return {
        "x": [n.evening for n in rows],
        "base": [n.lowest_c for n in rows],
        "y": [_height(n) for n in rows],
        "width": 0.86 * 86_400_000,
        "marker": {
            "color": shade,
            "line": {"width": 0.6, "color": BLUES[3]},
            "pattern": {
                "shape": shape,
                "size": 5,
                "solidity": 0.32,
                "fgcolor": PAPER if shade in BLUES[2:] else BLUES[2],
                "fillmode": "overlay",
            },
        },
        "customdata": [[n.lowest_c, n.hours_below[key]] for n in rows],
        "hovertemplate": "%{x|%d %b %Y}: lowest %{customdata[0]:.1f} °C, "
        f"%{{customdata[1]:.0f}} h below {words}<extra></extra>",
    }


def _height(night: NightRow) -> float:
    top = night.evening_c if night.evening_c is not None else night.lowest_c
    return max((top or 0.0) - (night.lowest_c or 0.0), 0.25)


def _shade(hours: float) -> str:
    """Return a darker blue for more hours below the first limit."""
    for limit, color in ((0.5, BLUES[0]), (4.5, BLUES[1]), (9.5, BLUES[2])):
        if hours < limit:
            return color
    return BLUES[3]


def _gaps(figure: Figure, result: WinterResult) -> None:
    for night in result.nights:
        if night.lowest_c is None:
            start = date.fromisoformat(night.evening)
            figure.add_vrect(
                x0=start.isoformat(),
                x1=(start + timedelta(days=1)).isoformat(),
                fillcolor=GRID,
                line={"width": 0.5, "color": MUTED, "dash": "dot"},
                layer="below",
            )


def winters_bar(result: WinterResult) -> Figure:
    """Draw all winters: nights below the first threshold, and the coldest night."""
    import plotly.graph_objects as go

    key = f"{result.thresholds[0].threshold_c:g}"
    rows = result.winters
    shown = [r.label == result.shown for r in rows]
    figure = go.Figure()
    figure.add_bar(
        x=[r.label for r in rows],
        y=[r.cold_nights[key] if r.counts else None for r in rows],
        marker={
            "color": [BLUES[3] if s else BLUES[1] for s in shown],
            "line": {"width": 0.5, "color": BLUES[3]},
        },
        text=[
            "" if r.lowest_c is None else f"{round(r.lowest_c) + 0:d}°" for r in rows
        ],
        textposition="outside",
        textfont={"size": 11, "color": INK},
        hovertemplate="winter %{x}: %{y} nights, coldest %{text}<extra></extra>",
    )
    figure.update_xaxes(type="category", tickangle=-90, automargin=True)
    return _styled(
        figure, height=320, y_title=f"nights below {key} °C", months=None, dates=False
    )


def _styled(
    figure: Figure,
    *,
    height: int,
    y_title: str,
    months: list[SeasonBand] | None,
    dates: bool = True,
) -> Figure:
    figure.update_layout(
        template="none",
        height=height,
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        margin={"l": 50, "r": 84, "t": 48, "b": 40},
        showlegend=False,
        hovermode="closest",
        dragmode=False,
    )
    figure.update_yaxes(
        title={"text": y_title, "standoff": 8, "font": {"size": 13}},
        automargin=True,
        gridcolor=GRID,
        zeroline=True,
        zerolinecolor=MUTED,
        zerolinewidth=1,
        fixedrange=True,
    )
    figure.update_xaxes(
        showgrid=False, fixedrange=True, ticks="outside", tickcolor=MUTED
    )
    if dates:
        figure.update_xaxes(
            type="date", tickformat="%b", dtick="M1", ticklabelmode="period"
        )
    if months is not None:
        first = int(months[0].starts[:2])
        end = date(2002, first, 1).isoformat()
        figure.update_xaxes(range=[date(2001, first, 1).isoformat(), end])
    return figure


def png(figure: Figure, *, width: int = 1100) -> bytes:
    """Return a figure as PNG; needs the extra ``image`` and a Chromium.

    Raises
    ------
    InputError
        With the cure, where either is missing.
    """
    from climrisk.errors import InputError

    try:
        data = figure.to_image(
            format="png", width=width, height=figure.layout.height, scale=2
        )
    except (ImportError, ValueError, RuntimeError, OSError) as error:
        raise InputError(
            "no PNG can be drawn here",
            where="--png",
            value=str(error).split("\n")[0],
            next_step='pip install "climrisk[image]", and a Chromium browser',
        ) from error
    return bytes(data)
