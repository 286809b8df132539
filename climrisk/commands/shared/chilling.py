"""Wanted cold at a spot, as the numbers of a result."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.chilling import Earned, Window, window_of
from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.dates import RiskDate
from climrisk.commands.shared.chilling_result import EarnedBy, SoFar, WantedInfo
from climrisk.core.calendar import (
    as_date,
    growing_year_label,
    growing_year_of,
    month_day,
)
from climrisk.core.days import day_in_words
from climrisk.core.quantities import from_data, temperatures
from climrisk.core.ranges import Band
from climrisk.exposure.nights import Nights

if TYPE_CHECKING:
    from climrisk.plants.model import Profile

#: Winters in which what is wanted must be had to call it done.
DONE_SHARE = 0.9


def wanted_info(
    plant: Profile,
    nights: Nights,
    cold: ColdNights,
    into: RiskDate,
    today: date,
    *,
    room: Nights | None = None,
    indoors: bool = False,
    typical: bool = False,
) -> WantedInfo | None:
    """Return the cool spell that a plant wants and what a spot gives of it.

    None where the profile names none.

    Parameters
    ----------
    plant : Profile
    nights : Nights
    cold : ColdNights
        Nights below the plant's preferred minimum.
    into : RiskDate
        The evening by which to be inside.
    today : date
    room : Nights, optional
        Of the winter room, where the rest is counted from that evening on.
    indoors : bool
        The spot is indoors: there is nothing to bring in.
    typical : bool
        A typical year has no winters to count.
    """
    window = window_of(plant)
    if window is None:
        return None
    winters = cold.winters
    few = typical or len(winters) < LEAST_WINTERS
    so_far = _so_far(window, nights, today)
    if few:
        return _info(plant, window, so_far)
    earned = Earned.of(window, nights, winters)
    both = window.counts(nights) & cold.cold
    also = [both[nights.growing_year == y].sum(axis=0) for y in winters]
    before = Band.of(earned.before(into.day))
    in_room = None
    if room is not None and into.day is not None:
        there = Earned.of(window, room, winters)
        in_room = Band.of(there.before(None) - there.before(into.day))
    needed = window.nights
    share = None if needed is None else earned.share_with(needed, into.day)
    done = None if needed is None else earned.day_with(needed, DONE_SHARE)
    sentence = _sentence(plant, window, before, in_room, into)
    if not indoors:
        enough = None if in_room is not None else share
        sentence += _leaving(window, into, done, enough, north=nights.north)
    return _info(plant, window, so_far).model_copy(
        update={
            "whole_season": Band.of(earned.before(None)),
            "before_move_in": before,
            "in_room": in_room,
            "share_done_before_move_in": None if share is None else round(share, 3),
            "done_by": month_day(done, north=nights.north),
            "also_too_cold": Band.of(np.array(also)),
            "earned_by": _by_week(earned, window, nights),
            "sentence": sentence,
        }
    )


def _info(plant: Profile, window: Window, so_far: SoFar) -> WantedInfo:
    """Return what is wanted, before anything is known of what a spot gives."""
    few = f"{plant.name} needs {window.words}; too few winters to say what it gets."
    return WantedInfo(
        purpose=window.purpose,
        counted=window.of,
        low_c=window.low_c,
        high_c=window.high_c,
        nights_wanted=window.nights,
        nights_basis=window.nights_basis,
        optional=window.optional,
        told=window.wording,
        belief=from_data(window.belief),
        basis=window.basis,
        sources=list(window.sources),
        whole_season=None,
        before_move_in=None,
        in_room=None,
        share_done_before_move_in=None,
        done_by=None,
        also_too_cold=None,
        earned_by=[],
        so_far=so_far,
        sentence=few,
    )


def _by_week(earned: Earned, window: Window, nights: Nights) -> list[EarnedBy]:
    days = np.unique(nights.day_of_season[window.season(nights)])
    out = []
    for day in days[::7]:
        day_text = month_day(int(day), north=nights.north)
        out.append(
            EarnedBy(month_day=day_text or "", nights=Band.of(earned.before(int(day))))
        )
    return out


def _so_far(window: Window, nights: Nights, today: date) -> SoFar:
    year = growing_year_of(today, north=nights.north)
    label = growing_year_label(year, north=nights.north)
    number = (today - date(1970, 1, 1)).days
    rows = (nights.growing_year == year) & (nights.evening < number)
    known = rows & nights.valid.any(axis=1)
    if not known.any():
        why = "the record holds no night of this growing year"
        return SoFar(label=label, until=None, nights=None, why=why)
    counts = window.counts(nights)[rows].sum(axis=0)
    last = as_date(int(nights.evening[known][-1]))
    missing = int(rows.sum() - known.sum())
    why = f"{missing} nights of it are unknown" if missing else "all its nights known"
    return SoFar(label=label, until=last.isoformat(), nights=Band.of(counts), why=why)


def _sentence(
    plant: Profile,
    window: Window,
    before: Band,
    in_room: Band | None,
    into: RiskDate,
) -> str:
    until = "in its season" if into.day is None else "before it comes in"
    text = (
        f"{plant.name} needs {window.words}; here it gets about {before.mid:.0f} "
        f"({before.low:.0f} to {before.high:.0f}) {until}"
    )
    if in_room is not None:
        text += (
            f", and {in_room.mid:.0f} ({in_room.low:.0f} to {in_room.high:.0f}) more "
            "in its winter room"
        )
    return text + "." + (" It can do without." if window.optional else "")


def _leaving(
    window: Window,
    into: RiskDate,
    done: int | None,
    enough: float | None,
    *,
    north: bool,
) -> str:
    """Return until when to leave it out, or what to do where that is too short.

    `enough` is the share of winters in which it gets its cold before it comes in.
    """
    if done is not None and (into.day is None or done <= into.day):
        day = day_in_words(month_day(done, north=north) or "01-01")
        return f" Leave it out until {day}: it has had its cold by then."
    if enough is not None and into.day is not None:
        return (
            f" That is enough in {enough:.0%} of winters; otherwise give it the rest "
            f"in a room at {temperatures(window.low_c, window.high_c)}."
        )
    return ""
