"""Light at a spot: daily light and hours of direct sun, month by month."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.chunked import is_known

#: Photosynthetic light in sunlight: 0.455 of its energy (0.45 to 0.46 are usual, yearly
#: means of the Earth 0.41 to 0.48; Akitsu et al. 2022) at 4.57 µmol/J (McCree 1972,
#: Agric. Meteorol. 10:443; from memory). [µmol/J]
PHOTONS_UMOL_J = 0.455 * 4.57
_DAY_S = 86_400.0


@dataclass(frozen=True)
class MemberLight:
    """Light of a month, every member of the spread; NaN where nothing is known.

    Parameters
    ----------
    month : int
    daily_light_mol_m2 : ndarray, shape (case,)
        On a level leaf, a day. [mol/m²]
    direct_sun_h : ndarray, shape (case,)
        A day. [h]
    sun_by_hour : ndarray, shape (24,)
        Share of the days on which the sun shines there in that hour, mean of the
        members.
    """

    month: int
    daily_light_mol_m2: Float
    direct_sun_h: Float
    sun_by_hour: Float


def month_light(
    solar_top_w_m2: Float,
    direct_sun: Float,
    month: NDArray[np.integer],
    hour: NDArray[np.floating],
) -> tuple[MemberLight, ...]:
    """Return the light of the twelve months.

    Parameters
    ----------
    solar_top_w_m2 : ndarray, shape (time, case)
        Sunlight on a level top at the spot; NaN is left out. [W/m²]
    direct_sun : ndarray, shape (time, 1 or case)
        Share of each hour in direct sun.
    month, hour : ndarray, shape (time,)
        1 to 12, and the start of the hour, local standard time.
    """
    light = daily_light_mol_m2(_means(solar_top_w_m2, month - 1, 12))
    sunny = 24.0 * _means(direct_sun, month - 1, 12)
    by_hour = _by_hour(direct_sun, (month - 1) * 24 + hour.astype(np.int64))
    return tuple(MemberLight(m + 1, light[m], sunny[m], by_hour[m]) for m in range(12))


def daily_light_mol_m2(mean_solar_w_m2: Float) -> Float:
    """Return the daily light of a mean sunlight over day and night. [mol/m²]"""
    return np.asarray(mean_solar_w_m2 * PHOTONS_UMOL_J * _DAY_S / 1e6)


def _by_hour(values: Float, group: NDArray[np.integer]) -> Float:
    """Return means of known values over all cases, shape (12, 24); NaN without any.

    `group` is 24 times the month's place plus the hour.
    """
    known = None if is_known(values) else np.isfinite(values)
    if known is None:
        count = values.shape[1] * np.bincount(group, minlength=12 * 24)
    else:
        count = np.bincount(group, known.sum(axis=1), 12 * 24)
        values = np.where(known, values, 0.0)
    total = np.bincount(group, values.sum(axis=1, dtype=float), 12 * 24)
    return _ratio(total, count).reshape(12, 24)


def _means(values: Float, group: NDArray[np.integer], groups: int) -> Float:
    """Return means over known hours of a group, (group, case); NaN without any."""
    # Hours of a group mostly follow one another: each stretch is one sum. `reduceat`
    # would copy the whole array to double precision first.
    first = np.flatnonzero(np.diff(group, prepend=-1))
    stretches = list(zip(first, np.append(first[1:], len(group)), strict=True))
    shape = (groups, values.shape[1])

    def summed(x: Float | Bool, kind: type) -> Float:
        out = np.zeros(shape)
        for begin, end in stretches:
            out[group[begin]] += x[begin:end].sum(axis=0, dtype=kind)
        return out

    if is_known(values):
        count = np.bincount(group, minlength=groups)[:, None]
        return _ratio(summed(values, float), np.broadcast_to(count, shape))
    known = np.isfinite(values)
    return _ratio(summed(np.where(known, values, 0.0), float), summed(known, np.int64))


def _ratio(total: NDArray[Any], count: NDArray[Any]) -> Float:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(count > 0, total / count, np.nan))
