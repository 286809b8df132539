"""Stations as the list tells of them, and how well each suits a place."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from climrisk.core.quantities import DISTANCE, HEIGHT, quantity
from climrisk.core.typed_text import texts
from climrisk.weather.stations.coast import FAR_KM, coast_km

#: Providers whose hours are forecasts, not readings, by the client's own grades
#: (meteostat 2.1.5, providers/index.py: grade FORECAST or ANALYSIS).
MODELS = ("dwd_mosmix", "metno_forecast")
#: Words by which a provider that came later is told.
_MODEL_WORDS = ("forecast", "mosmix", "model", "analysis")
_NOT_HOURLY = ("ghcnd", "climat", "daily", "monthly")
#: Our estimates: what a meter of height, a missing year and model hours cost, in km.
_COAST_KM_PER_KM, _COAST_REACH_KM = 0.5, 30.0
_HEIGHT_KM_PER_M, _YEAR_KM, _MODEL_KM, _YEARS_WANTED = 0.1, 10.0, 100.0, 10


@dataclass(frozen=True)
class StationInfo:
    """A station and how it was judged.

    Parameters
    ----------
    id, name, country : str
    latitude_deg, longitude_deg : float
    elevation_m : float or None
    zone : str
    distance_km : float or None
        From the place asked for.
    first, last : str or None
        First and last day with hourly temperatures, by the inventory.
    measured : bool
        Whether the inventory lists readings, and not model hours alone.
    reasons : tuple of str
    coast_km : float or None
        From the sea, to about 5 km; None beyond 100 km.
    """

    id: str
    name: str
    country: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    zone: str
    distance_km: float | None
    first: str | None
    last: str | None
    reasons: tuple[str, ...] = field(default=())
    coast_km: float | None = None
    measured: bool = True

    def __post_init__(self) -> None:
        # Read in Python they show no marks; results keep their parts typed.
        object.__setattr__(self, "reasons", texts(self.reasons))

    @property
    def years(self) -> int:
        """Length of the hourly record in years."""
        if self.first is None or self.last is None:
            return 0
        return int(self.last[:4]) - int(self.first[:4]) + 1

    def lists(self, year: int) -> bool:
        """Return whether the inventory says that the year has hours."""
        first, last = self.first or "9999", self.last or "0000"
        return int(first[:4]) <= year <= int(last[:4])


@dataclass(frozen=True)
class RecordSpan:
    """First and last day of hourly temperatures by the inventory."""

    first: str
    last: str
    measured: bool


def is_model(provider: str) -> bool:
    """Return whether hours of a provider, or of any in a list of them, are modeled."""
    return any(
        name in MODELS or any(word in name for word in _MODEL_WORDS)
        for name in provider.split()
    )


def spans_of(inventory: Any) -> dict[str, RecordSpan]:
    """Return the span of hourly temperatures by station, readings before models.

    Parameters
    ----------
    inventory : DataFrame or None
        Indexed by station, provider and parameter.
    """
    out: dict[str, RecordSpan] = {}
    if inventory is None:
        return out
    for (station, provider, parameter), row in inventory.iterrows():
        hourly = not any(word in str(provider) for word in _NOT_HOURLY)
        if str(parameter) != "temp" or not hourly:
            continue
        new = RecordSpan(
            str(row["start"])[:10], str(row["end"])[:10], not is_model(str(provider))
        )
        out[str(station)] = _wider(out.get(str(station)), new)
    return out


def _wider(old: RecordSpan | None, new: RecordSpan) -> RecordSpan:
    if old is None or (new.measured and not old.measured):
        return new
    if old.measured and not new.measured:
        return old
    return RecordSpan(min(old.first, new.first), max(old.last, new.last), old.measured)


def station_info(key: str, row: Any, span: RecordSpan) -> StationInfo:
    """Return a station of the list, with what it leaves out made good."""
    height, distance = row["elevation"], row.get("distance")
    lat, lon = float(row["latitude"]), float(row["longitude"])
    return StationInfo(
        id=key,
        name=_text(row["name"]) or key,
        country=_text(row["country"]),
        latitude_deg=lat,
        longitude_deg=lon,
        elevation_m=float(height) if _known(height) else None,
        zone=_text(row["timezone"]) or _zone(lat, lon),
        distance_km=round(float(distance) / 1000, 1) if _known(distance) else None,
        first=span.first,
        last=span.last,
        measured=span.measured,
    )


def judged(
    info: StationInfo,
    elevation_m: float | None,
    place: tuple[float, float],
) -> tuple[float, StationInfo]:
    """Return a station's cost in km and the station with the reasons.

    Parameters
    ----------
    info : StationInfo
    elevation_m : float or None
        Height of the place.
    place : (float, float)
        Its latitude and longitude.
    """
    reasons = [f"station {quantity(DISTANCE, info.distance_km or 0.0)} away"]
    cost = info.distance_km or 0.0
    if info.elevation_m is not None:
        reasons.append(f"station at {quantity(HEIGHT, info.elevation_m, 0)}")
        if elevation_m is not None:
            difference = info.elevation_m - elevation_m
            cost += abs(difference) * _HEIGHT_KM_PER_M
            if abs(difference) >= 1:
                word = "above" if difference > 0 else "below"
                reasons[-1] += (
                    f", {quantity(HEIGHT, abs(difference), 0)} {word} the place"
                )
    sea = (coast_km(*place), coast_km(info.latitude_deg, info.longitude_deg))
    cost += _coast_cost(*sea)
    if sea[0] is not None or sea[1] is not None:
        reasons.append(f"station {_from_sea(sea[1])}, the place {_from_sea(sea[0])}")
    reasons.append(f"{info.years} years of hours ({info.first} to {info.last})")
    cost += _YEAR_KM * max(0, _YEARS_WANTED - info.years)
    if not info.measured:
        cost += _MODEL_KM
        reasons.append("model hours only, no readings, by the inventory")
    return cost, replace(info, reasons=tuple(reasons), coast_km=sea[1])


def _coast_cost(place: float | None, station: float | None) -> float:
    """Return what another distance from the sea costs, in km.

    Within some 30 km of the sea its warmth fades fast; farther inland a difference
    says little.
    """
    reach = [min(_COAST_REACH_KM, FAR_KM if d is None else d) for d in (place, station)]
    return _COAST_KM_PER_KM * abs(reach[0] - reach[1])


def _from_sea(distance: float | None) -> str:
    if distance is None:
        return f"over {quantity(DISTANCE, FAR_KM, 0)} from the sea"
    return (
        "by the sea"
        if distance < 5
        else f"{quantity(DISTANCE, distance, 0)} from the sea"
    )


def _known(value: Any) -> bool:
    return value is not None and value == value


def _text(value: Any) -> str:
    """Return a text of the list; "" where it is missing, which pandas writes as NaN."""
    return str(value) if _known(value) else ""


def _zone(latitude_deg: float, longitude_deg: float) -> str:
    import tzfpy

    return str(tzfpy.get_tz(longitude_deg, latitude_deg))
