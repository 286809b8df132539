"""The result of ``climrisk calendar``: the monthly move-indoors calendar."""

from __future__ import annotations

from climrisk.result.assess import MonthState, Move
from climrisk.result.common import Caution, Frozen, Result, WeatherInfo


class PlantMonths(Frozen):
    """Month states and dates of a plant at its spot."""

    plant: str
    label: str
    count: int
    spot: str
    spot_kind: str
    preferred_c: float
    risk: float
    states: dict[str, MonthState]
    move_in: Move
    move_out: Move


class Entry(Frozen):
    """One day on which something is to be done."""

    date: str
    action: str
    spot: str
    plants: list[str]
    why: str
    uid: str


class CalendarResult(Result):
    """When each plant of a home is out, in, or to be moved."""

    home: str
    risk: float
    spring_risk: float
    as_of: str
    weather: WeatherInfo
    months: list[PlantMonths]
    entries: list[Entry]
    sentence: str
    cautions: list[Caution]
    files: list[str]
