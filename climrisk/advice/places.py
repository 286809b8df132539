"""Months, dates and verdicts of many places at once, as of each place alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.chilling import Exemption
from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.dates import STATUSES, LongCold, PlacesDates, dated
from climrisk.advice.heat import PlacesHeat
from climrisk.advice.months import STATES, MonthTable, indoor_blocks, overlapped
from climrisk.advice.verdict import STAY_MONTHS_MOST, WINTER_MONTHS_MOST
from climrisk.core.arrays import Float, Int
from climrisk.exposure.nights import Nights

Codes = NDArray[np.int8]

#: What a place alone allows, without the rooms of a home: ``too cold`` all year, for
#: more than ten months, or in several spells.
VERDICTS = (
    "out all year",
    "watch",
    "in up to 6 months",
    "in 7 to 10 months",
    "too cold",
    "too hot",
    "cannot say",
)


@dataclass(frozen=True)
class PlacesAdvice:
    """What the nights of many places advise.

    Parameters
    ----------
    winters, with_cold_night, with_harmful_night : ndarray of int, shape (place,)
        Winters that count, and those of them with a night below the preferred and
        below the tolerated minimum.
    month_state, shown : ndarray of int8, shape (12, place)
        Index into `climrisk.advice.months.STATES`; row 0 is January. As they are shown,
        all months between the dates are ``in``.
    month_share : ndarray, shape (12, place)
        Share of the known years with a harmful night; NaN where none is known.
    move_in_day, move_out_day : ndarray, shape (place,)
        Days of the growing year; NaN where there is no date.
    move_in_status, move_out_status : ndarray of int8, shape (place,)
        Index into `climrisk.advice.dates.STATUSES`.
    months_indoors : ndarray, shape (place,)
        From the date to move in to the date to move out; NaN with too few winters.
    verdict : ndarray of int8, shape (place,)
        Index into `VERDICTS`.
    """

    winters: Int
    with_cold_night: Int
    with_harmful_night: Int
    month_state: Codes
    shown: Codes
    month_share: Float
    move_in_day: Float
    move_in_status: Codes
    move_out_day: Float
    move_out_status: Codes
    months_indoors: Float
    verdict: Codes


def advise_places(
    nights: Nights,
    limits_c: tuple[float, float],
    risks: tuple[float, float],
    exemption: Exemption | None = None,
    heat: Sequence[PlacesHeat] = (),
    *,
    heated: bool = False,
) -> PlacesAdvice:
    """Return months, dates and verdict of places by the nights and heat of each.

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
    heat : sequence of PlacesHeat
        Of the plant's heat limits.
    heated : bool
        The places are heated rooms.
    """
    exempt = None if exemption is None else exemption.nights(nights)
    below = ColdNights.of_places(nights, limits_c[0])
    cold = below if exempt is None else below.without(exempt)
    harmful = ColdNights.of_places(nights, limits_c[1])
    assert harmful.counted is not None
    winters = harmful.counted.sum(axis=0, dtype=np.int64)
    places = harmful.members
    table = MonthTable.of(cold, harmful, places=places)
    state = table.states(risks[0], heated=heated)
    begins = ends = None
    if not heated:
        long_cold = LongCold.of(cold, places=places)
        begins, ends = long_cold.begins, long_cold.ends
    first, last = harmful.first_and_last
    into = dated(first[..., None], risks[0], begins, autumn=True)
    out = dated(last[..., None], risks[1], ends, autumn=False)
    # Without a month indoors there is nothing to move for.
    free = ~(state == STATES.index("in")).any(axis=0)
    free &= into.status != STATUSES.index("few")
    for date in (into, out):
        date.status[free] = STATUSES.index("never")
        date.day[free] = np.nan
    begin, end = _indoors(into, out)
    few = (into.status == STATUSES.index("few")) | (out.status == STATUSES.index("few"))
    into_day, out_day = (_dates_only(d) for d in (into, out))
    return PlacesAdvice(
        winters,
        below.winters_with_cold().astype(np.int64),
        harmful.winters_with_cold().astype(np.int64),
        state,
        _shown(state, begin, end, north=nights.north),
        table.share_harmful,
        into_day,
        into.status,
        out_day,
        out.status,
        np.where(few, np.nan, np.clip(end - begin, 0.0, 365.0) * (12 / 365)),
        _verdict(state, winters, heat, north=nights.north),
    )


def _indoors(into: PlacesDates, out: PlacesDates) -> tuple[Float, Float]:
    """Return the days between which the plant is inside, as `MovingDates.indoors`."""
    always = STATUSES.index("always")
    begin = np.where(np.isnan(into.day), np.inf, into.day)
    end = np.where(np.isnan(out.day), -np.inf, out.day)
    return (
        np.where(into.status == always, 0.0, begin),
        np.where(out.status == always, 365.0, end),
    )


def _shown(state: Codes, begin: Float, end: Float, *, north: bool) -> Codes:
    """Return states with every month between the dates ``in``."""
    inside = overlapped(begin, end, north=north) & (state != STATES.index("unknown"))
    return np.where(inside, np.int8(STATES.index("in")), state)


def _verdict(
    state: Codes,
    winters: Int,
    heat: Sequence[PlacesHeat],
    *,
    north: bool,
) -> Codes:
    """Return indices into `VERDICTS`, as `climrisk.advice.verdict` decides."""
    block, together = indoor_blocks(state, north=north)
    inside = block.sum(axis=0)
    hot = np.zeros(len(inside), bool)
    for one in heat:
        hot |= one.too_hot(~block)
    unknown = (winters < LEAST_WINTERS) | (state == STATES.index("unknown")).any(axis=0)
    watch = (state == STATES.index("watch")).any(axis=0)
    choices = (
        ("cannot say", unknown),
        ("too cold", inside == 12),
        ("too hot", hot),
        ("too cold", ~together | (inside > STAY_MONTHS_MOST)),
        ("in 7 to 10 months", inside > WINTER_MONTHS_MOST),
        ("in up to 6 months", inside > 0),
        ("watch", watch),
    )
    return np.select(
        [where for _, where in choices],
        [VERDICTS.index(name) for name, _ in choices],
        VERDICTS.index("out all year"),
    ).astype(np.int8)


def _dates_only(date: PlacesDates) -> Float:
    return np.where(date.status == STATUSES.index("always"), np.nan, date.day)
