"""When the sun reaches a spot: months across, hours upwards."""

from __future__ import annotations

from climrisk.commands.shared.light_result import Light
from climrisk.core.days import MONTH_NAMES
from climrisk.core.wording import month_heads
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, styled

#: Shares of days from which an hour is drawn, the least first, and its shade.
_CLASSES = ((0.05, BLUES[0]), (1 / 3, BLUES[1]), (2 / 3, BLUES[3]))


def sun_clock(light: Light) -> Chart:
    """Draw an hour where the sun shines on some days of the month, darker on more.

    Every share drawn stands in ``light.sun_by_hour``.
    """
    figure = Chart()
    cells = [
        (MONTH_NAMES[int(m) - 1][:3], hour, share)
        for m, shares in light.sun_by_hour.items()
        for hour, share in enumerate(shares)
        if share is not None and share >= _CLASSES[0][0]
    ]
    edges = [*(least for least, _ in _CLASSES), 1.01]
    for (least, shade), most in zip(_CLASSES, edges[1:], strict=True):
        mine = [c for c in cells if least <= c[2] < most]
        if mine:
            figure.add_bar(
                x=[month for month, _, _ in mine],
                base=[hour for _, hour, _ in mine],
                y=[1] * len(mine),
                width=0.9,
                marker={"color": shade, "line": {"width": 0.6, "color": BLUES[2]}},
                customdata=[[hour, 100 * share] for _, hour, share in mine],
                hovertemplate="%{x}, from %{customdata[0]} h: sun on "
                "%{customdata[1]:.0f} % of days<extra></extra>",
            )
    styled(figure, height=360, y_title="hour of the day", months=None, dates=False)
    hours = [hour for _, hour, _ in cells] or [6, 17]
    low, high = min([*hours, 6]), max([*hours, 17]) + 1
    figure.update_layout(barmode="overlay", margin={"r": 20})
    figure.update_yaxes(
        range=[low - 0.3, high + 0.3],
        tickvals=list(range(low + low % 2, high + 1, 2)),
        ticktext=[f"{h} h" for h in range(low + low % 2, high + 1, 2)],
    )
    figure.update_xaxes(
        type="category",
        categoryorder="array",
        categoryarray=month_heads(light.sun_by_hour),
        tickfont={"color": INK},
    )
    return figure
