"""Results as pictures; nothing outside this folder draws.

Blue is cold, orange is a limit, dark is more; shapes and direct labels say the same,
so that no color is needed. Every number drawn stands in the result.
"""

from climrisk.report.figures.days import record_days
from climrisk.report.figures.event import event_hours
from climrisk.report.figures.ladder import winter_ladder, winters_bar
from climrisk.report.figures.lesson import lesson_dots
from climrisk.report.figures.plant_ribbon import (
    Span,
    axis_svg,
    key_svg,
    ribbon_svg,
    year_ribbon,
)
from climrisk.report.figures.pots import pots_dots
from climrisk.report.figures.remedies import remedy_dots
from climrisk.report.figures.review import review_nights
from climrisk.report.figures.risk import risk_dates
from climrisk.report.figures.spots import spots_dots
from climrisk.report.figures.strip import strips_together, year_strip
from climrisk.report.figures.style import CONFIG, png
from climrisk.report.figures.sun import sun_clock
from climrisk.report.figures.svg import svg

__all__ = [
    "CONFIG",
    "Span",
    "axis_svg",
    "event_hours",
    "key_svg",
    "lesson_dots",
    "png",
    "pots_dots",
    "record_days",
    "remedy_dots",
    "review_nights",
    "ribbon_svg",
    "risk_dates",
    "spots_dots",
    "strips_together",
    "sun_clock",
    "svg",
    "winter_ladder",
    "winters_bar",
    "year_ribbon",
    "year_strip",
]
