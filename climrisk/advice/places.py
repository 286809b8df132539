"""Month states and dates of many places at once: the rules of `dates` and `months`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.dates import STATUSES, dated
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import STATES, month_shares, states_of, straddling
from climrisk.exposure.nights import Nights

Float = NDArray[np.floating]
Int = NDArray[np.int64]
Codes = NDArray[np.int8]

_ALWAYS = STATUSES.index("always")


@dataclass(frozen=True)
class PlacesAdvice:
    """What the nights of many places say.

    Parameters
    ----------
    winters, with_cold_night : ndarray of int, shape (place,)
        Winters that count, and those of them with a cold night.
    month_state : ndarray of int8, shape (12, place)
        Index into `climrisk.advice.months.STATES`; row 0 is January.
    month_share : ndarray, shape (12, place)
        Share of the known years with a cold night; NaN where none is known.
    move_in_day, move_out_day : ndarray, shape (place,)
        Days of the growing year; NaN where there is no date.
    move_in_status, move_out_status : ndarray of int8, shape (place,)
        Index into `climrisk.advice.dates.STATUSES`.
    """

    winters: Int
    with_cold_night: Int
    month_state: Codes
    month_share: Float
    move_in_day: Float
    move_in_status: Codes
    move_out_day: Float
    move_out_status: Codes


def advise_places(
    nights: Nights, limit_c: float, risk: float, spring_risk: float
) -> PlacesAdvice:
    """Return month states and dates of places by the nights of each.

    Parameters
    ----------
    nights : Nights
        Its cases are places.
    limit_c : float
    risk, spring_risk : float
        Of the date to move in and of months, and of the date to move out.
    """
    cold = ColdNights.of_places(nights, limit_c)
    assert cold.counted is not None
    first, last = cold.first_and_last
    into, into_status = dated(first[..., None], risk, autumn=True)
    out, out_status = dated(last[..., None], spring_risk, autumn=False)
    share, years = month_shares(cold, places=cold.members)
    state = states_of(share, years, risk)
    unsure = straddling(
        _edge(into, into_status, always=0.0, none=np.inf),
        _edge(out, out_status, always=365.0, none=-np.inf),
        north=nights.north,
    )
    state[unsure & (state == STATES.index("out"))] = STATES.index("unsure")
    into, out = (
        np.where(s == _ALWAYS, np.nan, d)
        for d, s in ((into, into_status), (out, out_status))
    )
    return PlacesAdvice(
        cold.counted.sum(axis=0, dtype=np.int64),
        cold.winters_with_cold().astype(np.int64),
        state,
        share,
        into,
        into_status,
        out,
        out_status,
    )


def _edge(day: Float, status: Codes, *, always: float, none: float) -> Float:
    """Return where the time indoors begins or ends, for the months it touches."""
    edge = np.where(np.isnan(day), none, day)
    return np.where(status == _ALWAYS, always, edge)
