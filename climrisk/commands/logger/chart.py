"""A record day by day: its range, what is unknown, and where readings were marked."""

from __future__ import annotations

from datetime import date, timedelta

from climrisk.commands.logger.result import DayRow, LoggerResult
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, GRID, INK, MUTED, styled
from climrisk.render.charts.units import axes_of


def record_days(result: LoggerResult) -> Chart:
    """Draw a bar a day from its lowest to its highest hour.

    Days without a known hour are gray, days with few are pale; a triangle below marks
    days on which readings were taken out.
    """
    figure = Chart()
    days = [d for d in result.days if d.lowest_c is not None]
    for whole, shade in ((True, BLUES[2]), (False, BLUES[1])):
        rows = [d for d in days if (d.hours_known >= 0.8 * d.hours) == whole]
        if rows:
            figure.add_bar(
                x=[d.date for d in rows],
                base=[d.lowest_c for d in rows],
                y=[max((d.highest_c or 0) - (d.lowest_c or 0), 0.2) for d in rows],
                width=0.92 * 86_400_000,
                marker={"color": shade, "line": {"width": 0.4, "color": BLUES[3]}},
                customdata=[[d.lowest_c, d.highest_c, d.hours_known] for d in rows],
                hovertemplate="%{x|%d %b %Y}: %{customdata[0]:.1f} to "
                "%{customdata[1]:.1f} "
                + DEGREES
                + ", %{customdata[2]} h known<extra></extra>",
            )
    lowest = min(d.lowest_c for d in days if d.lowest_c is not None)
    marked = [d for d in result.days if d.marked]
    if marked:
        figure.add_scatter(
            x=[d.date for d in marked],
            y=[lowest - 2.0] * len(marked),
            mode="markers",
            marker={"symbol": "triangle-up-open", "size": 9, "color": INK},
            customdata=[d.marked for d in marked],
            hovertemplate="%{x|%d %b %Y}: %{customdata} flagged<extra></extra>",
        )
    _gaps(figure, result.days)
    axes_of(figure, y=TEMPERATURE, held=2)
    styled(figure, height=380, y_title=f"air, {DEGREES}", months=None, top=30)
    span = date.fromisoformat(result.days[-1].date) - date.fromisoformat(
        result.days[0].date
    )
    figure.update_layout(barmode="overlay", margin={"b": 58})
    # A month is too narrow for its name in a record of years.
    figure.update_xaxes(
        dtick="M1" if span.days < 500 else ("M3" if span.days < 1500 else "M12"),
        tickformat="%b<br>%Y" if span.days < 1500 else "%Y",
        ticklabelmode="period",
        tickfont={"color": INK},
    )
    return figure


def _gaps(figure: Chart, days: list[DayRow]) -> None:
    """Shade runs of days without a known hour."""
    start: str | None = None
    for day in [*days, None]:
        lost = day is not None and day.lowest_c is None
        if lost and start is None:
            start = day.date if day is not None else None
        elif not lost and start is not None:
            end = (
                day.date
                if day is not None
                else (date.fromisoformat(days[-1].date) + timedelta(days=1)).isoformat()
            )
            figure.add_vrect(
                x0=start,
                x1=end,
                fillcolor=GRID,
                line={"width": 0.5, "color": MUTED, "dash": "dot"},
                layer="below",
            )
            start = None
