"""Air indoors: unheated and heated rooms, window sills, and how damp they are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.humidity import dew_point_c, saturation_pressure_pa
from climrisk.physics.slabs import by_slabs
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.means import running_mean
from climrisk.spot.members import Worlds
from climrisk.spot.modifiers import figures
from climrisk.spot.nightly import Nightly

Float = NDArray[np.floating]

#: Inner film of a window pane, m2K/W: Ti - (Ti - To) U 0.13.
PANE_FILM_M2K_W = 0.13
#: Outdoors at this temperature a house is aired so much that it holds no more vapor
#: than the air outside (EN ISO 13788, memory). [°C]
_AIRED_C = 20.0


def room_air_c(kind: SpotKind, air_c: Float, nightly: Nightly, worlds: Worlds) -> Float:
    """Return a room: the mean of the last hours outdoors plus the house's gain. [°C]

    A heated room is the warmer of that and of what its heating holds, the set point by
    day and the set-back by night, in its heating season. Shape (time, case); NaN where
    too few of the hours outdoors are known.
    """
    mean = running_mean(air_c, kind.mean_hours, center=False).astype(np.float32)
    winter = worlds.value("room", _need(kind.winter_gain_k)).astype(np.float32)
    summer = worlds.value("room", _need(kind.summer_gain_k)).astype(np.float32)
    free = mean + nightly.winter * winter + (1 - nightly.winter) * summer
    if kind.set_point_c is None or kind.set_back_c is None:
        return np.asarray(free)
    by_day = worlds.value("room", kind.set_point_c).astype(np.float32)
    by_night = worlds.value("room", kind.set_back_c).astype(np.float32)
    heated = nightly.window * by_night + (1 - nightly.window) * by_day
    out: Float = np.maximum(free, heated)
    if kind.site.heating_months is not None:
        first, last = kind.site.heating_months
        since = (nightly.month - first) % 12
        off = since > (last - first) % 12
        out[off] = free[off]
    return out


def sill_air_c(kind: SpotKind, air_c: Float, room_c: Float, nightly: Nightly) -> Float:
    """Return air on a sill: between its room and the inner face of the pane. [°C]

    Heat flows from the room through pane and films, ``q = (Ti - To) / (1/U + Rc)``
    with the curtain's resistance ``Rc`` where one is drawn. The pane's face is
    ``Ti - 0.13 q`` without a curtain. A curtain between plant and pane is the face
    that the plant sees; behind a curtain on the room's side the plant stands in air
    that is ``q (0.13 + Rc)`` colder than the room, before a face colder by another
    ``0.13 q``.
    """
    share = np.float32(kind.sill_share or 0.0)
    u_value = kind.u_value or 0.0
    outdoors = air_c.astype(np.float32)
    fall = room_c - outdoors
    open_share = share * np.float32(min(u_value * PANE_FILM_M2K_W, 1.0))
    by_day: Float = room_c - open_share * fall
    curtain = kind.site.curtain
    if curtain in (None, "open") or not u_value:
        return np.asarray(by_day)
    cloth = figures()["sill"]["curtain_m2k_w"]
    if curtain == "glass-side":
        flow = 1 / (1 / u_value + cloth)
        cut = share * flow * PANE_FILM_M2K_W
    else:
        flow = 1 / (1 / u_value + cloth + PANE_FILM_M2K_W)
        cut = flow * (PANE_FILM_M2K_W + cloth + share * PANE_FILM_M2K_W)
    by_night = room_c - np.float32(min(cut, 1.0)) * fall
    night = nightly.window
    return np.asarray(night * by_night + (1 - night) * by_day)


def room_dew_point_c(
    kind: SpotKind, air_c: Float, dew_c: Float, worlds: Worlds
) -> Float:
    """Return the dew point indoors: that outdoors and the vapor of the household. [°C]

    The household adds ``moist_pa`` at 0 °C outside, falling to nothing at 20 °C, as
    the humidity classes of EN ISO 13788 do (memory). Shape (time, case).
    """
    more = np.maximum(worlds.value("dew", _need(kind.moist_pa)), 0).astype(np.float32)

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
