"""Spot and pot of an assessment as parts of its result."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.shared.subject_result import PotInfo, SpotInfo
from climrisk.core.quantities import difference
from climrisk.pot.grid_shape import Setup
from climrisk.spot.air import as_from_station
from climrisk.spot.kinds import SpotKind
from climrisk.spot.modifiers import optimistic, sited
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.pot.model import FilledPot


def spot_info(kind: SpotKind, weather: WeatherSeries, members: int) -> SpotInfo:
    """Return the spot with its prior and what is to be known of it."""
    notes = []
    kind = sited(kind, weather.place.latitude_deg)
    if weather.source.measured_at == "station":
        kind = as_from_station(kind)  # the spread that the members have
    still, windy = kind.still_winter, kind.windy
    if kind.as_recorded:
        still = windy = None
    elif kind.learned is not None:
        still, windy = kind.learned.still_k, kind.learned.windy_k
        notes.append("learned from a logger at this spot")
        against = kind.learned.against
        if against and against != weather.source.label:
            notes.append(
                f"they were learned against {against}, and this weather is of "
                f"{weather.source.label}: learn them anew against it"
            )
    elif optimistic(kind):
        warmer = still[0] if still else 0.0
        notes.append(
            f"all that is said of the spot makes it {difference(warmer, 1)} warmer "
            "than the "
            f"station on clear calm nights, more than was ever measured outdoors: take "
            f"it as optimistic"
        )
    at = weather.source.measured_at
    if kind.measured_here and kind.name != "as-measured":
        notes.append(
            "the record is taken as measured at this spot: its air is used as it is, "
            f"and sky, wind and sun are those of {kind.words}"
        )
    elif at == "spot" and kind.name != "as-measured":
        notes.append(
            f"the record is taken as measured at another spot of the home, and what "
            f"{kind.words} adds to a station is added to it"
        )
    if at == "station" and kind.name == "as-measured":
        notes.append("the air of the station is used as it is")
    return SpotInfo(
        kind=kind.name,
        words=kind.words,
        at=kind.at,
        basis=kind.basis,
        sources=list(kind.source_texts),
        members=members,
        told=list(kind.site.specified),
        still_offset_k=_pair(still),
        windy_offset_k=_pair(windy),
        learned=kind.learned is not None,
        notes=notes,
    )


def pot_info(pot: FilledPot, setup: Setup) -> PotInfo:
    """Return the pot and how fast it follows the air."""
    from climrisk.pot.root_zone import time_constant_h

    return PotInfo(
        kind=pot.kind,
        diameter_cm=pot.diameter_cm,
        medium=pot.medium_name,
        time_constant_h=round(time_constant_h(pot), 2),
        setup=setup,
    )


def _pair(pair: tuple[float, float] | None) -> list[float] | None:
    return None if pair is None else [round(x, 2) for x in pair]
