"""Weather of a station: from our archive, completed from the network."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError, WeatherUnavailable
from climrisk.weather.archive import Archive, StationYear
from climrisk.weather.client import Client
from climrisk.weather.series import Origin, Place, Source, WeatherSeries

if TYPE_CHECKING:
    from climrisk.weather.choose import WeatherChoice

Float = NDArray[np.floating]

#: Growing years that are taken where the user does not say.
USUAL_YEARS = 30
_RECENT_DAYS, _OLD_DAYS = 1.0, 30.0
_NEAR_M = 100_000.0
#: Providers whose hours are forecasts or analyses, not readings.
_MODEL_WORDS = ("forecast", "mosmix", "model", "analysis")
_NOT_HOURLY = ("ghcnd", "climat", "daily", "monthly")


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
    reasons : tuple of str
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

    @property
    def years(self) -> int:
        """Length of the hourly record in years."""
        if self.first is None or self.last is None:
            return 0
        return int(self.last[:4]) - int(self.first[:4]) + 1


@dataclass
class Stations:
    """Stations and their hours: network, archive, and what to say about both."""

    client: Client = field(default_factory=Client)
    archive: Archive = field(default_factory=Archive)
    now: datetime = field(default_factory=lambda: datetime.now(UTC))

    def near(
        self, latitude_deg: float, longitude_deg: float, elevation_m: float | None
    ) -> list[StationInfo]:
        """Return stations within 100 km, the best first, with reasons.

        Best is near, of like height and with a long record of hours: 100 m of height
        count as 10 km, and each year short of ten as 10 km (our estimates).
        """
        frame = self.client.stations_near(latitude_deg, longitude_deg, _NEAR_M)
        ids = [str(i) for i in frame.index]
        spans = self._spans(ids) if ids else {}
        out = []
        for key, row in frame.iterrows():
            first, last = spans.get(str(key), (None, None))
            if first is None:
                continue
            out.append(_info(str(key), row, first, last))
        judged = [_judged(info, elevation_m) for info in out]
        return [info for _, info in sorted(judged, key=lambda pair: pair[0])]

    def named(self, station: str) -> StationInfo:
        """Return a station by its ID.

        Raises
        ------
        InputError
            No such station, or one known to have no hourly temperatures.
        """
        meta = self.client.station(station)
        if meta is None:
            raise InputError(
                "no such station",
                where="--station",
                value=station,
                allowed="an ID as climrisk stations --at LAT,LON lists them",
            )
        first, last = self._spans([station]).get(station, (None, None))
        if first is None:
            raise InputError(
                "this station has no hourly temperatures",
                where="--station",
                value=station,
                next_step="climrisk stations --at LAT,LON lists those that have",
            )
        row = {
            "name": meta.name,
            "country": meta.country,
            "latitude": meta.latitude,
            "longitude": meta.longitude,
            "elevation": meta.elevation,
            "timezone": meta.timezone,
        }
        return _info(station, row, first, last)

    def _spans(self, ids: list[str]) -> dict[str, tuple[str | None, str | None]]:
        """Return first and last day of hourly temperatures by station."""
        frame = self.client.inventory(ids)
        out: dict[str, tuple[str | None, str | None]] = {}
        if frame is None or frame.empty:
            return out
        for (station, provider, parameter), row in frame.iterrows():
            hourly = not any(word in str(provider) for word in _NOT_HOURLY)
            if str(parameter) != "temp" or not hourly:
                continue
            first, last = str(row["start"])[:10], str(row["end"])[:10]
            old = out.get(str(station), (first, last))
            out[str(station)] = (min(first, str(old[0])), max(last, str(old[1])))
        return out

    def load(self, info: StationInfo, first_year: int, last_year: int) -> WeatherSeries:
        """Return the hours of a station from the archive and the network.

        Raises
        ------
        WeatherUnavailable
            A year could not be had and is not in the archive.
        InputError
            The archive on the network has no hours at all in these years.
        """
        notes: list[str] = []
        span = range(first_year, last_year + 1)
        years = [self._year(info, year, notes) for year in span]
        if not any(years):
            raise InputError(
                "the station has no hourly data in these years",
                where=f"station {info.id}",
                value=f"{first_year} to {last_year}",
                allowed=f"{info.first} to {info.last}",
            )
        return _series(info, first_year, years, notes, self.now)

    def _year(
        self, info: StationInfo, year: int, notes: list[str]
    ) -> StationYear | None:
        with self.archive.locked():
            held = self.archive.read(info.id, year)
            if held is not None and held.age_days(self.now) < self._patience(year):
                return held
            try:
                fresh = self.client.station_year(info.id, year)
            except WeatherUnavailable:
                if held is None:
                    raise
                notes.append(
                    f"{year}: could not be asked again; the archived hours of "
                    f"{held.fetched[:10]} are used"
                )
                return held
            if fresh is None:
                if held is None and _inventory_says(info, year):
                    notes.append(
                        f"{year}: no file, although the inventory lists hours; unknown"
                    )
                return held
            return self.archive.write(fresh)

    def _patience(self, year: int) -> float:
        """Return for how many days an archived year is not asked again."""
        return _RECENT_DAYS if year >= self.now.year - 1 else _OLD_DAYS


def _inventory_says(info: StationInfo, year: int) -> bool:
    first, last = info.first or "9999", info.last or "0000"
    return first[:4] <= str(year) <= last[:4]


def _info(key: str, row: Any, first: str | None, last: str | None) -> StationInfo:
    height = row["elevation"]
    distance = row.get("distance")
    return StationInfo(
        key,
        str(row["name"] or key),
        str(row["country"] or ""),
        float(row["latitude"]),
        float(row["longitude"]),
        None if height is None or height != height else float(height),
        str(row["timezone"] or "Etc/GMT"),
        None if distance is None else round(float(distance) / 1000, 1),
        first,
        last,
    )


def _judged(info: StationInfo, elevation_m: float | None) -> tuple[float, StationInfo]:
    from dataclasses import replace

    reasons = [f"{info.distance_km:g} km away"]
    cost = info.distance_km or 0.0
    if info.elevation_m is not None:
        reasons.append(f"at {info.elevation_m:.0f} m")
        if elevation_m is not None:
            cost += abs(info.elevation_m - elevation_m) / 10.0
    reasons.append(f"{info.years} years of hours ({info.first} to {info.last})")
    cost += 10.0 * max(0, 10 - info.years)
    return cost, replace(info, reasons=tuple(reasons))


def _series(
    info: StationInfo,
    first_year: int,
    years: list[StationYear | None],
    notes: list[str],
    now: datetime,
) -> WeatherSeries:
    start = np.datetime64(f"{first_year}-01-01T00:00", "m")
    end = np.datetime64(f"{first_year + len(years)}-01-01T00:00", "m")
    time = np.arange(start, end, np.timedelta64(60, "m"))
    known = [y for y in years if y is not None]
    raw = {
        n: _joined(n, years, first_year)
        for n in ("temp", "rhum", "wspd", "wpgt", "cldc")
    }
    values = {
        "air_temp_c": raw["temp"],
        "rel_humidity_pct": raw["rhum"],
        "wind_speed_m_s": raw["wspd"] / 3.6,
        "wind_gust_m_s": raw["wpgt"] / 3.6,
        "cloud_cover_frac": np.where(raw["cldc"] <= 8, raw["cldc"] / 8.0, np.nan),
    }
    origin = _origin(years, first_year, raw["temp"])
    keep = time <= np.datetime64(now.replace(tzinfo=None), "m")
    rows = np.flatnonzero(keep & np.isfinite(raw["temp"]))
    if len(rows) == 0:
        raise InputError("no known hour in the record", where=f"station {info.id}")
    cut = slice(int(rows[0]), int(rows[-1]) + 1)
    temps = raw["temp"][cut]
    notes = [*info.reasons, *notes]
    whole = np.isfinite(temps) & (temps == np.round(temps))
    if whole.sum() > 0.95 * np.isfinite(temps).sum():
        notes.append("whole degrees only: a 10 may have been 9.6")
    names = sorted({y.credit for y in known})
    credit = f"Weather data: {'; '.join(names)}, CC BY 4.0, changed by us"
    place = Place(
        info.name, info.latitude_deg, info.longitude_deg, info.elevation_m, info.zone
    )
    label = f"{info.name} ({info.id})"
    return WeatherSeries.build(
        time[cut],
        {k: v[cut] for k, v in values.items()},
        place=place,
        source=Source("station", label, credit, "station"),
        origin=origin[cut][:, None],
        notes=tuple(notes),
    )


def _hours(year: int) -> int:
    return 8784 if (year % 4 == 0 and year % 100 != 0) or year % 400 == 0 else 8760


def _joined(name: str, years: list[StationYear | None], first_year: int) -> Float:
    parts = []
    for i, one in enumerate(years):
        column = None if one is None else one.columns.get(name)
        empty = np.full(_hours(first_year + i), np.nan)
        parts.append(empty if column is None else column)
    return np.concatenate(parts)


def _origin(
    years: list[StationYear | None], first_year: int, temps: Float
) -> NDArray[np.uint8]:
    """Tell measured hours from modeled ones by the provider of each."""
    parts = []
    for i, one in enumerate(years):
        kinds = np.full(_hours(first_year + i), Origin.MEASURED, np.uint8)
        for number, name in enumerate(() if one is None else one.sources):
            if one is not None and any(word in name for word in _MODEL_WORDS):
                kinds[one.flags == number] = Origin.MODELED
        parts.append(kinds)
    out = np.concatenate(parts)
    out[np.isnan(temps)] = Origin.MISSING
    return out


def load_chosen(
    choice: WeatherChoice, stations: Stations | None = None
) -> WeatherSeries:
    """Return the weather of the chosen town, place or station."""
    room = stations or Stations()
    today = choice.today
    if choice.as_of is not None:
        # "Today" of the past: nothing after its last hour is known yet.
        room.now = datetime(today.year, today.month, today.day, 23, tzinfo=UTC)
    if choice.station is not None:
        info = room.named(choice.station)
    else:
        lat, lon, height = place_of(choice)
        near = room.near(lat, lon, height)
        if not near:
            raise InputError(
                "no station with hourly temperatures within 100 km",
                where="--at" if choice.at else "--town",
                value=f"{lat:g},{lon:g}",
                next_step="log a few weeks at the spot and use --file",
            )
        info = near[0]
    first, last = _years(info, choice, today)
    return room.load(info, first, last)


def place_of(choice: WeatherChoice) -> tuple[float, float, float | None]:
    """Return latitude, longitude and height (or None) of the chosen place."""
    if choice.at is not None:
        lat, lon, *height = choice.at
        return lat, lon, height[0] if height else None
    from climrisk.weather.towns import find_town

    town = find_town(choice.town or "")
    return town.latitude_deg, town.longitude_deg, None


def _years(info: StationInfo, choice: WeatherChoice, today: date) -> tuple[int, int]:
    """Return the calendar years to load: a growing year may span two."""
    last = min(today.year, int((info.last or "9999")[:4]))
    if choice.last is not None:
        last = min(last, choice.last.year)
    wanted = choice.years or USUAL_YEARS
    first = max(int((info.first or "1900")[:4]), last - wanted - 1)
    if choice.first is not None:
        first = max(int((info.first or "1900")[:4]), choice.first.year)
    return min(first, last), last
