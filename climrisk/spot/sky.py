"""The sky and the sun of a record, with stand-ins for what it does not know."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import columns, is_known
from climrisk.core.quantities import difference, speed
from climrisk.physics.solar import (
    SunPath,
    beam_and_diffuse,
    clear_sky_ghi_w_m2,
    cloud_of_transmission,
    cloud_transmission,
)
from climrisk.spot.ensemble import Ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.nightly import Nightly
from climrisk.spot.regimes import cloud_of_nights
from climrisk.weather.series import WeatherSeries

# Stand-ins (our estimates): half-clouded sky, a light wind, air damp by dawn.
ASSUMED_CLOUD = (0.5, 0.25)
#: A mean cloud cover is made of clear and of overcast hours, and takes more of the
#: sunlight than hours that are all half clouded would: near the straight line between a
#: clear sky and an overcast one, which takes 0.75 (our estimate).
MEAN_CLOUD_TAKES = 0.6
ASSUMED_WIND_M_S = 2.5
ASSUMED_WIND_LOG_SD = 0.4
ASSUMED_DEW_BELOW_LOWEST_K = (1.0, 2.0)


@dataclass(frozen=True)
class Substitute:
    """A variable that the record lacks and what stands in for it, in words."""

    variable: str
    value: str
    spread: str
    why: str


def unknown_place(kind: SpotKind) -> list[Substitute]:
    """Return what stands in for the place of a record of which nothing is told."""
    if kind.open_share == (1.0, 0.0):
        return []
    (seen, seen_sd), wind, sd = kind.open_share, kind.wind_mean, kind.wind_sd
    why = "only the air was measured: name the kind of spot to narrow this"
    return [
        Substitute(
            "sky and sun seen",
            f"{seen:.0%} of those of open ground",
            f"standard deviation {seen_sd:.0%}",
            why,
        ),
        Substitute(
            "wind at the plant",
            f"{wind:g} of the wind at 10 m",
            f"standard deviation {sd:g}",
            why,
        ),
    ]


@dataclass(frozen=True)
class Sky:
    """What arrives above the spot, each of shape (time, case) or (time, 1).

    Parameters
    ----------
    cloud_frac, wind_m_s, dew_point_c : ndarray
        Of the station, with stand-ins.
    ghi_w_m2 : ndarray
        Global sunlight on level ground.
    split : callable
        Returns beam and diffuse, computed only where somebody asks for them.
    sun : SunPath
    assumed : tuple of Substitute
    """

    cloud_frac: Float
    wind_m_s: Float
    dew_point_c: Float
    ghi_w_m2: Float
    split: Callable[[], tuple[Float, Float]]
    sun: SunPath
    assumed: tuple[Substitute, ...]

    @cached_property
    def _light(self) -> tuple[Float, Float]:
        return self.split()

    @property
    def beam_w_m2(self) -> Float:
        """Sunlight on a plane facing the sun."""
        return self._light[0]

    @property
    def diffuse_w_m2(self) -> Float:
        """Diffuse sunlight on level ground."""
        return self._light[1]


def sky_of(
    weather: WeatherSeries,
    sun: SunPath,
    night_lowest_c: Float,
    ensemble: Ensemble,
    nightly: Nightly | None = None,
) -> Sky:
    """Return the sky of a record.

    Parameters
    ----------
    weather : WeatherSeries
        One place.
    sun : SunPath
        Of the same hours.
    night_lowest_c : ndarray of float, shape (time, 1)
        Lowest air temperature of each hour's night, for a missing humidity; anything
        where none is missing.
    ensemble : Ensemble
        The spread of what is assumed.
    nightly : Nightly, optional
        Nights by wind and cooling, which tell of a cloud cover that is missing; not
        needed where none is.
    """
    assumed: list[Substitute] = []
    cloud = _cloud(weather, sun, ensemble, nightly, assumed)
    wind = _wind(weather, ensemble, assumed)
    dew = _dew(weather, night_lowest_c, ensemble, assumed)
    ghi = _ghi(weather, sun, cloud, assumed)
    split = partial(beam_and_diffuse, ghi, sun)
    return Sky(cloud, wind, dew, ghi, split, sun, tuple(assumed))


def _cloud(
    weather: WeatherSeries,
    sun: SunPath,
    ensemble: Ensemble,
    nightly: Nightly | None,
    assumed: list[Substitute],
) -> Float:
    if "cloud_cover_frac" in weather.complete:
        return weather.values["cloud_cover_frac"]
    known = weather.get("cloud_cover_frac")
    if known is not None and is_known(known):
        return known
    by_day = "sunlight by day" if "ghi_w_m2" in weather.values else "half by day"
    text = f"of each night from its wind and cooling, {by_day}"
    guess = _guessed_cloud(weather, sun, ensemble, nightly)
    if known is not None:
        return _fill(known, guess, "cloud cover", text, assumed)
    sd = f"standard deviation {ASSUMED_CLOUD[1]:g} by day"
    assumed.append(Substitute("cloud cover", text, sd, "the record has none"))
    return guess


def _guessed_cloud(
    weather: WeatherSeries, sun: SunPath, ensemble: Ensemble, nightly: Nightly | None
) -> Float:
    """Return cloud for every hour: by night from the regime, by day from sunlight."""
    mean = np.clip(ensemble.value("cloud", ASSUMED_CLOUD), 0.0, 1.0)
    by_day = mean
    ghi = weather.get("ghi_w_m2")
    if ghi is not None:
        passed = _daily_share(weather, sun, ghi)
        by_day = np.where(np.isnan(passed), mean, cloud_of_transmission(passed))
    if nightly is None:
        return np.broadcast_to(by_day, (len(weather), max(by_day.shape[1], 1)))
    of_night = cloud_of_nights(nightly.regimes, ensemble)
    if ghi is not None:  # the days before and after tell of a night too
        around = _night_mean(by_day, nightly.index)
        of_night = np.where(np.isnan(of_night), around, 0.5 * (of_night + around))
    of_night = np.where(np.isnan(of_night), mean, of_night)[nightly.index]
    night = columns(np.asarray(sun.elevation_deg) < 0)
    return np.where(night, of_night, by_day)


def _night_mean(by_day: Float, index: NDArray[np.int64]) -> Float:
    """Return the mean over the hours from noon to noon around each night."""
    first = np.searchsorted(index, np.arange(int(index[-1]) + 1))
    hours = np.diff(np.append(first, len(index)))
    return np.asarray(np.add.reduceat(by_day, first, axis=0) / hours[:, None])


def _daily_share(weather: WeatherSeries, sun: SunPath, ghi: Float) -> Float:
    """Return the sunlight of each hour's day over that of a clear one; NaN unknown."""
    day = weather.seasons().day
    first = np.flatnonzero(np.diff(day, prepend=day[0] - 1))
    clear = columns(clear_sky_ghi_w_m2(sun))
    seen = np.isfinite(ghi) & (clear > 0)
    got, most = (
        np.add.reduceat(np.where(seen, x, 0.0), first, axis=0) for x in (ghi, clear)
    )
    share = np.where(most > 0, got / np.maximum(most, 1.0), np.nan)
    return np.asarray(np.repeat(share, np.diff(np.append(first, len(day))), axis=0))


def _wind(
    weather: WeatherSeries, ensemble: Ensemble, assumed: list[Substitute]
) -> Float:
    if "wind_speed_m_s" in weather.complete:
        return weather.values["wind_speed_m_s"]
    known = weather.get("wind_speed_m_s")
    guess = ASSUMED_WIND_M_S * np.exp(ASSUMED_WIND_LOG_SD * ensemble.scores["wind"])
    text = speed(ASSUMED_WIND_M_S)
    if known is None:
        assumed.append(
            Substitute(
                "wind",
                text,
                f"factor {np.exp(ASSUMED_WIND_LOG_SD):.1f} either way",
                "the record has none",
            )
        )
        return np.broadcast_to(guess, (len(weather), ensemble.count))
    return _fill(known, guess, "wind", text, assumed)


def _dew(
    weather: WeatherSeries, lowest: Float, ensemble: Ensemble, assumed: list[Substitute]
) -> Float:
    if "dew_point_c" in weather.complete:
        return weather.values["dew_point_c"]
    known = weather.dew_point_c()
    below, sd = ASSUMED_DEW_BELOW_LOWEST_K
    if known is not None and is_known(known):
        return known
    guess = np.minimum(lowest - ensemble.value("dew", (below, sd)), weather.air_temp_c)
    text = f"{difference(below)} below the night's lowest"
    if known is None:
        assumed.append(
            Substitute(
                "humidity",
                f"dew point {text}",
                f"standard deviation {difference(sd)}",
                "the record has none",
            )
        )
        return guess
    return _fill(known, guess, "humidity", text, assumed)


def _ghi(
    weather: WeatherSeries, sun: SunPath, cloud: Float, assumed: list[Substitute]
) -> Float:
    if "ghi_w_m2" in weather.complete:
        return weather.values["ghi_w_m2"]
    known = weather.get("ghi_w_m2")
    passed = cloud_transmission(cloud)
    if weather.get("cloud_cover_frac") is None:
        passed = 1.0 - MEAN_CLOUD_TAKES * cloud
    guess = columns(clear_sky_ghi_w_m2(sun)) * passed
    if known is None:
        why = "the record has none"
        assumed.append(
            Substitute("sunlight", "from sun height and cloud", "that of cloud", why)
        )
        return guess
    return _fill(known, guess, "sunlight", "from sun height and cloud", assumed)


def _fill(
    known: Float, guess: Float, variable: str, text: str, assumed: list[Substitute]
) -> Float:
    """Put the stand-in where the record has holes, and say in how many hours."""
    if is_known(known):
        return known
    holes = np.isnan(known)
    count = int(holes.sum())
    assumed.append(
        Substitute(
            variable, text, "as for a record without", f"unknown in {count:,} hours"
        )
    )
    return np.where(holes, guess, known)
