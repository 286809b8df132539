"""The whole job on the built-in home, and the demo weather."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from climrisk.home import demo_home
from climrisk.result.assess import AssessResult
from climrisk.result.calendar import CalendarResult
from climrisk.result.winter import WinterResult
from climrisk.simulate.ask import question
from climrisk.simulate.assess import assess
from climrisk.simulate.calendar import calendar
from climrisk.simulate.kept import kept_plants, places_of
from climrisk.simulate.winter import winter
from climrisk.weather.demo import demo_weather

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
    asked = kept_plants(home, ())
    balcony = home.spot_named("balcony")
    plan = calendar(
        weather,
        asked.kept_at(weather, today),
        risk=home.risk,
        today=today,
        home=home.name,
        rooms=places_of(home, indoors=True),
        spots=places_of(home, indoors=False),
        elevation_m=home.height_m,
    )
    assessed = tuple(
        assess(weather, question(name, spot="balcony", today=today, home=home))
        for name in _CONSIDERED
    )
    cold = winter(
        weather,
        balcony.as_kind,
        spot=balcony.name,
        plant=question(_CONSIDERED[1], today=today).plant,
        elevation_m=home.height_m,
    )
    return WholeJob(home.name, plan, assessed, cold)
