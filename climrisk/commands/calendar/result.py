"""The result of ``climrisk calendar``: the monthly move-indoors calendar."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.months import State as MonthState
from climrisk.advice.verdict import VerdictBasis, VerdictWord
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.commands.shared.dates_result import Move, UsualNights
from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import Caution, Frozen, WeatherInfo

CalendarAction = Literal[
    "move in",
    "move out",
    "pest check",
    "harden",
    "watch",
    "watch ends",
    "retreat",
    "return",
]


class Coming(Frozen):
    """Night minima from today on, over all years and members at the spot.

    `low_c` is undercut by one night in ten, `coldest_c` is the coldest seen by the
    median member; `margin_k` is `low_c` minus the coldest night the plant tolerates.
    """

    nights: int
    years: int
    low_c: float | None
    mid_c: float | None
    coldest_c: float | None
    margin_k: float | None


class PlantMonths(Frozen):
    """Month states and dates of a plant at its spot.

    `move_in` and `move_out` are its own dates; `trip_in` and `trip_out` those of the
    trips it goes with, never less careful than its own; `watch_from` and `watch_until`
    bound the time of single harmful nights where no month is spent indoors; `usual` is
    the first and last cold night of the median winter; `notes` say what else is needed,
    or why the spot does not suit; `may_be`, `basis`, `retreat` and `retreat_months` are
    as in the verdict of ``climrisk assess``; `coming` is what the next nights there
    were like; `inside` says whether it was noted as carried in, null without a note;
    `row` is the reference of its entry in the home file, null without one.
    """

    row: str | None
    plant: str
    label: str
    count: int
    spot: str
    spot_kind: str
    verdict: VerdictWord
    may_be: VerdictWord | None
    basis: VerdictBasis
    notes: list[str]
    room: str | None
    room_serves: bool | None
    room_why: str | None
    weight_kg: float | None
    preferred_c: float
    tolerated_c: float
    tolerated_basis: str
    risk: float
    states: dict[str, MonthState]
    state_notes: dict[str, str]
    move_in: Move
    move_out: Move
    watch_from: Move | None
    watch_until: Move | None
    usual: UsualNights
    retreat: str | None
    retreat_months: list[int]
    trip_in: str | None
    trip_out: str | None
    wanted: WantedInfo | None
    indoors: bool
    inside: bool | None
    coming: Coming


class LoadPlant(Frozen):
    """A plant of a trip; the weight of one pot, where its pot is known."""

    label: str
    count: int
    weight_kg: float | None
    heavy: bool


class Load(Frozen):
    """What goes from one spot to one room, the heavy pots first."""

    spot: str
    room: str | None
    plants: list[LoadPlant]


class CalendarEntry(Frozen):
    """One day on which something is to be done.

    `until` ends a time of single harmful nights, which begins with the action
    ``watch``; such entries belong to no trip (0).
    """

    date: str
    until: str | None = None
    action: CalendarAction
    trip: int
    spot: str
    plants: list[str]
    loads: list[Load]
    why: str
    uid: str


class CalendarResult(CommandResult):
    """When each plant of a home is out, in, or to be moved."""

    home: str
    risk: float
    spring_risk: float
    as_of: str
    trips: int
    weather: WeatherInfo
    months: list[PlantMonths]
    entries: list[CalendarEntry]
    sentence: str
    cautions: list[Caution]
    files: list[str]
