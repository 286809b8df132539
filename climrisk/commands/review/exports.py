"""Page, chart and table of a winter looked back on."""

from __future__ import annotations

from climrisk.commands.review.chart import review_nights
from climrisk.commands.review.page import WORDS, review_page
from climrisk.commands.review.result import ReviewResult
from climrisk.render.exports import Exports


def exports(result: ReviewResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        page=lambda: review_page(result),
        figure=lambda: review_nights(result),
        title=f"Winter {result.shown}, {result.spot}, night by night",
        words=WORDS,
        header=[
            *("evening", "logger_c", "model_low_c", "model_c", "model_high_c"),
            *("regime_weight", "kind", "difference_k"),
        ],
        rows=lambda: [
            (
                *(n.evening, n.logger_c, n.model_low_c, n.model_c, n.model_high_c),
                *(n.regime_weight, n.kind, n.difference_k),
            )
            for n in result.nights
        ],
        weather=result.weather,
    )
