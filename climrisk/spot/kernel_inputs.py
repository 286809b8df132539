"""What the climate of a spot is worked out from, for a loop that does so itself.

`climrisk.spot.transfer.spot_climate` works out every part of the climate for every
hour. Where only the pot and its air are asked for, over very many places, that costs
several times the pot: here the same formulas are made ready to be put into the pot's
own loop.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons
from climrisk.physics.solar import Places, SunPath
from climrisk.spot.air import more_by_evening_k, still_offset_k, sun_warmth_k
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.modifiers import sited
from climrisk.spot.nightly import evening_at, first_hours, winter_at
from climrisk.spot.radiation import sky_lacking, sky_seen, surroundings_shares
from climrisk.spot.regimes import FALL_H
from climrisk.spot.sky import Sky, sky_of
from climrisk.spot.sunlight import reach
from climrisk.spot.transfer import air_at_kind_c, dew_at_kind_c, full, prepare
from climrisk.spot.wind import ROOM_WIND_M_S, shelter
from climrisk.weather.series import WeatherSeries

#: Hours of the means that the surroundings and the day's rise follow.
MEAN_H = 24
#: Hours that must stand before those that are worked out: the day before, a night from
#: its noon, and the sun's last two hours before that.
BEFORE_H = 27
#: And after them: the night that begins with the hour after, and how its air falls.
AHEAD_H = 24 + FALL_H

ROWS = (
    "base_c",  # what the spot's air is made of: the station's, or itself
    "dew_point_c",  # of the spot, before its air limits it
    "wind_m_s",
    "station_c",
    "sky_dew_c",
    "cloud_frac",
    "ghi_w_m2",
    "share",  # of the beam that reaches the spot
)
HOURLY = ("winter", "evening", "equator", "east", "pole")
NUMBERS = (
    "diffuse_top",
    "diffuse_wall",
    "leak_k",
    "wall_slow",
    "wall_ground",
    "floor_slow",
    "floor_ground",
    "sky_wall",
    "sky_top",
    "lacking",
    "damper_k",  # of the dew point at the spot
    "later",  # part of an hour by which the air comes later
    "damping",
    "windy_k",
    "day_k",
    "more_k",
    "warmed_k",
    "vent_c",
    "vented",
    "shelter",  # wind at the spot over that of the row
    "wind_known",  # 1 where the record knows it
    "cloud_known",
    "pane",
    "pane_by_night",
    "shading_above",
    "shading_takes",
    "glass_wall",
    "glass_top",
    "glass_sky",
)


class Calendar(NamedTuple):
    """What places of one standard time and one half of the Earth have in common.

    Parameters
    ----------
    seasons : Seasons
    toward : float32 array (3, time)
        Of `climrisk.physics.solar.toward_sun`.
    hourly : float32 array (time, 5)
        By `HOURLY`: the season, the evening, and the place of the sun.
    night : int64 array (time,)
        Index of each hour's night.
    winter : float array (night, 1)
        At the first hour of each night.
    """

    seasons: Seasons
    toward: Any
    hourly: Any
    night: Any
    winter: Any

    @classmethod
    def of(cls, seasons: Seasons, toward: Float) -> Calendar:
        """Return the calendar of all hours of a record."""
        winter = winter_at(seasons).astype(np.float32)
        hourly = np.stack([winter, evening_at(seasons), *toward], axis=1)
        night = seasons.night_index
        of_night = winter[first_hours(night), None].astype(float)
        return cls(seasons, toward, hourly.astype(np.float32), night, of_night)

    def hours(self, part: slice) -> Calendar:
        """Return the calendar of some of the hours; its nights stay all nights."""
        return self._replace(
            seasons=self.seasons.hours(part),
            toward=self.toward[:, part],
            hourly=self.hourly[part],
            night=self.night[part],
        )


class Ingredients(NamedTuple):
    """Hours of a spot, nothing of them unknown.

    Parameters
    ----------
    rows : tuple of float32 array (time, case)
        By `ROWS`; of wind, cloud and share one row may stand for all hours.
    steps : tuple of int
        Of wind, cloud and share: 1, or 0 where one row stands for all hours; and the
        whole hours by which the air comes later.
    hourly : float32 array (time, 5)
        By `HOURLY`.
    night : int64 array (time,)
        Index of each hour's night.
    still_k : float32 array (night,)
        Offset of each night were it clear and still.
    up : float32 array (3, case)
        Of `climrisk.physics.solar.Places`.
    numbers : float32 array
        By `NUMBERS`.
    """

    rows: tuple[Any, ...]
    steps: tuple[int, int, int, int]
    hourly: Any
    night: Any
    still_k: Any
    up: Any
    numbers: Any


def ingredients(
    weather: WeatherSeries,
    kind: SpotKind,
    calendar: Calendar,
    places: Places,
) -> Ingredients | None:
    """Return what the climate of a spot is made of, in the middle member.

    Parameters
    ----------
    weather : WeatherSeries
        With a column for each place.
    kind : SpotKind
    calendar : Calendar
        Of its hours.
    places : Places
        Of one standard time and one half of the Earth.

    Returns
    -------
    Ingredients or None
        None where any hour of any case lacks something: then the way round is
        `climrisk.spot.transfer.spot_climate`.
    """
    if len(weather.complete) < len(weather.values):
        return None
    kind = sited(kind, weather.place.latitude_deg)
    sun = SunPath.seen_from(calendar.toward, places)
    station = weather.air_temp_c
    shape = station.shape
    plain = not kind.indoors and kind.learned is None
    # Humidity and cloud that are missing follow the nights, which are not known here.
    known = weather.dew_point_c() is not None and "cloud_cover_frac" in weather.values
    if plain and known:
        sky = sky_of(weather, sun, station, ensemble(1))
        base, dew = station, sky.dew_point_c
        damper = 0.0 if kind.as_recorded else float(kind.dew_k[0])
    else:
        # What follows nights, means over days, learned hours or set points comes first.
        plain = False
        made = prepare(weather, ensemble(1), sun=sun, seasons=calendar.seasons)
        sky, base = made.sky, air_at_kind_c(made, kind)
        dew, damper = dew_at_kind_c(made, kind, base), 0.0
    offset = plain and not kind.as_recorded
    got = reach(kind, sky, north=calendar.seasons.north)
    wind, cloud, has_wind_and_cloud = _wind_and_cloud(weather, kind, sky)
    share = got.beam if got.by_geometry else got.beam[:1]
    rows = (
        *(full(x, shape) for x in (base, dew)),
        full(wind, (len(wind), shape[1])),
        *(full(x, shape) for x in (station, sky.dew_point_c)),
        full(cloud, (len(cloud), shape[1])),
        full(sky.ghi_w_m2, shape),
        full(share, (len(share), shape[1])),
    )
    shares = surroundings_shares(kind)
    still, air = _air(kind, calendar, offset=offset)
    numbers = (
        *(got.diffuse_top, got.diffuse_wall, shares.leak_k),
        *(shares.wall_slow, shares.wall_ground),
        *(shares.floor_slow, shares.floor_ground),
        *(*sky_seen(kind), sky_lacking(kind), damper),
        *air,
        1.0 if kind.indoors else float(shelter(kind, ensemble(1))[0, 0]),
        *has_wind_and_cloud,
        *(shares.pane, shares.pane_by_night),
        *kind.shading,
        *(kind.glass_wall, kind.glass_top, kind.glass_sky),
    )
    steps = (int(len(wind) > 1), int(len(cloud) > 1), int(len(share) > 1))
    return Ingredients(
        rows,
        (*steps, int(kind.lag_h) if offset else 0),
        calendar.hourly,
        calendar.night,
        still,
        places.up,
        np.array(numbers, np.float32),
    )


def _wind_and_cloud(
    weather: WeatherSeries, kind: SpotKind, sky: Sky
) -> tuple[Float, Float, tuple[float, float]]:
    """Return their rows, one for all hours where the record has none, and if it has."""
    no_wind = weather.get("wind_speed_m_s") is None
    no_cloud = weather.get("cloud_cover_frac") is None
    wind = sky.wind_m_s[:1] if no_wind else sky.wind_m_s
    if kind.indoors:
        wind, no_wind = np.full((1, 1), ROOM_WIND_M_S), True
    return wind, sky.cloud_frac, (float(not no_wind), float(not no_cloud))


def _air(
    kind: SpotKind, calendar: Calendar, *, offset: bool
) -> tuple[Float, tuple[float, ...]]:
    """Return the still offset of each night, and the numbers from `later` on."""
    if not offset:
        return np.zeros(len(calendar.winter), np.float32), (*(0.0,) * 7, 1.0)
    still = still_offset_k(kind, calendar.winter, ensemble(1))
    windy, day = _mean(kind.windy), _mean(kind.day_k)
    more = 0.0
    if kind.evening_k is not None:
        more = float(more_by_evening_k(kind, ensemble(1))[0, 0])
    later = kind.lag_h - int(kind.lag_h)
    vents = (sun_warmth_k(kind), kind.vent_temp_c, kind.vents[0])
    numbers = (later, kind.damping_frac, windy, day, more, *vents)
    return still[:, 0].astype(np.float32), numbers


def _mean(pair: Pair | None) -> float:
    assert pair is not None  # kinds of this group have it
    return pair[0]
