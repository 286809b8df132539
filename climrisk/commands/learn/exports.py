"""Page, chart and table of a calibration."""

from __future__ import annotations

from climrisk.commands.learn.chart import lesson_dots
from climrisk.commands.learn.page import WORDS, learn_sheet
from climrisk.commands.learn.result import LearnResult
from climrisk.render.exports import Exports
from climrisk.render.page import render


def exports(result: LearnResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        page=lambda: render(learn_sheet(result)),
        figure=lambda: lesson_dots(result),
        title=f"{result.spot} against {result.weather.source}, night by night",
        words=WORDS,
        header=["evening", "regime_weight", "kind", "difference_k", "foretold_k"],
        rows=lambda: [
            (n.evening, n.regime_weight, n.kind, n.difference_k, n.foretold_k)
            for n in result.nights
        ],
        weather=result.weather,
    )
