"""Month states and dates of many places at once, by `dates` and `months`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dates import STATUSES, Dated, LongCold, dated
from climrisk.advice.months import STATES, MonthTable
from climrisk.advice.wanted import Exemption
from climrisk.exposure.nights import Nights

Float = NDArray[np.floating]
Int = NDArray[np.int64]
Codes = NDArray[np.int8]


@dataclass(frozen=True)
class PlacesAdvice:
    """What the nights of many places advise.

    Parameters
    ----------
    winters, with_cold_night, with_harmful_night : ndarray of int, shape (place,)
        Winters that count, and those of them with a night below the preferred and
        below the tolerated minimum.
    month_state : ndarray of int8, shape (12, place)
        Index into `climrisk.advice.months.STATES`; row 0 is January.
    month_share : ndarray, shape (12, place)
        Share of the known years with a harmful night; NaN where none is known.
    move_in_day, move_out_day : ndarray, shape (place,)
        Days of the growing year; NaN where there is no date.
    move_in_status, move_out_status : ndarray of int8, shape (place,)
        Index into `climrisk.advice.dates.STATUSES`.
    """

    winters: Int
    with_cold_night: Int
    with_harmful_night: Int
    month_state: Codes
    month_share: Float
    move_in_day: Float
    move_in_status: Codes
    move_out_day: Float
    move_out_status: Codes


def advise_places(
    nights: Nights,
    limits_c: tuple[float, float],
    risks: tuple[float, float],
    exemption: Exemption | None = None,
) -> PlacesAdvice:
    """Return month states and dates of places by the nights of each.

    Parameters
    ----------
    nights : Nights
        Its cases are places.
    limits_c : (float, float)
        Preferred and tolerated minimum.
    risks : (float, float)
        Of the date to move in and of months, and of the date to move out.
    exemption : Exemption, optional
        Of the plant: nights that are not too cold for comfort.
    """
    exempt = None if exemption is None else exemption.nights(nights)
    below = ColdNights.of_places(nights, limits_c[0])
    cold = below if exempt is None else below.without(exempt)
    harmful = ColdNights.of_places(nights, limits_c[1])
    assert harmful.counted is not None
    places = harmful.members
    long_cold = LongCold.of(cold, places=places)
    first, last = harmful.first_and_last
    into = dated(first[..., None], risks[0], long_cold.begins, autumn=True)
    out = dated(last[..., None], risks[1], long_cold.ends, autumn=False)
    table = MonthTable.of(cold, harmful, places=places)
    state = table.states(risks[0])
    # Without a month indoors there is nothing to move for.
    free = ~(state == STATES.index("in")).any(axis=0)
    for date in (into, out):
        none = free & (date.status != STATUSES.index("few"))
        date.status[none] = STATUSES.index("never")
        date.day[none] = np.nan
    into_day, out_day = (_dates_only(d) for d in (into, out))
    return PlacesAdvice(
        harmful.counted.sum(axis=0, dtype=np.int64),
        below.winters_with_cold().astype(np.int64),
        harmful.winters_with_cold().astype(np.int64),
        state,
        table.share_harmful,
        into_day,
        into.status,
        out_day,
        out.status,
    )


def _dates_only(date: Dated) -> Float:
    return np.where(date.status == STATUSES.index("always"), np.nan, date.day)
