"""Air temperature at the plant: open air, behind glass, in rooms and on sills."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.slabs import columns
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.learned import Learned
from climrisk.spot.means import running_mean
from climrisk.spot.members import Worlds
from climrisk.spot.nightly import Nightly
from climrisk.spot.regimes import Regimes
from climrisk.spot.rooms import room_air_c, sill_air_c

Float = NDArray[np.floating]

#: A result from a station alone is never tighter than this on clear still nights
#: (standard deviation; our estimate of what distance and terrain add).
STATION_SD_K = 1.5


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
    room = room_air_c(kind, air_c, nightly, worlds)
    return sill_air_c(kind, air_c, room, nightly) if kind.group == "sill" else room


def _outdoors(
    kind: SpotKind,
    air_c: Float,
    ghi_w_m2: Float,
    nightly: Nightly,
    worlds: Worlds,
    *,
    from_station: bool,
) -> Float:
    learned = kind.learned
    still = _still_offset(
        kind, nightly, worlds, from_station=from_station
    )  # (night, case)
    weight = _weights(nightly.regimes, worlds)  # (night, case)
    windy = worlds.value("windy", learned.windy_k if learned else _need(kind.windy))
    offset = weight * still + (1 - weight) * windy
    noise_k = learned.noise_k if learned else kind.night_noise_sd
    offset += noise_k * worlds.noise(len(weight))
    day_k = learned.day_k if learned else _need(kind.day_k)
    day = worlds.value("day", day_k).astype(np.float32)
    # Beyond the day's, so that the window's share of it is what the night adds.
    beyond = (offset - day).astype(np.float32)
    night = np.take(beyond, nightly.index, axis=0)
    if learned is not None and learned.still_by_hour:
        base = air_c.astype(np.float32, copy=False)
        night += _by_hour(learned, nightly, weight)
    else:
        air_c = air_c.astype(np.float32, copy=False)
        base = _damped(_later(air_c, kind.lag_h), kind.damping_frac)
    if kind.evening_k is not None and learned is None:
        # More before midnight than at dawn, on clear still nights.
        more = worlds.value("evening", kind.evening_k) - _need(kind.still_winter)[0]
        night += (
            nightly.evening
            * nightly.window
            * weight.astype(np.float32)[nightly.index]
            * np.maximum(more, 0).astype(np.float32)
        )
    out: Float = night
    out *= nightly.window
    out += base
    if day.any():
        out += day
    if kind.sun_heat_k_per_w_m2:
        out += (kind.sun_heat_k_per_w_m2 * ghi_w_m2).astype(np.float32)
    return out


def _still_offset(
    kind: SpotKind, nightly: Nightly, worlds: Worlds, *, from_station: bool
) -> Float:
    winter_mean, winter_sd = _need(kind.still_winter)
    summer_mean, summer_sd = _need(kind.still_summer)
    if kind.learned is not None:
        (winter_mean, winter_sd), (summer_mean, summer_sd) = _learned_still(kind)
    elif from_station:
        winter_sd = max(winter_sd, STATION_SD_K)
        summer_sd = max(summer_sd, STATION_SD_K)
    first = _first_hour(nightly)
    share = nightly.winter[first].astype(float)
    mean = share * winter_mean + (1 - share) * summer_mean
    sd = share * winter_sd + (1 - share) * summer_sd
    return np.asarray(mean + sd * worlds.scores["still"])


def _learned_still(kind: SpotKind) -> tuple[Pair, Pair]:
    """Return the learned still offset for midwinter and for high summer.

    What was learned in one season is carried to the other by the prior's difference,
    and half of the prior's spread comes back with the distance (our estimate).
    """
    assert kind.learned is not None
    winter, summer = _need(kind.still_winter), _need(kind.still_summer)
    mean, sd = kind.learned.still_k
    here = kind.learned.in_winter

    def season(prior: Pair, at: float) -> Pair:
        away = abs(at - here)
        moved = (at - here) * (winter[0] - summer[0])
        return mean + moved, float(np.hypot(sd, 0.5 * away * prior[1]))

    return season(winter, 1.0), season(summer, 0.0)


def _by_hour(learned: Learned, nightly: Nightly, weight: Float) -> Float:
    """Return each hour's learned departure from its night's offset, (time, case)."""
    still = np.array(learned.still_by_hour, np.float32)[nightly.hour][:, None]
    windy = np.array(learned.windy_by_hour, np.float32)[nightly.hour][:, None]
    share = weight.astype(np.float32)[nightly.index]
    return np.asarray(share * still + (1 - share) * windy)


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
    if part == 0:
        return early
    out = (1 - part) * early
    out[1:] += part * early[:-1]
    out[:1] += part * early[:1]  # the first hour stands for those before it
    return out


def _shift(x: Float, hours: int) -> Float:
    return x if hours == 0 else np.concatenate([np.repeat(x[:1], hours, 0), x[:-hours]])


def _damped(air_c: Float, fraction: float) -> Float:
    """Return the day's rise above its 24 h mean shrunk by `fraction`.

    The fall below the mean stays: the prior of the night minimum already holds it.
    """
    if fraction == 0:
        return air_c
    rise = air_c - running_mean(air_c, 24, center=True)
    # No mean where too little is known: then no damping.
    np.fmax(rise, np.float32(0), out=rise)
    rise *= np.float32(-fraction)
    rise += air_c
    return rise


def _need(pair: Pair | None) -> Pair:
    if pair is None:
        msg = "the prior lacks a value its group needs"
        raise ValueError(msg)
    return pair
