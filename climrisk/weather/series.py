"""Hourly weather of a place, with the origin of each hour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import IntEnum
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons
from climrisk.core.chunked import is_known
from climrisk.core.errors import InputError
from climrisk.core.typed_text import texts
from climrisk.core.variables import VARIABLES
from climrisk.physics import humidity
from climrisk.weather.rounding import resolution_c


class Origin(IntEnum):
    """Where the air temperature of an hour comes from."""

    MISSING = 0
    MEASURED = 1
    FILLED = 2
    MODELED = 3


@dataclass(frozen=True)
class Place:
    """Where a record was measured.

    Parameters
    ----------
    name : str
        Words for people.
    latitude_deg, longitude_deg : float
        Degrees north and east.
    elevation_m : float or None
        Height above sea level; None where unknown.
    zone : str
        IANA time zone.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    zone: str

    def __post_init__(self) -> None:
        validation.latitude(self.latitude_deg, where=self.name)
        validation.longitude(self.longitude_deg, where=self.name)


@dataclass(frozen=True)
class Source:
    """What a record is.

    Parameters
    ----------
    kind : {"demo", "logger", "typical", "station", "forecast", "grid"}
        Kind of record.
    label : str
        File name, station name or the like.
    credit : str
        The credit line that every output must carry; "" where none is owed.
    measured_at : {"spot", "station"}
        Whether the sensor stood where the plant stands.
    """

    kind: Literal["demo", "logger", "typical", "station", "forecast", "grid"]
    label: str
    credit: str
    measured_at: Literal["spot", "station"]


#: Farther than this, or higher or lower, a station only gives a rough reading. [km, m]
ROUGH_KM, ROUGH_M = 50.0, 300.0
#: What distance beyond 10 km and height add to the spread of a night's offset, besides
#: the lapse itself (standard deviations; our estimates: ridges, basins and coasts lie
#: between). [K/km, K/km of height]
_FAR_K_KM, _NEAR_KM, _HEIGHT_K_KM = 0.025, 10.0, 1.5


@dataclass(frozen=True)
class Away:
    """How far a station stands from the place asked for, and which were next.

    Parameters
    ----------
    distance_km : float
    height_difference_m : float or None
        Station minus place; None where either height is not known.
    others : tuple of str
        The next stations, each with its reasons.
    """

    distance_km: float
    height_difference_m: float | None = None
    others: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        # Read in Python they show no marks; results keep their parts typed.
        object.__setattr__(self, "others", texts(self.others))

    @property
    def spread_k(self) -> float:
        """Standard deviation that distance and height add to a night's offset. [K]"""
        far = _FAR_K_KM * max(0.0, self.distance_km - _NEAR_KM)
        return far + _HEIGHT_K_KM * abs(self.height_difference_m or 0.0) / 1000.0

    @property
    def rough(self) -> bool:
        """Whether it is too far, or too much higher or lower, for more than a hint."""
        height = abs(self.height_difference_m or 0.0)
        return self.distance_km > ROUGH_KM or height > ROUGH_M


@dataclass(frozen=True)
class MarkCount:
    """Readings that were taken out, and why; see `climrisk.weather.quality_flags`."""

    variable: str
    mark: str
    readings: int


@dataclass(frozen=True, repr=False)
class WeatherSeries:
    """A gapless grid of hours in UTC; an absent hour is NaN, never left out.

    Parameters
    ----------
    time : ndarray of datetime64[m], shape (time,)
        UTC start of each hour, one hour apart. Whole hours, or the half or quarter
        hours on which a zone's own hours begin.
    values : mapping of str to ndarray of float, shape (time, case)
        By names of `climrisk.core.variables`; NaN is missing. A variable that the
        record does not know is absent from the mapping.
    origin : ndarray of uint8, shape (time, case)
        `Origin` of the air temperature.
    place, source : Place, Source
        Where, and from what.
    notes : tuple of str
        What a reader of the numbers must know (unit guesses, clock, duplicates).
    marks : tuple of MarkCount
        Readings taken out.
    lowest_c : ndarray of float, shape (time,), optional
        Lowest single reading of each hour, where readings come closer than hours: the
        mean of an hour misses it.
    resolution_c : float or None
        Step to which the air was rounded; None where it is fine or unknown.
    fill_error_k : float or None
        Usual error of the hours filled from another record; None without such hours.
    """

    time: NDArray[np.datetime64]
    values: Mapping[str, Float]
    origin: NDArray[np.uint8]
    place: Place
    source: Source
    notes: tuple[str, ...] = field(default=())
    marks: tuple[MarkCount, ...] = field(default=())
    lowest_c: Float | None = None
    resolution_c: float | None = None
    fill_error_k: float | None = None
    away: Away | None = None

    def __post_init__(self) -> None:
        # Read in Python they show no marks; results keep their parts typed.
        object.__setattr__(self, "notes", texts(self.notes))

    @classmethod
    def build(
        cls,
        time: NDArray[np.datetime64],
        values: Mapping[str, Float],
        *,
        place: Place,
        source: Source,
        origin: NDArray[np.uint8] | None = None,
        notes: tuple[str, ...] = (),
        marks: tuple[MarkCount, ...] = (),
    ) -> WeatherSeries:
        """Return a series, its values checked.

        One-dimensional values become one case. Variables that are all NaN are
        dropped. Without `origin`, every known hour counts as measured.

        Raises
        ------
        InputError
            No air temperature at all, or a value no weather can have.
        """
        time = time.astype("datetime64[m]")
        if len(time) > 1 and not (np.diff(time) == np.timedelta64(60, "m")).all():
            msg = "hours must follow each other without a break"
            raise ValueError(msg)
        columns: dict[str, Float] = {}
        for name, column in values.items():
            array = np.asarray(column, dtype=np.float64).reshape(len(time), -1)
            if name not in VARIABLES:
                msg = f"unknown variable {name}"
                raise ValueError(msg)
            if np.isfinite(array).any():
                columns[name] = validation.hourly_values(
                    name, array, where=source.label
                )
        if "air_temp_c" not in columns:
            raise InputError(
                "no air temperature in the record",
                where=source.label,
                next_step="give a file or station with hourly air temperature",
            )
        air = columns["air_temp_c"]
        if origin is None:
            known = np.isfinite(air)
            origin = np.where(known, Origin.MEASURED, Origin.MISSING).astype(np.uint8)
        return cls(
            *(time, columns, origin, place, source, notes, marks),
            resolution_c=resolution_c(air[:, 0]),
        )

    def __len__(self) -> int:
        return len(self.time)

    def __repr__(self) -> str:
        first, last = (str(t)[:10] for t in (self.time[0], self.time[-1]))
        return f"<WeatherSeries: {self.source.label}, {first} to {last}>"

    @property
    def air_temp_c(self) -> Float:
        """Air temperature, shape (time, case). [°C]"""
        return self.values["air_temp_c"]

    @property
    def typical(self) -> bool:
        """Whether this is a stitched typical year and not a record."""
        return self.source.kind == "typical"

    @cached_property
    def complete(self) -> frozenset[str]:
        """Names of the variables of which every hour is known."""
        return frozenset(name for name, x in self.values.items() if is_known(x))

    def get(self, name: str) -> Float | None:
        """Return a variable, shape (time, case), or None where the record lacks it."""
        return self.values.get(name)

    def dew_point_c(self) -> Float | None:
        """Return the dew point, from humidity where need be; None without either."""
        dew = self.values.get("dew_point_c")
        relative = self.values.get("rel_humidity_pct")
        if dew is None and relative is not None:
            dew = humidity.dew_point_from_humidity_c(self.air_temp_c, relative)
        return dew

    def seasons(self) -> Seasons:
        """Return the local standard seasons of every hour."""
        return Seasons.of(
            self.time, zone=self.place.zone, latitude_deg=self.place.latitude_deg
        )

    def between(self, first: int, stop: int) -> WeatherSeries:
        """Return the hours from index `first` up to but not including `stop`."""
        cut = slice(first, stop)
        return replace(
            self,
            time=self.time[cut],
            values={k: v[cut] for k, v in self.values.items()},
            origin=self.origin[cut],
            lowest_c=None if self.lowest_c is None else self.lowest_c[cut],
        )
