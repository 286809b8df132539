"""What is seen first of the stations: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.shared.facts import UNKNOWN
from climrisk.commands.stations.result import StationsResult
from climrisk.commands.stations.text import stations_answer
from climrisk.core import quantities
from climrisk.render.summary import Summary, Tile, summary


def stations_summary(result: StationsResult, _: date) -> Summary:
    """Return the best station near a place."""
    tiles: list[Tile] = []
    if result.stations:
        best = result.stations[0]
        away, high = best.distance_km, best.elevation_m
        tiles = [
            Tile(
                "Distance",
                UNKNOWN
                if away is None
                else quantities.quantity(quantities.DISTANCE, away, 0),
                best.name,
            ),
            Tile(
                "Height",
                UNKNOWN
                if high is None
                else quantities.quantity(quantities.HEIGHT, high, 0),
                "above the sea",
            ),
            Tile("Record since", (best.first or UNKNOWN)[:4], "hours are kept"),
        ]
    return summary(stations_answer(result), ["Stations near"], tiles=tiles)
