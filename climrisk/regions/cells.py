"""Cells as cases: spot, pot and exposure of a batch, one stretch after another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float, Int
from climrisk.core.calendar import Seasons, by_night
from climrisk.exposure.streaming import RunningExposure
from climrisk.physics.solar import Places, SunPath, toward_sun
from climrisk.pot.streaming import RunningRootZone
from climrisk.regions.job import RegionJob
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kernel_inputs import AHEAD_H, BEFORE_H, Calendar, ingredients
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.grids.read import Cells
from climrisk.weather.series import Origin, Place, Source, WeatherSeries

#: What returns all variables between two hours of the record, of some cells.
Values = Callable[..., dict[str, Float]]

#: Hours after a stretch that its last night, the night after and its bridges look at.
TAIL_H = 24 + AHEAD_H
#: Case-hours that are worked on at once: fewer, and the steps between them take longer
#: than they do; more, and their arrays leave the cache.
AT_ONCE = 320_000


@dataclass(frozen=True)
class Group:
    """Cells of one standard time and one half of the Earth.

    Parameters
    ----------
    offset_h : int
        Local standard time minus UTC: the longitude's fifteenth, rounded.
    north : bool
    cells : ndarray of int, shape (cell,)
        Which cells of a block.
    """

    offset_h: int
    north: bool
    cells: Int

    @property
    def zone(self) -> str:
        """Name in the time zone database; its sign runs the other way."""
        return f"Etc/GMT{-self.offset_h:+d}"


def standard_offset_h(longitude_deg: Float) -> Int:
    """Return local standard time minus UTC in hours, 15 degrees an hour."""
    return np.asarray(np.floor(longitude_deg / 15.0 + 0.5), np.int64)


def grouped(latitude_deg: Float, longitude_deg: Float) -> list[Group]:
    """Return the cells of a block by standard time and half of the Earth."""
    offset = standard_offset_h(longitude_deg)
    north = latitude_deg >= 0
    out = []
    for hours in np.unique(offset):
        for half in (True, False):
            cells = np.flatnonzero((offset == hours) & (north == half))
            if len(cells):
                out.append(Group(int(hours), half, cells))
    return out


class Record:
    """The hours of a record, with what all its cells share.

    Parameters
    ----------
    label : str
    first : datetime64[m]
    count : int
    """

    def __init__(self, label: str, first: np.datetime64, count: int) -> None:
        self.label = label
        self.time = first + np.arange(count) * np.timedelta64(60, "m")
        self._calendars: dict[tuple[str, bool], Calendar] = {}

    def calendar(self, group: Group) -> Calendar:
        """Return the local standard calendar of a group."""
        key = (group.zone, group.north)
        if key not in self._calendars:
            side = 1.0 if group.north else -1.0
            made = Seasons.of(self.time, zone=group.zone, latitude_deg=side)
            self._calendars[key] = Calendar.of(made, self.toward)
        return self._calendars[key]

    @cached_property
    def toward(self) -> Float:
        """Where the sun stands over the Earth, shape (3, time)."""
        return toward_sun(self.time)


#: Records that another process made.
_held: dict[tuple[str, str, int], Record] = {}


def hold_record(record: Record) -> None:
    """Take a record as another process made it, in place of all before."""
    _held.clear()
    _held[record.label, str(record.time[0]), len(record.time)] = record


def record_of(label: str, first: str, count: int) -> Record:
    """Return a record, made once in each process."""
    return _held.get((label, first, count)) or _record(label, first, count)


@lru_cache(maxsize=4)
def _record(label: str, first: str, count: int) -> Record:
    return Record(label, np.datetime64(first, "m"), count)


def lead_h(job: RegionJob) -> int:
    """Return the hours before a stretch that its spot remembers, in whole days."""
    return -(-(max(job.spot.mean_hours, 24) + 12) // 24) * 24


def part_of(whole: dict[str, Float]) -> Values:
    """Return what cuts hours and cells out of arrays (time, cell) in memory."""

    def values(first: int, stop: int, cells: Cells) -> dict[str, Float]:
        return {
            name: np.ascontiguousarray(x[first:stop, cells])
            for name, x in whole.items()
        }

    return values


class Batch:
    """Some cells of a group, their exposure growing hour by hour.

    Parameters
    ----------
    job : RegionJob
    record : Record
    group : Group
    latitude_deg, longitude_deg : ndarray, shape (case,)
    """

    def __init__(
        self,
        job: RegionJob,
        record: Record,
        group: Group,
        latitude_deg: Float,
        longitude_deg: Float,
    ) -> None:
        self.job, self.record, self.group = job, record, group
        self.places = Places(latitude_deg, longitude_deg)
        self.calendar = record.calendar(group)
        self.seasons = self.calendar.seasons
        self.cases = cases = len(latitude_deg)
        self.corner = (float(latitude_deg[0]), float(longitude_deg[0]))
        self.air = RunningExposure(self.seasons, job.air_thresholds, cases)
        self.root = RunningExposure(self.seasons, job.thresholds, cases)
        self.pot = RunningRootZone(job.pot, setup=job.setup)

    def add(
        self,
        values: Callable[[int, int], dict[str, Float]],
        there: tuple[int, int],
        counted: tuple[int, int],
    ) -> None:
        """Add some hours of the record.

        Parameters
        ----------
        values : callable
            Returns all variables between two hours of the record, float32, shape
            (time, case).
        there : tuple of int
            First and stop of the hours that may be asked for: some more than are
            counted, on both sides.
        counted : tuple of int
            First and stop of the hours to be added.
        """
        lead, noon = lead_h(self.job), int((12 - self.seasons.hour[0]) % 24)
        for a, b in pairwise(self._edges(*counted, noon)):
            # Nights are told whole, also the one that begins with the hour after.
            low = max(there[0], a - lead - (a - noon) % 24)
            high = min(there[1], b + (noon - b) % 24 + AHEAD_H)
            self._add(values(low, high), low, a, b)

    def _edges(self, first: int, stop: int, noon: int) -> list[int]:
        """Cut hours at noons into parts whose arrays stay in the processor's cache."""
        days = max(2, round(AT_ONCE / self.cases / 24))
        start = first + (noon - first) % 24
        inner = list(range(start, stop, 24 * days))
        # A record begins and ends the slow way round, so that those parts are short.
        if not self.pot.begun:
            inner.append(start + 24)
        if stop == len(self.record.time):
            inner.append(stop - AHEAD_H - (stop - AHEAD_H - noon) % 24)
        return sorted({first, *(e for e in inner if first < e < stop), stop})

    def _add(self, values: dict[str, Float], low: int, first: int, stop: int) -> None:
        keep, hours = slice(first - low, stop - low), stop - first
        weather = self._weather(values, low)
        calendar = self.calendar.hours(slice(low, low + len(weather)))
        made = None
        around = keep.start >= BEFORE_H and len(weather) - keep.stop >= AHEAD_H
        # Beside the whole pot the arrays of a climate cost little.
        if self.pot.begun and around and self.job.setup == "screening":
            made = ingredients(weather, self.job.spot, calendar, self.places)
        if made is not None:
            root, air_c, dark = self.pot.add_spot(made, keep.start, hours)
        else:
            climate, dark = self._climate(weather, calendar)
            root = self.pot.add(climate.hours(slice(keep.start, keep.stop + 1)), hours)
            air_c, dark = climate.air_c[keep], dark[keep]
        counted = by_night(dark, self.seasons.night[first:stop])
        self.air.add(air_c, dark, counted)
        self.root.add(root.mean_c, dark, counted)

    def _climate(
        self, weather: WeatherSeries, calendar: Calendar
    ) -> tuple[SpotClimate, NDArray[np.bool_]]:
        """Return the climate of the spot, and the dark hours, as arrays."""
        sun = SunPath.seen_from(calendar.toward, self.places)
        prepared = prepare(weather, ensemble(1), sun=sun, seasons=calendar.seasons)
        return spot_climate(prepared, self.job.spot, only_pot=True), prepared.dark

    def _weather(self, values: dict[str, Float], low: int) -> WeatherSeries:
        air = values["air_temp_c"]
        place = Place(self.record.label, *self.corner, None, self.group.zone)
        return WeatherSeries(
            self.record.time[low : low + len(air)],
            values,
            np.broadcast_to(np.uint8(Origin.MODELED), air.shape),
            place,
            Source("grid", self.record.label, "", "station"),
        )
