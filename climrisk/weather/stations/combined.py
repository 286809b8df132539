"""Several stations as one record, at their weighted height.

The weights are those of distance and height together, as station archives use them. At
the weighted height the lapse cancels but where a station is silent, so that its
uncertainty enters once: from there to the home (`climrisk.spot`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.constants import DAY_LAPSE_K_KM, DEW_LAPSE_K_KM, NIGHT_LAPSE_K_KM
from climrisk.core.errors import InputError
from climrisk.core.quantities import DISTANCE, HEIGHT, number, quantity
from climrisk.core.references import field
from climrisk.core.typed_text import typed
from climrisk.physics.solar import sun_path
from climrisk.weather.quality_flags import Marks
from climrisk.weather.series import MarkCount, Origin, Place, Source, WeatherSeries
from climrisk.weather.stations.info import StationInfo

#: A meter of height counts as ten meters of distance; weights fall with the square.
_HEIGHT_WEIGHT, _POWER = 10.0, 2.0
#: So near, in distance and height, a station stands for the place alone. [m]
_SAME_DISTANCE_M, _SAME_HEIGHT_M = 5_000.0, 50.0
_MEANS = ("wind_speed_m_s", "wind_gust_m_s", "cloud_cover_frac")


@dataclass(frozen=True)
class CombinedStation:
    """A station of the combination."""

    info: StationInfo
    series: WeatherSeries
    weight: float

    @property
    def height_m(self) -> float:
        """Above sea level."""
        return float(self.info.elevation_m or 0.0)


def combined(
    stations: Sequence[tuple[StationInfo, WeatherSeries]], elevation_m: float | None
) -> WeatherSeries:
    """Return one record from several stations near a place.

    Parameters
    ----------
    stations : sequence of (StationInfo, WeatherSeries)
        The best first; each with its distance from the place.
    elevation_m : float or None
        Height of the place; that of the first station where not known.

    Returns
    -------
    WeatherSeries
        An hour is known where any station knows it; air at the weighted height.

    Raises
    ------
    InputError
        A station without a known height.
    """
    parts = _parts(stations, elevation_m)
    if len(parts) == 1:
        return parts[0].series
    first = min(p.series.time[0] for p in parts)
    last = max(p.series.time[-1] for p in parts)
    time = np.arange(first, last + np.timedelta64(60, "m"), np.timedelta64(60, "m"))
    height = sum(p.weight * p.height_m for p in parts)
    nearest = parts[0].series.place
    place = Place(
        f"{len(parts)} stations near {nearest.name}",
        nearest.latitude_deg,
        nearest.longitude_deg,
        round(height, 1),
        nearest.zone,
    )
    lapse = _lapse_k_m(time, place)
    weights = np.array([p.weight for p in parts])
    air = np.stack(
        [
            _on(p.series, "air_temp_c", time) + lapse * (p.height_m - height)
            for p in parts
        ]
    )
    values = {"air_temp_c": np.round(_mean(air, weights), 2)}
    dew = np.stack(
        [
            _dew(p.series, time) + DEW_LAPSE_K_KM[0] / 1000 * (p.height_m - height)
            for p in parts
        ]
    )
    if np.isfinite(dew).any():
        values["dew_point_c"] = np.fmin(_mean(dew, weights), values["air_temp_c"])
    for name in _MEANS:
        rows = np.stack([_on(p.series, name, time) for p in parts])
        if np.isfinite(rows).any():
            values[name] = _mean(rows, weights)
    return WeatherSeries.build(
        time,
        values,
        place=place,
        source=Source(
            "station",
            " + ".join(p.series.source.label for p in parts),
            _credit(parts),
            "station",
        ),
        origin=_origin(parts, time)[:, None],
        notes=tuple(_notes(parts, height)),
        marks=_marks(parts),
    )


def _parts(
    stations: Sequence[tuple[StationInfo, WeatherSeries]], elevation_m: float | None
) -> list[CombinedStation]:
    height = stations[0][0].elevation_m if elevation_m is None else elevation_m
    for info, _ in stations:
        if info.elevation_m is None or height is None:
            raise InputError(
                "a station without a known height cannot be combined",
                where=field("combine"),
                value=f"{info.name} ({info.id})",
                next_step=f"leave out {field('combine')}, or name one with "
                + field("station"),
            )
    away = [_away(info, float(height or 0.0)) for info, _ in stations]
    same = [d <= _SAME_DISTANCE_M and h <= _SAME_HEIGHT_M for d, h in away]
    if any(same):
        info, series = stations[same.index(True)]
        return [CombinedStation(info, series, 1.0)]
    raw = [1 / max(np.hypot(d, _HEIGHT_WEIGHT * h), 1.0) ** _POWER for d, h in away]
    total = sum(raw)
    return [
        CombinedStation(info, series, float(w / total))
        for (info, series), w in zip(stations, raw, strict=True)
    ]


def _away(info: StationInfo, height_m: float) -> tuple[float, float]:
    """Return distance and difference of height from a place. [m]"""
    distance = float(info.distance_km or 0.0) * 1000
    return distance, abs(float(info.elevation_m or 0.0) - height_m)


def _lapse_k_m(time: NDArray[np.datetime64], place: Place) -> Float:
    """Return the fall of temperature per meter: that of minima by night."""
    sun = sun_path(time, place.latitude_deg, place.longitude_deg)
    day = sun.elevation_deg > 0
    return np.where(day, DAY_LAPSE_K_KM[0], NIGHT_LAPSE_K_KM[0]) / 1000.0


def _on(series: WeatherSeries, name: str, time: NDArray[np.datetime64]) -> Float:
    """Return a variable on another grid of hours; NaN outside and where absent."""
    out = np.full(len(time), np.nan)
    values = series.get(name)
    if values is not None:
        at = int((series.time[0] - time[0]) / np.timedelta64(60, "m"))
        out[at : at + len(series)] = values[:, 0]
    return out


def _dew(series: WeatherSeries, time: NDArray[np.datetime64]) -> Float:
    out = np.full(len(time), np.nan)
    dew = series.dew_point_c()
    if dew is not None:
        at = int((series.time[0] - time[0]) / np.timedelta64(60, "m"))
        out[at : at + len(series)] = dew[:, 0]
    return out


def _mean(rows: Float, weights: Float) -> Float:
    """Return weighted means over the stations that know an hour, shape (time,)."""
    known = np.isfinite(rows)
    share = (known * weights[:, None]).sum(axis=0)
    total = (np.where(known, rows, 0.0) * weights[:, None]).sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(share > 0, total / share, np.nan))


def _origin(
    parts: list[CombinedStation], time: NDArray[np.datetime64]
) -> NDArray[np.uint8]:
    """Return measured where any station measured, else what the others are."""
    out = np.full(len(time), Origin.MISSING, np.uint8)
    for mark in (Origin.MODELED, Origin.FILLED, Origin.MEASURED):
        for part in parts:
            at = int((part.series.time[0] - time[0]) / np.timedelta64(60, "m"))
            inside = out[at : at + len(part.series)]
            inside[part.series.origin[:, 0] == mark] = mark
    return out


def _credit(parts: list[CombinedStation]) -> str:
    """Return one credit line that names every source."""
    lines = dict.fromkeys(p.series.source.credit for p in parts)
    return "; ".join(lines)


def _marks(parts: list[CombinedStation]) -> tuple[MarkCount, ...]:
    """Return the flagged readings of all stations together."""
    marks = Marks()
    for part in parts:
        for one in part.series.marks:
            marks.counts[one.variable, one.mark] += one.readings
    return marks.tallied()


def _notes(parts: list[CombinedStation], height: float) -> list[str]:
    heights = [p.height_m for p in parts]
    notes = [
        f"{p.info.name} ({p.info.id}), "
        f"{quantity(DISTANCE, p.info.distance_km or 0, 0)} away at "
        f"{quantity(HEIGHT, p.height_m, 0)}: weight {p.weight:.0%}"
        for p in parts
    ]
    notes.append(
        f"stations between {number(HEIGHT, min(heights), 0)} and "
        f"{quantity(HEIGHT, max(heights), 0)} combined "
        f"at {quantity(HEIGHT, height, 0)}; lapse {NIGHT_LAPSE_K_KM[0]:g} K/km by "
        "night, "
        f"{DAY_LAPSE_K_KM[0]:g} by day"
    )
    for part in parts:
        notes += [f"{part.info.id}: {note}" for note in typed(part.series.notes)]
    return notes
