"""Remedies ranked: days of cold that each takes away, with its range."""

from __future__ import annotations

from climrisk.commands.remedies.result import RemediesResult, Remedy
from climrisk.core.wording import plural
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, MUTED, PAPER, styled

_ROW_PX = 44
#: So many times the second largest, the largest is drawn as an arrow at the edge.
_FAR = 2.5


def remedy_dots(result: RemediesResult) -> Chart:
    """Draw the days (of 24 hours) saved by each remedy, its name above its line.

    Filled where 9 ensemble members in 10 gain, open where there is no clear difference;
    one far beyond the others ends as an arrow, with its number beside its name.
    """
    figure = Chart()
    rows = [r for r in result.remedies if r.saved_per_year is not None]
    most = _most(rows)
    for i, remedy in enumerate(rows):
        saved = remedy.saved_per_year
        assert saved is not None
        ends = [(v or 0.0) / 24 for v in (saved.low, saved.mid, saved.high)]
        low, mid, high = (min(v, most) for v in ends)
        beyond = ends[1] > most
        shade = {"helps": BLUES[3], "harms": INK}.get(remedy.words, MUTED)
        figure.add_scatter(
            x=[low, high],
            y=[i, i],
            mode="lines",
            line={"color": shade, "width": 3},
            hoverinfo="skip",
        )
        figure.add_scatter(
            x=[mid],
            y=[i],
            mode="markers",
            marker={
                "symbol": "triangle-right" if beyond else "circle",
                "size": 12,
                "color": shade if remedy.clear else PAPER,
                "line": {"width": 2.5, "color": shade},
            },
            hovertemplate=f"{remedy.name}: %{{x:.1f}} days<extra></extra>",
        )
        figure.add_annotation(
            text=f"{_short(remedy.name, 30)}: {plural(ends[1], 'day')}"
            if beyond
            else f"{_short(remedy.name)} ({remedy.cost})",
            x=0,
            xref="paper",
            y=i,
            yshift=15,
            xanchor="left",
            showarrow=False,
            font={"size": 12, "color": INK},
        )
    figure.add_vline(x=0, line={"color": INK, "width": 1, "dash": "dot"})
    styled(
        figure,
        height=90 + _ROW_PX * len(rows),
        y_title="",
        months=None,
        dates=False,
        top=16,
    )
    figure.update_yaxes(
        range=[len(rows) - 0.4, -0.9],
        showgrid=False,
        zeroline=False,
        showticklabels=False,
        title=None,
    )
    figure.update_xaxes(
        title={"text": "days a year saved", "font": {"size": 13}}, showgrid=True
    )
    figure.update_layout(margin={"l": 14, "r": 20, "b": 58})
    return figure


def _most(rows: list[Remedy]) -> float:
    """Return the end of the scale, which one remedy far beyond does not stretch."""
    ends = sorted((r.saved_per_year.high or 0.0) / 24 for r in rows if r.saved_per_year)
    if len(ends) < 2 or ends[-1] <= _FAR * max(ends[-2], 1.0):
        return max(ends, default=1.0)
    return 1.6 * max(ends[-2], 1.0)


def _short(name: str, most: int = 44) -> str:
    return name if len(name) <= most else name[: most - 1] + "…"
