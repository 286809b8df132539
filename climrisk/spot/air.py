"""Air temperature at the plant: open air, behind glass, in rooms and on sills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.slabs import columns
from climrisk.seasons import Seasons, day_of_season
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.members import Worlds
from climrisk.spot.regimes import Regimes

Float = NDArray[np.floating]

#: A result from a station alone is never tighter than this on clear still nights
#: (standard deviation; our estimate of what distance and terrain add).
STATION_SD_K = 1.5
#: Inner film of a window pane, m2K/W: Ti - (Ti - To) U 0.13.
_PANE_FILM = 0.13
#: Longest run of unknown hours that a room's own inertia bridges, as a share.
_ROOM_COVERAGE = 0.8


@dataclass(frozen=True)
class Nightly:
    """What the night-by-night part of the transfer needs.

    Parameters
    ----------
    index : ndarray of int, shape (time,)
        Index of each hour's night.
    window : ndarray of float32, shape (time, 1), or (time, case) for many places
        1 through the dark hours and the first hours of morning, 0 at midday.
    evening : ndarray of float32, shape as `window`
        1 from sunset to midnight, falling to 0 by dawn.
    winter : ndarray of float32, shape (time, 1)
        1 in the depth of winter, 0 in high summer.
    regimes : Regimes
    """

    index: NDArray[np.int64]
    window: Float
    evening: Float
    winter: Float
    regimes: Regimes

    @classmethod
    def of(cls, seasons: Seasons, dark: NDArray[np.bool_], regimes: Regimes) -> Nightly:
        """Return it from the calendar of the hours."""
        index = seasons.night - int(seasons.night.min())
        # The lowest hour often comes just after sunrise: hold the night till then.
        held = dark.copy()
        for shift in (1, 2):
            held[shift:] |= dark[:-shift]
        window = _smooth(columns(held))
        since_noon = (seasons.hour - 12) % 24
        evening = _column(np.clip((19.0 - since_noon) / 7.0, 0, 1)) * window
        day = day_of_season(seasons.day, north=seasons.north)
        # Mid January is day 198 of a July-June year; the south's July likewise.
        winter = 0.5 * (1 + np.cos(2 * np.pi * (day - 198) / 365.25))
        return cls(index, window, evening, _column(winter), regimes)


def _smooth(held: NDArray[np.bool_]) -> Float:
    """Return a running mean over five hours, the middle one weighing most."""
    known = held.astype(np.float32)
    padded = np.zeros((len(held) + 4, held.shape[1]), np.float32)
    padded[2:-2] = known
    total = 3 * known
    for weight, shift in ((2, 1), (2, 3), (1, 0), (1, 4)):
        total += weight * padded[shift : shift + len(held)]
    total /= 9
    return total


def spot_air(
    kind: SpotKind,
    air_c: Float,
    ghi_w_m2: Float,
    nightly: Nightly,
    worlds: Worlds,
    *,
    from_station: bool,
) -> Float:
    """Return the air temperature at the plant, shape (time, case). [°C]

    Parameters
    ----------
    kind : SpotKind
    air_c : ndarray of float, shape (time, 1)
        At the station, already at the spot's height; NaN gives NaN.
    ghi_w_m2 : ndarray of float, shape (time, 1 or case)
        Sunlight outdoors, which warms air behind glass.
    nightly : Nightly
    worlds : Worlds
    from_station : bool
        Whether the record is of a station: then the spread has a floor.
    """
    if kind.group == "as-measured":
        cases = max(air_c.shape[1], worlds.count)
        return np.broadcast_to(air_c, (len(air_c), cases)).astype(np.float32)
    if kind.group in ("open-air", "glazed"):
        return _outdoors(
            kind, air_c, ghi_w_m2, nightly, worlds, from_station=from_station
        )
    room = _room(kind, air_c, nightly, worlds)
    return _sill(kind, air_c, room) if kind.group == "sill" else room


def _outdoors(
    kind: SpotKind,
    air_c: Float,
    ghi_w_m2: Float,
    nightly: Nightly,
    worlds: Worlds,
    *,
    from_station: bool,
) -> Float:
    still = _still_offset(
        kind, nightly, worlds, from_station=from_station
    )  # (night, case)
    weight = _weights(nightly.regimes, worlds)  # (night, case)
    windy = worlds.value("windy", _need(kind.windy))
    offset = weight * still + (1 - weight) * windy
    offset += kind.night_noise_sd * worlds.noise(len(weight))
    day = worlds.value("day", _need(kind.day_k)).astype(np.float32)
    base = _damped(_later(air_c, kind.lag_h), kind.damping_frac).astype(np.float32)
    night = offset.astype(np.float32)[nightly.index]
    if kind.evening_k is not None:
        # More before midnight than at dawn, on clear still nights.
        more = worlds.value("evening", kind.evening_k) - _need(kind.still_winter)[0]
        night += (
            nightly.evening
            * weight.astype(np.float32)[nightly.index]
            * np.maximum(more, 0).astype(np.float32)
        )
    out: Float = base + nightly.window * night + (1 - nightly.window) * day
    if kind.sun_heat_k_per_w_m2:
        out += (kind.sun_heat_k_per_w_m2 * ghi_w_m2).astype(np.float32)
    return out


def _still_offset(
    kind: SpotKind, nightly: Nightly, worlds: Worlds, *, from_station: bool
) -> Float:
    winter_mean, winter_sd = _need(kind.still_winter)
    summer_mean, summer_sd = _need(kind.still_summer)
    if from_station:
        winter_sd = max(winter_sd, STATION_SD_K)
        summer_sd = max(summer_sd, STATION_SD_K)
    first = _first_hour(nightly)
    share = nightly.winter[first].astype(float)
    mean = share * winter_mean + (1 - share) * summer_mean
    sd = share * winter_sd + (1 - share) * summer_sd
    return np.asarray(mean + sd * worlds.scores["still"])


def _weights(regimes: Regimes, worlds: Worlds) -> Float:
    """Return the regime weight of each night and world, shape (night, case)."""
    spread = columns(regimes.spread) * worlds.scores["regime"]
    return np.clip(columns(regimes.weight) + spread, 0.0, 1.0)


def _first_hour(nightly: Nightly) -> NDArray[np.int64]:
    return np.searchsorted(nightly.index, np.arange(int(nightly.index[-1]) + 1))


def _later(air_c: Float, lag_h: float) -> Float:
    """Return temperatures `lag_h` later, by straight lines between hours."""
    whole, part = int(lag_h), lag_h - int(lag_h)
    early = _shift(air_c, whole)
    return early if part == 0 else (1 - part) * early + part * _shift(air_c, whole + 1)


def _shift(x: Float, hours: int) -> Float:
    return x if hours == 0 else np.concatenate([np.repeat(x[:1], hours, 0), x[:-hours]])


def _damped(air_c: Float, fraction: float) -> Float:
    """Return the day's rise above its 24 h mean shrunk by `fraction`.

    The fall below the mean stays: the prior of the night minimum already holds it.
    """
    if fraction == 0:
        return air_c
    mean = running_mean(air_c, 24, center=True)
    rise = np.maximum(air_c - mean, 0)
    return air_c - fraction * np.where(np.isnan(mean), 0, rise)


def _room(kind: SpotKind, air_c: Float, nightly: Nightly, worlds: Worlds) -> Float:
    """Return a room as the mean of the last hours outdoors plus the house's gain."""
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
    return out


def _sill(kind: SpotKind, air_c: Float, room_c: Float) -> Float:
    """Return air on a sill: between the room and the inner face of the pane."""
    share = (kind.sill_share or 0.0) * min((kind.u_value or 0.0) * _PANE_FILM, 1.0)
    return np.asarray(room_c - np.float32(share) * (room_c - air_c.astype(np.float32)))


def running_mean(x: Float, hours: int, *, center: bool) -> Float:
    """Return the mean of the known hours of a window, shape (time, case).

    NaN where less than 80 % of the window is known. At the record's ends the window
    is what there is of it.
    """
    half = hours // 2 if center else 0
    x = np.asarray(x, np.float32)
    known = np.isfinite(x)
    # Cases share their gaps more often than not: then they are counted once.
    if (known == known[:, :1]).all():
        known = known[:, :1]
    total = _window_sum(np.where(known, x, np.float32(0)), hours, half)
    n = _window_sum(known.astype(np.float32), hours, half)
    end = np.arange(len(x)) + 1 + half
    width = np.minimum(end, len(x)) - np.maximum(end - hours, 0)
    enough = n >= _ROOM_COVERAGE * width[:, None]
    total /= np.maximum(n, 1)
    if not enough.all():
        total = np.where(enough, total, np.float32(np.nan))
    return total


def _window_sum(x: Float, hours: int, ahead: int) -> Float:
    """Return sums over `hours` rows that end `ahead` rows later; outside is zero.

    By doubling: sums of 1, 2, 4, ... rows are added up to the window's length, which
    is faster than a running sum and does not gather its rounding.
    """
    if ahead:
        x = np.concatenate([x, np.zeros((ahead, x.shape[1]), x.dtype)])
    power, length = x, 1
    out: Float | None = None
    while True:
        if hours & length:
            out = power if out is None else _joined(power, out, length)
        length *= 2
        if length > hours:
            break
        power = _joined(power, power, length // 2)
    assert out is not None
    return out[ahead:]


def _joined(late: Float, early: Float, shift: int) -> Float:
    out = late.copy()
    out[shift:] += early[:-shift]
    return out


def _column(x: Float) -> Float:
    return x.astype(np.float32)[:, None]


def _need(pair: Pair | None) -> Pair:
    if pair is None:
        msg = "the prior lacks a value its group needs"
        raise ValueError(msg)
    return pair
