"""Air indoors: unheated and heated rooms, window sills, and how damp they are."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.chunked import by_slabs
from climrisk.core.quantities import DIFFERENCE, difference, number, temperature
from climrisk.physics.humidity import dew_point_c, saturation_pressure_pa
from climrisk.physics.pointwise import Pointwise, where
from climrisk.physics.surface import PANE_FILM_M2K_W
from climrisk.spot.ensemble import Ensemble
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.means import running_mean
from climrisk.spot.modifiers import figures
from climrisk.spot.nightly import Nightly
from climrisk.spot.sky import Substitute

#: Outdoors at this temperature a house is aired so much that it holds no more vapor
#: than the air outside (EN ISO 13788, memory). [°C]
_AIRED_C = 20.0


def room_air_c(
    kind: SpotKind, air_c: Float, nightly: Nightly, ensemble: Ensemble
) -> Float:
    """Return a room: the mean of the last hours outdoors plus the house's gain. [°C]

    A heated room is the warmer of that and of what its heating holds, the set point by
    day and the set-back by night, in its heating season. Shape (time, case); NaN where
    too few of the hours outdoors are known.
    """
    mean = running_mean(air_c, kind.mean_hours, center=False)
    winter, summer = _need(kind.winter_gain_k), _need(kind.summer_gain_k)
    score = ensemble.value("room", (0.0, 1.0))
    usual, spread = (
        nightly.winter * cold + (1 - nightly.winter) * warm
        for cold, warm in zip(winter, summer, strict=True)
    )
    usual_c = mean + gain_left(mean) * usual
    heated: Float | float = 0.0
    set_points: tuple[Float | float, Float | float] = (0.0, 0.0)
    if kind.set_point_c is not None and kind.set_back_c is not None:
        pair = kind.set_point_c, kind.set_back_c
        by_day, by_night = (ensemble.value("room", one) for one in pair)
        set_points, heated = (by_day, by_night), _heated(kind, nightly)
    given = (usual_c, spread, nightly.window, heated, score, *set_points)
    (room_c,) = ROOM.of(*given)
    return room_c


def held_room(
    usual_c: Float,
    spread_k: Float,
    window: Float,
    heated: Float,
    score: Float,
    by_day_c: Float,
    by_night_c: Float,
) -> Float:
    """Return a room: as warm as by itself, or what its heating holds if that is more.

    Parameters
    ----------
    usual_c, spread_k : float or ndarray
        By itself, and the standard deviation of that.
    window : float or ndarray
        Of `climrisk.spot.nightly.Nightly`.
    heated : float or ndarray
        1 where the heating is on, else 0.
    score : float or ndarray
        Of the member.
    by_day_c, by_night_c : float or ndarray
        What the heating holds.
    """
    free_c = usual_c + spread_k * score
    held_c = window * by_night_c + (1.0 - window) * by_day_c
    out: Float = where(heated > 0.0, np.maximum(free_c, held_c), free_c)
    return out


def _heated(kind: SpotKind, nightly: Nightly) -> Float | float:
    """Return 1 in the heating season, else 0: shape (time, 1), or a number."""
    months = kind.site.heating_months
    if months is None:
        return 1.0
    first, last = months
    since = (nightly.month - first) % 12
    return np.asarray(since <= (last - first) % 12, np.float32)[:, None]


def assumed_heating(kinds: Iterable[SpotKind]) -> tuple[Substitute, ...]:
    """Return the thermostat settings that stand in where none was given."""
    return tuple(
        dict.fromkeys(
            Substitute(
                "heating",
                f"thermostat at {temperature(day[0])} by day and "
                f"{temperature(night[0])} by night",
                f"standard deviation {number(DIFFERENCE, day[1])} and "
                f"{difference(night[1])}",
                "no setting was given",
            )
            for kind in kinds
            if (day := kind.set_point_c) is not None
            and (night := kind.set_back_c) is not None
            and kind.site.set_point_c is None
            and kind.site.heating != "failed"
        )
    )


def gain_left(outdoors_c: Float) -> Float:
    """Return the share of a house's gain that is left in warm weather.

    Houses are aired and shaded the more the warmer it is: 1 up to `airing_from_c`
    outdoors, falling by a straight line to `least_gain` at `aired_c`.
    """
    data = figures()["room"]
    low, high = data["airing_from_c"], data["aired_c"]
    least = data["least_gain"]
    fallen = (1 - least) * (outdoors_c - low) / (high - low)
    return np.asarray(np.clip(1 - fallen, least, 1.0))


def sill_air_c(
    kind: SpotKind, air_c: Float, room_c: Float, nightly: Nightly, ensemble: Ensemble
) -> Float:
    """Return air on a sill: between its room and what stands before the pane. [°C]"""
    share = pane_share(kind)
    spread = figures()["sill"]["share_spread"] * share * (1 - share)
    shares = np.clip(ensemble.value("pane", (share, spread)), 0.0, 1.0)
    by_day, by_night = (cold.air(shares) for cold in _cold_of(kind))
    (sill_c,) = SILL.of(room_c, air_c, nightly.window, by_day, by_night)
    return sill_c


def beside_pane(
    room_c: Float, outdoors_c: Float, window: Float, by_day: Float, by_night: Float
) -> Float:
    """Return air between a room and the open, by the shares of their difference."""
    part = window * by_night + (1.0 - window) * by_day
    return room_c - part * (room_c - outdoors_c)


ROOM = Pointwise(held_room, "phphccc")
SILL = Pointwise(beside_pane, "fppcc")


def pane_share(kind: SpotKind) -> float:
    """Return the share of the pane's coldness that the air at the plant has.

    It falls by an exponential of the distance from the pane.
    """
    return math.exp(-(kind.from_glass_cm or 0.0) / figures()["sill"]["reach_cm"])


def pane_view(kind: SpotKind) -> float:
    """Return the share of all around that the pane takes up, seen from the plant.

    The solid angle of a rectangle seen from a point before its middle, over the sphere.
    """
    width, height = (x / 2 for x in figures()["sill"]["pane_m"])
    away = max((kind.from_glass_cm or 0.0) / 100.0, 1e-9)
    across = math.sqrt(width**2 + height**2 + away**2)
    return math.atan(width * height / (away * across)) / math.pi


def pane_radiation(kind: SpotKind) -> tuple[float, float]:
    """Return how what a plant on a sill sees departs from its air, by day and night.

    As shares of the difference between its air and the air outdoors: below 0 where the
    pane makes all around colder than the air. 0 elsewhere.
    """
    if kind.group != "sill":
        return 0.0, 0.0
    share, view = pane_share(kind), pane_view(kind)
    by_day, by_night = (
        (cold.air(share) - cold.seen(view)) / (1.0 - cold.air(share))
        for cold in _cold_of(kind)
    )
    return by_day, by_night


@dataclass(frozen=True)
class _Cold:
    """How far surfaces of a window lie below the room, as shares of room less outdoors.

    Parameters
    ----------
    before : float
        Air of the room's side that reaches the plant: 0, or that behind a curtain.
    pane, other : float
        What the plant sees toward the window (pane or curtain), and behind it.
    """

    before: float
    pane: float
    other: float

    def air(self, share: Any) -> Any:
        """Return that of the air where it has a share of the pane's coldness."""
        return self.before + share * (self.pane - self.before)

    def seen(self, view: float) -> float:
        """Return the mean of all that is seen around."""
        return view * self.pane + (1.0 - view) * self.other


def _cold_of(kind: SpotKind) -> tuple[_Cold, _Cold]:
    """Return it by day, when no curtain is drawn, and by night.

    Heat flows from the room through films, pane and curtain, ``q = (Ti - To) / (1/U +
    Rc)``. The pane's face is ``0.13 q`` below the air before it. `Rc` is what a curtain
    adds as it hangs, its leaks included; the air behind it is ``q Rc`` below the room,
    and its cloth halfway between the room and the pane.
    """
    u_value = kind.u_value or 0.0
    by_day = _Cold(0.0, min(u_value * PANE_FILM_M2K_W, 1.0), 0.0)
    curtain = kind.site.curtain
    if curtain in (None, "open") or not u_value:
        return by_day, by_day
    cloth = figures()["sill"]["curtain_m2k_w"]
    flow = 1 / (1 / u_value + cloth)
    pane = min(flow * (cloth + PANE_FILM_M2K_W), 1.0)
    if curtain == "glass-side":
        return by_day, _Cold(0.0, pane / 2, 0.0)
    return by_day, _Cold(flow * cloth, pane, pane / 2)


def room_dew_point_c(
    kind: SpotKind, air_c: Float, dew_c: Float, ensemble: Ensemble
) -> Float:
    """Return the dew point indoors: that outdoors and the vapor of the household. [°C]

    The household adds ``moist_pa`` at 0 °C outside, falling to nothing at 20 °C, as
    the humidity classes of EN ISO 13788 do (memory). Shape (time, case).
    """
    more = np.maximum(ensemble.value("dew", _need(kind.moist_pa)), 0).astype(np.float32)

    def indoors(outside: Float, dew: Float) -> Float:
        closed = np.clip((_AIRED_C - outside) / _AIRED_C, 0.0, 1.0)
        vapor = saturation_pressure_pa(dew) + more * closed
        return np.asarray(dew_point_c(vapor), np.float32)

    return by_slabs(
        indoors, *(np.asarray(x, np.float32) for x in _alike(air_c, dew_c, more))
    )


def _alike(air_c: Float, dew_c: Float, more: Float) -> tuple[Float, Float]:
    """Return both with one column a case, as the slabs need them."""
    shape = np.broadcast_shapes(air_c.shape, dew_c.shape, more.shape)
    return np.broadcast_to(air_c, shape), np.broadcast_to(dew_c, shape)


def _need(pair: Pair | None) -> Pair:
    if pair is None:
        msg = "the prior lacks a value its group needs"
        raise ValueError(msg)
    return pair
