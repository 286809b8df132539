"""Cells as cases: spot, pot and exposure of a batch, one stretch after another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from climrisk.exposure.running import RunningExposure
from climrisk.pot.root_zone import WARM_UP_CONSTANTS, root_zone, time_constant_h
from climrisk.regions.job import Job
from climrisk.seasons import Seasons
from climrisk.spot.members import worlds
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.sun import SunPath, toward_sun
from climrisk.weather.series import Origin, Place, Source, WeatherSeries

Float = NDArray[np.floating]
Int = NDArray[np.int64]

#: Hours after a stretch that its last night, its day's mean and its bridges look at.
TAIL_H = 48
#: Case-hours that are worked on at once: their arrays must fit into memory.
AT_ONCE = 300_000


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
        self._seasons: dict[tuple[str, bool], Seasons] = {}

    def seasons(self, group: Group) -> Seasons:
        """Return the local standard calendar of a group."""
        key = (group.zone, group.north)
        if key not in self._seasons:
            side = 1.0 if group.north else -1.0
            made = Seasons.of(self.time, zone=group.zone, latitude_deg=side)
            self._seasons[key] = made
        return self._seasons[key]

    @cached_property
    def toward(self) -> Float:
        """Where the sun stands over the Earth, shape (3, time)."""
        return toward_sun(self.time)


@lru_cache(maxsize=4)
def record_of(label: str, first: str, count: int) -> Record:
    """Return a record, made once in each process."""
    return Record(label, np.datetime64(first, "m"), count)


def lead_h(job: Job) -> int:
    """Return the hours before a stretch that its spot and its pot remember.

    Whole days, so that a stretch begins its memory where a night does.
    """
    pot = int(np.ceil(WARM_UP_CONSTANTS * time_constant_h(job.pot))) + 24
    hours = pot + job.spot.mean_hours + 48
    return -(-hours // 24) * 24


class Batch:
    """Some cells of a group, their exposure growing hour by hour.

    Parameters
    ----------
    job : Job
    record : Record
    group : Group
    latitude_deg, longitude_deg : ndarray, shape (case,)
    """

    def __init__(
        self,
        job: Job,
        record: Record,
        group: Group,
        latitude_deg: Float,
        longitude_deg: Float,
    ) -> None:
        self.job, self.record, self.group = job, record, group
        self.latitude_deg, self.longitude_deg = latitude_deg, longitude_deg
        self.seasons = record.seasons(group)
        self.toward = record.toward
        cases = len(latitude_deg)
        self.air = RunningExposure(self.seasons, job.thresholds, cases)
        self.root = RunningExposure(self.seasons, job.thresholds, cases)

    def add(self, values: dict[str, Float], begin: int, first: int, stop: int) -> None:
        """Add the hours `first` to `stop` of the record.

        Parameters
        ----------
        values : dict of str to ndarray of float32, shape (time, case)
            From hour `begin` of the record on, some hours beyond both ends.
        begin, first, stop : int
        """
        lead, hours = lead_h(self.job), len(values["air_temp_c"])
        step = max(AT_ONCE // max(len(self.latitude_deg), 1), 4 * lead, 1)
        count = max(1, round((stop - first) / step))
        if self.job.setup == "full":
            count = 1  # ice remembers whole winters
        edges = np.linspace(first, stop, count + 1).astype(int)
        for a, b in pairwise(edges):
            low = max(begin, int(a) - lead)
            high = min(begin + hours, int(b) + TAIL_H)
            part = {k: v[low - begin : high - begin] for k, v in values.items()}
            self._add(part, low, int(a), int(b))

    def _add(self, values: dict[str, Float], low: int, first: int, stop: int) -> None:
        keep = slice(first - low, stop - low)
        sun = SunPath.seen_from(
            self.toward[:, low : low + len(values["air_temp_c"])],
            self.latitude_deg,
            self.longitude_deg,
        )
        prepared = prepare(self._weather(values, low), worlds(1), sun=sun)
        climate = spot_climate(prepared, self.job.spot, only_pot=True)
        dark = prepared.dark[keep]
        self.air.add(climate.air_c[keep], dark)
        root = root_zone(climate, self.job.pot, setup=self.job.setup)
        self.root.add(root.mean_c[keep], dark)

    def _weather(self, values: dict[str, Float], low: int) -> WeatherSeries:
        air = values["air_temp_c"]
        place = Place(
            self.record.label,
            float(self.latitude_deg[0]),
            float(self.longitude_deg[0]),
            None,
            self.group.zone,
        )
        return WeatherSeries(
            self.record.time[low : low + len(air)],
            values,
            np.broadcast_to(np.uint8(Origin.MODELED), air.shape),
            place,
            Source("grid", self.record.label, "", "station"),
        )
