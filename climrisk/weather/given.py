"""Weather as Python gives it: files, data frames, datasets, stations and the demo."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from climrisk.core.calendar import day_of
from climrisk.core.errors import InputError
from climrisk.core.variables import VARIABLES
from climrisk.weather.selection import WeatherChoice, load_weather, parse_at, zone_of
from climrisk.weather.series import Place, Source, WeatherSeries

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

At = str | tuple[float, ...]


def chosen_weather(
    *,
    file: str | Path | None = None,
    at: At | None = None,
    first: str | date | None = None,
    last: str | date | None = None,
    as_of: str | date | None = None,
    **options: Any,
) -> WeatherSeries:
    """Return hourly weather chosen as on the command line.

    Parameters
    ----------
    file : str or Path, optional
        A logger table, EPW or TMY file, or a grid.
    at : str or (lat, lon) or (lat, lon, elevation), optional
    first, last, as_of : date or ``YYYY-MM-DD``, optional
    options
        The other fields of `climrisk.weather.selection.WeatherChoice`: ``demo town
        station years zone temperature_unit date_order clock measured_at``.

    Raises
    ------
    InputError
        What is wrong with the choice or the file, in one line.
    WeatherUnavailableError
        Weather could not be downloaded.
    """
    return load_weather(
        WeatherChoice(
            file=None if file is None else Path(file),
            at=_at(at),
            first=None if first is None else day_of(first),
            last=None if last is None else day_of(last),
            as_of=None if as_of is None else day_of(as_of),
            **options,
        )
    )


class Weather:
    """Ways to hourly weather; each returns a `WeatherSeries`.

    Examples
    --------
    >>> hours = Weather.demo(years=2)
    >>> hours.place.name
    'Veladrag airfield (invented)'
    """

    @staticmethod
    def demo(*, years: int | None = None) -> WeatherSeries:
        """Return the invented weather of Veladrag, or its last complete years."""
        return load_weather(WeatherChoice(demo=True, years=years))

    @staticmethod
    def from_file(
        path: str | Path, *, at: At | None = None, **options: Any
    ) -> WeatherSeries:
        """Return a logger table, an EPW or TMY file, or a cell of a grid.

        Parameters
        ----------
        path : str or Path
            Recognized by content.
        at : str or (lat, lon) or (lat, lon, elevation), optional
            Where it was measured, where the file does not say.
        options
            ``years zone temperature_unit date_order clock column measured_at``.

        Raises
        ------
        InputError
            What is wrong with the file, or what it leaves open.
        """
        return chosen_weather(file=path, at=at, **options)

    @staticmethod
    def from_station(
        station: str | None = None,
        *,
        town: str | None = None,
        at: At | None = None,
        years: int | None = None,
        as_of: str | date | None = None,
    ) -> WeatherSeries:
        """Return the hours of a station, or of the best one near a town or place.

        Raises
        ------
        InputError
            None or more than one of the three, or an unknown one.
        WeatherUnavailableError
            The hours could not be downloaded and are not in the archive.
        """
        return chosen_weather(
            station=station, town=town, at=at, years=years, as_of=as_of
        )

    @staticmethod
    def from_frame(
        frame: pd.DataFrame,
        *,
        at: At,
        name: str = "data frame",
        measured_at: Literal["spot", "station"] = "station",
        zone: str | None = None,
    ) -> WeatherSeries:
        """Return the hours of a data frame.

        Parameters
        ----------
        frame : pandas.DataFrame
            Index: start of each hour, UTC or with its zone; absent hours are missing.
            Columns by our names, of which others are refused: ``air_temp_c dew_point_c
            rel_humidity_pct wind_speed_m_s wind_gust_m_s cloud_cover_frac ghi_w_m2``.
            NaN is missing.
        at : str or (lat, lon) or (lat, lon, elevation)
        name : str
            Of the record, for messages and credit.
        measured_at : {"station", "spot"}
        zone : str, optional
            IANA time zone; that of the place where not given.

        Raises
        ------
        InputError
            An index that is no time or has an hour twice, an unknown column, no air
            temperature, or a value that no weather can have.
        """
        import pandas as pd

        index = frame.index
        if not isinstance(index, pd.DatetimeIndex):
            raise InputError(
                "the index of the data frame is no time",
                value=type(index).__name__,
                allowed="a DatetimeIndex with the start of each hour",
            )
        unknown = [str(c) for c in frame.columns if c not in VARIABLES]
        if unknown:
            raise InputError(
                "columns that are not known",
                value=", ".join(unknown),
                allowed=" ".join(VARIABLES),
                next_step="rename or drop them",
            )
        if index.tz is not None:
            index = index.tz_convert("UTC").tz_localize(None)
        hours = frame.set_axis(index).sort_index()
        twice = hours.index[hours.index.duplicated()]
        if len(twice):
            raise InputError("an hour twice", value=str(twice[0]))
        whole = pd.date_range(hours.index[0], hours.index[-1], freq="h")
        off = hours.index.difference(whole)
        if len(off):
            raise InputError(
                "times that are not an hour apart",
                value=str(off[0]),
                next_step="resample to hours first: frame.resample('h').mean()",
            )
        hours = hours.reindex(whole)
        values = {str(c): hours[c].to_numpy(float) for c in hours.columns}
        time = whole.to_numpy().astype("datetime64[m]")
        return _series(time, values, at, name, measured_at, zone)

    @staticmethod
    def from_dataset(
        data: xr.Dataset,
        *,
        at: At | None = None,
        names: Mapping[str, str] | None = None,
        name: str = "dataset",
        measured_at: Literal["spot", "station"] = "station",
    ) -> WeatherSeries:
        """Return the hours of a dataset at one place.

        Parameters
        ----------
        data : xarray.Dataset
            Hourly values along ``time``; with the dimensions ``latitude`` and
            ``longitude`` the nearest cell is taken. Variables by CF standard name or
            usual name, in their own units.
        at : str or (lat, lon) or (lat, lon, elevation), optional
            Needed where the dataset is a grid or has no coordinates.
        names : mapping of str to str, optional
            Ours to the dataset's, where a name is not recognized.
        name : str
            Of the record, for messages and credit.
        measured_at : {"station", "spot"}

        Raises
        ------
        InputError
            No place, no air temperature, or what is wrong with times or values.
        """
        from climrisk.weather.grids.names import find_names, unit_of
        from climrisk.weather.grids.read import checked_values, derived
        from climrisk.weather.grids.times import check_hours

        place = _at(at)
        if "latitude" in data.dims:
            if place is None:
                raise InputError(
                    "a grid has many places", next_step="say which: at=LAT,LON"
                )
            # Longitudes of a grid run from -180 or from 0.
            east = place[1] % 360 if float(data["longitude"].max()) > 180 else place[1]
            data = data.sel(latitude=place[0], longitude=east, method="nearest")
        if place is None and {"latitude", "longitude"} <= set(data.coords):
            place = (float(data["latitude"]), float(data["longitude"]))
        if place is None:
            raise InputError(
                "the dataset does not say where it is", next_step="give at=LAT,LON"
            )
        found = find_names(
            {str(n): v.attrs for n, v in data.data_vars.items()},
            dict(names or {}),
            where=name,
        )
        time = data["time"].to_numpy().astype("datetime64[m]")
        check_hours(time, where=name)
        if "air_temp_c" not in found:
            raise InputError(
                "no air temperature",
                value=" ".join(str(n) for n in data.data_vars),
                next_step="say which it is: names={'air_temp_c': NAME}",
            )
        raw = {}
        for ours, theirs in found.items():
            unit = data[theirs].attrs.get("units")
            factor, added = unit_of(ours, unit, where=name)
            raw[ours] = data[theirs].to_numpy().astype(float) * factor + added
        values = checked_values(name, derived(raw.get))
        return _series(time, values, place, name, measured_at, None)


def _series(
    time: Any,
    values: Mapping[str, Any],
    at: At,
    name: str,
    measured_at: Literal["spot", "station"],
    zone: str | None,
) -> WeatherSeries:
    place = _at(at)
    assert place is not None
    height = place[2] if len(place) == 3 else None
    where = Place(name, place[0], place[1], height, zone or zone_of(*place[:2]))
    return WeatherSeries.build(
        time, values, place=where, source=Source("logger", name, "", measured_at)
    )


def _at(at: At | None) -> tuple[float, ...] | None:
    return parse_at(at) if isinstance(at, str) else at
