"""Air temperature at the plant: open air, behind glass, in rooms and on sills."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.ranges import EIGHT_IN_TEN_SD
from climrisk.physics.pointwise import Pointwise, where
from climrisk.spot.ensemble import Ensemble
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.learned import Learned
from climrisk.spot.means import running_mean
from climrisk.spot.nightly import Nightly, first_hours
from climrisk.spot.regimes import member_weights
from climrisk.spot.rooms import room_air_c, sill_air_c
from climrisk.spot.sunlight import shading_left

#: From a station alone the offset of a clear still night is never known better than
#: this (standard deviation; our estimate of what distance and terrain add; three
#: airports differ by 1.6).
STATION_SD_K = 1.5
#: Nor is the range of 8 chances in 10 of any night's minimum ever narrower than this
#: either way, single nights' departures included.
STATION_RANGE_K = 1.5


def as_from_station(kind: SpotKind) -> SpotKind:
    """Return a kind with the spreads that a station alone supports.

    What was learned at the spot itself stays as it is, and so do kinds without offsets.
    """
    if kind.learned is not None or kind.still_winter is None:
        return kind
    noise = kind.night_noise_sd[1]
    least = max((STATION_RANGE_K / EIGHT_IN_TEN_SD) ** 2 - noise**2, 0.0) ** 0.5
    windy, summer = _need(kind.windy), _need(kind.still_summer)
    return replace(
        kind,
        still_winter=(kind.still_winter[0], max(kind.still_winter[1], STATION_SD_K)),
        still_summer=(summer[0], max(summer[1], STATION_SD_K)),
        windy=(windy[0], max(windy[1], least)),
    )


def noise_shape(weight: Float, noise: Pair) -> Float:
    """Return how much nights of some regimes depart, over a night halfway between.

    Parameters
    ----------
    weight : ndarray of float
        Regime weight.
    noise : (float, float)
        Deviation on clear still and on windy nights, not both 0.
    """
    still, windy = noise
    return np.asarray(2 * (windy + weight * (still - windy)) / (still + windy))


def spot_air(
    kind: SpotKind,
    air_c: Float,
    ghi_w_m2: Float,
    nightly: Nightly,
    ensemble: Ensemble,
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
    ensemble : Ensemble
    from_station : bool
        Whether the record is of a station: then the spreads have a floor.
    """
    if kind.as_recorded:
        cases = max(air_c.shape[1], ensemble.count)
        return np.broadcast_to(air_c, (len(air_c), cases)).astype(np.float32)
    if kind.group in ("open-air", "glazed"):
        return _outdoors(
            kind, air_c, ghi_w_m2, nightly, ensemble, from_station=from_station
        )
    room = room_air_c(kind, air_c, nightly, ensemble)
    if kind.group == "sill":
        return sill_air_c(kind, air_c, room, nightly, ensemble)
    return room


def _outdoors(
    kind: SpotKind,
    air_c: Float,
    ghi_w_m2: Float,
    nightly: Nightly,
    ensemble: Ensemble,
    *,
    from_station: bool,
) -> Float:
    if from_station:
        kind = as_from_station(kind)
    learned = kind.learned
    winter = nightly.winter[first_hours(nightly.index)].astype(float)
    still = still_offset_k(kind, winter, ensemble)
    weight = member_weights(nightly.regimes, ensemble)  # (night, case)
    windy = ensemble.value("windy", learned.windy_k if learned else _need(kind.windy))
    day_k = learned.day_k if learned else _need(kind.day_k)
    day = ensemble.value("day", day_k)
    beyond = beyond_day_k(weight, still, windy, day)
    beyond = beyond + _noise_k(kind, weight) * ensemble.noise(len(weight))
    more: Float | float = 0.0
    if learned is None and kind.evening_k is not None:
        more = more_by_evening_k(kind, ensemble)
    air_c = air_c.astype(np.float32, copy=False)
    by_hour: Float | float = 0.0
    if learned is not None and learned.still_by_hour:
        by_hour = _by_hour(learned, nightly, weight)
    else:
        air_c = _damped(_later(air_c, kind.lag_h), kind.damping_frac)
    warmed = sun_warmth_k(kind)
    light = ghi_w_m2 * shading_left(ghi_w_m2, *kind.shading) if warmed else 0.0
    # A warm day is warm behind open vents too.
    vented = np.clip(ensemble.value("day", kind.vents), 0.0, 1.0)
    (spot_c,) = OUTDOORS.of(
        *(beyond, weight, air_c, by_hour, nightly.window, nightly.evening, light),
        *(day, more, warmed, kind.vent_temp_c, vented),
        night=nightly.index,
    )
    return spot_c


def outdoor_air(  # noqa: PLR0913
    beyond_k: Float,
    weight: Float,
    base_c: Float,
    by_hour_k: Float,
    window: Float,
    evening: Float,
    light_w_m2: Float,
    day_k: Float,
    more_k: Float,
    warmed_k: float,
    vent_c: float,
    vented: Float,
) -> Float:
    """Return air at a spot outdoors or behind glass: `unlit_air`, then `sunlit_air`."""
    night_k = beyond_k + by_hour_k
    unlit_c = unlit_air(base_c, night_k, window, evening, weight, day_k, more_k)
    return sunlit_air(unlit_c, light_w_m2, warmed_k, vent_c, vented)


OUTDOORS = Pointwise(outdoor_air, "nnppphpccccc")


def sun_warmth_k(kind: SpotKind) -> float:
    """Return how much a W/m² of sunlight outdoors warms closed air. [K m²/W]

    A shade cloth takes its share of the warmth with that of the light, as cloth outside
    the glass does.
    """
    return kind.sun_heat_k_per_w_m2 * kind.cloth_passes


def beyond_day_k(weight: Float, still_k: Float, windy_k: Float, day_k: Float) -> Float:
    """Return the offset of a night beyond the day's. [K]

    What the night adds to the day is then the window's share of it.
    """
    return weight * still_k + (1.0 - weight) * windy_k - day_k


def unlit_air(
    base_c: Float,
    beyond_k: Float,
    window: Float,
    evening: Float,
    weight: Float,
    day_k: Float,
    more_k: Float,
) -> Float:
    """Return the air at a spot outdoors or behind glass without sunlight. [°C]

    Parameters
    ----------
    base_c : float or ndarray
        Air of the station, later and damped as it comes to the spot.
    beyond_k : float or ndarray
        Offset of the night beyond the day's.
    window, evening : float or ndarray
        Of `climrisk.spot.nightly.Nightly`.
    weight : float or ndarray
        Regime weight of the night.
    day_k, more_k : float or ndarray
        Offset of the day, and what comes to it in the evening of a clear still night.
    """
    night_k = beyond_k + evening * window * weight * more_k
    return base_c + day_k + window * night_k


def sunlit_air(
    unlit_c: Float, light_w_m2: Float, warmed_k: float, vent_c: float, vented: Float
) -> Float:
    """Return the air at a spot as sunlight warms it and vents let it go. [°C]

    Parameters
    ----------
    unlit_c : float or ndarray
        Of `unlit_air`.
    light_w_m2 : float or ndarray
        Sunlight outdoors, after shading.
    warmed_k : float
        By each W/m² of sunlight, with closed vents. [K m²/W]
    vent_c : float
        Air that vents are opened to hold. [°C]
    vented : float or ndarray
        Share of the sun's warmth left with vents wide open; 1 without vents.

    Notes
    -----
    Vents stay closed while the air is below `vent_c`; then they open so far that it
    stays there; once they are wide open, what they leave of the sun's warmth warms it.
    More sun or a warmer day never makes it colder.
    """
    warmth_k = warmed_k * light_w_m2
    wide_open = np.maximum(vent_c, unlit_c + vented * warmth_k)
    out: Float = np.minimum(unlit_c + warmth_k, wide_open)
    return out


def more_by_evening_k(kind: SpotKind, ensemble: Ensemble) -> Float:
    """Return how much warmer evenings are than dawns on clear still nights. [K]"""
    warmer = ensemble.value("evening", _need(kind.evening_k))
    return np.asarray(np.maximum(warmer - _need(kind.still_winter)[0], 0.0))


def _noise_k(kind: SpotKind, weight: Float) -> Float:
    """Return the deviation of each night's departure, shape as the weights. [K]"""
    still, windy = kind.night_noise_sd
    if kind.learned is not None:
        return kind.learned.noise_k * noise_shape(weight, kind.night_noise_sd)
    return np.asarray(windy + weight * (still - windy))


def still_offset_k(kind: SpotKind, winter: Float, ensemble: Ensemble) -> Float:
    """Return the offset of each night were it clear and still, (night, case). [K]

    Parameters
    ----------
    kind : SpotKind
    winter : ndarray of float, shape (night, 1)
        Of `climrisk.spot.nightly.Nightly`, at the first hour of each night.
    ensemble : Ensemble
    """
    winter_mean, winter_sd = _need(kind.still_winter)
    summer_mean, summer_sd = _need(kind.still_summer)
    if kind.learned is not None:
        (winter_mean, winter_sd), (summer_mean, summer_sd) = _learned_still(kind)
    mean = winter * winter_mean + (1 - winter) * summer_mean
    sd = winter * winter_sd + (1 - winter) * summer_sd
    return np.asarray(mean + sd * ensemble.scores["still"])


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
    return damped(air_c, running_mean(air_c, 24, center=True), fraction)


def damped(air_c: Float, mean_c: Float, fraction: float) -> Float:
    """Return `_damped` of the air and its mean; where that is NaN, the air itself."""
    rise = air_c - mean_c
    out: Float = air_c - fraction * where(rise > 0.0, rise, 0.0)
    return out


def _need(pair: Pair | None) -> Pair:
    if pair is None:
        msg = "the prior lacks a value its group needs"
        raise ValueError(msg)
    return pair
