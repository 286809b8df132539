"""The whole job on the built-in home, and the demo weather."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from climrisk.commands.assess.command import AssessInput
from climrisk.commands.assess.compute import assess
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.calendar.compute import calendar
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.plants import home_places, plants_request
from climrisk.commands.winter.compute import winter
from climrisk.commands.winter.result import WinterResult
from climrisk.home import demo_home
from climrisk.inputs.values import Risk
from climrisk.plants.registry import find
from climrisk.weather.synthetic import demo_weather

#: A warm, an intermediate and a cool grower, before buying.
_CONSIDERED = (
    "Phalaenopsis hybrids",
    "Epidendrum, reed-stem",
    "Masdevallia",
)


@dataclass(frozen=True)
class WholeJob:
    """All results of the demo home."""

    home: str
    calendar: CalendarResult
    assessed: tuple[AssessResult, ...]
    winter: WinterResult


def whole_job(today: date) -> WholeJob:
    """Return what the demo home would be told today."""
    home, weather = demo_home(), demo_weather()
    request = plants_request(home, ())
    balcony = home.spot_named("balcony")
    plan = calendar(
        weather,
        request.plants_at(weather, today),
        Risk(home.risk),
        today=today,
        home=home_places(home, home.height_m),
    )
    assessed = tuple(
        assess(
            weather, request_of(AssessInput(plant=name, spot="balcony"), home, today)
        )
        for name in _CONSIDERED
    )
    cold = winter(
        weather,
        NamedSpot(balcony.name, balcony.as_kind),
        plant=find(_CONSIDERED[1]),
        elevation_m=home.height_m,
    )
    return WholeJob(home.name, plan, assessed, cold)
