"""Write an invented year of hourly weather on a map of 200 by 200 cells.

Seeded: the same arguments give the same numbers. The land, its hills and its weather
are invented; light follows the true sun. Any part of the map can be made without the
rest, so that a map of any size fits into memory.

    python examples/made_region.py invented.zarr
    climrisk region invented.zarr --plant Masdevallia --plant "Cymbidium, cool" \
        --spot roofed-balcony --out maps.nc --html maps.html
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from climrisk.physics.solar import (
    Places,
    SunPath,
    clear_sky_ghi_w_m2,
    cloud_transmission,
    toward_sun,
)

SOUTH, WEST, STEP = 36.05, -8.0, 0.1
_PATTERNS = 8


class Invented:
    """An invented land and its weather.

    Parameters
    ----------
    hours : int
    start : str
        First hour, UTC.
    seed : int
    """

    def __init__(self, hours: int, start: str = "2019-07-01", seed: int = 7) -> None:
        rng = np.random.default_rng(seed)
        self.time = np.datetime64(start, "m") + np.arange(hours) * np.timedelta64(
            60, "m"
        )
        # Weather: a few patterns over the map, each with its own run of days.
        days = hours // 24 + 3
        course = np.zeros((days, _PATTERNS))
        for day in range(1, days):
            course[day] = 0.75 * course[day - 1] + rng.normal(0, 0.66, _PATTERNS)
        at = np.arange(hours) / 24
        self.course = np.stack(
            [np.interp(at, np.arange(days), c) for c in course.T], axis=1
        ).astype(np.float32)
        self.wave = rng.uniform(0.1, 0.5, (_PATTERNS, 2)).astype(np.float32)
        self.shift = rng.uniform(0, 2 * np.pi, (_PATTERNS, 2)).astype(np.float32)
        self.toward = toward_sun(self.time)

    def of(self, latitude: np.ndarray, longitude: np.ndarray) -> dict[str, np.ndarray]:
        """Return the variables of a part of the map, each (time, y, x), float32."""
        y, x = (a.ravel() for a in np.meshgrid(latitude, longitude, indexing="ij"))
        shape = (len(self.time), len(latitude), len(longitude))
        pattern = np.cos(np.outer(self.wave[:, 0], y) + self.shift[:, :1])
        pattern *= np.cos(np.outer(self.wave[:, 1], x) + self.shift[:, 1:])
        pattern = pattern.astype(np.float32)
        warm = self.course[:, ::2] @ pattern[::2]
        other = self.course[:, 1::2] @ pattern[1::2]
        height_km = 0.9 * np.clip(np.sin(0.7 * x) * np.cos(0.9 * y) + 0.2, 0, None)
        sun = SunPath.seen_from(self.toward, Places(y, x))
        cloud = np.clip(0.45 + 0.35 * other - 0.1 * warm, 0, 1)
        day = (self.time - np.datetime64("2019-01-01")) / np.timedelta64(1, "D")
        year = np.cos(2 * np.pi * (day - 200) / 365.25)[:, None]
        swing = np.cos(2 * np.pi * (day[:, None] % 1 + x[None, :] / 360 - 0.62))
        mean = 20 - 0.4 * (y - 36) - 5.0 * height_km + year * (4 + 0.3 * (y - 36))
        air = mean + 3.2 * warm + (5 - 3.5 * cloud) * swing
        dew = np.minimum(mean + 3.2 * warm - 5 + 2.5 * cloud, air - 0.2)
        light = clear_sky_ghi_w_m2(sun) * cloud_transmission(cloud)
        east = 2.5 * other + 1.0
        north = 2.0 * warm - 0.5
        made = {
            "t2m": np.round(air + 273.15, 2),
            "d2m": np.round(dew + 273.15, 2),
            "u10": np.round(east, 2),
            "v10": np.round(north, 2),
            "tcc": np.round(cloud, 3),
            "ssrd": np.round(light),
        }
        return {k: v.astype(np.float32).reshape(shape) for k, v in made.items()}


ATTRS: dict[str, dict[str, Any]] = {
    "t2m": {"standard_name": "air_temperature", "units": "K"},
    "d2m": {"standard_name": "dew_point_temperature", "units": "K"},
    "u10": {"standard_name": "eastward_wind", "units": "m s-1"},
    "v10": {"standard_name": "northward_wind", "units": "m s-1"},
    "tcc": {"standard_name": "cloud_area_fraction", "units": "1"},
    "ssrd": {
        "standard_name": "surface_downwelling_shortwave_flux_in_air",
        "units": "W m-2",
    },
}


def axes(rows: int, columns: int, step: float = STEP) -> tuple[np.ndarray, np.ndarray]:
    """Return latitudes from north to south, and longitudes."""
    south_up = SOUTH + step * np.arange(rows)
    return np.round(south_up[::-1], 4), np.round(WEST + step * np.arange(columns), 4)


def dataset(
    rows: int,
    columns: int,
    hours: int,
    *,
    step: float = STEP,
    start: str = "2019-07-01",
    seed: int = 7,
) -> xr.Dataset:
    """Return a small map in memory."""
    latitude, longitude = axes(rows, columns, step)
    land = Invented(hours, start, seed)
    return _wrapped(land.of(latitude, longitude), land, latitude, longitude)


def _wrapped(values, land, latitude, longitude) -> xr.Dataset:
    dims = ("time", "latitude", "longitude")
    return xr.Dataset(
        {k: (dims, v, ATTRS[k]) for k, v in values.items()},
        coords={
            "time": ("time", land.time.astype("datetime64[us]")),
            "latitude": (
                "latitude",
                latitude,
                {"standard_name": "latitude", "units": "degrees_north"},
            ),
            "longitude": (
                "longitude",
                longitude,
                {"standard_name": "longitude", "units": "degrees_east"},
            ),
        },
        attrs={
            "title": "invented weather of an invented land",
            "Conventions": "CF-1.11",
        },
    )


def write(
    path: Path,
    *,
    rows: int = 200,
    columns: int = 200,
    hours: int = 8760,
    step: float = STEP,
    chunk: tuple[int, int, int] = (8760, 16, 16),
    seed: int = 7,
    only: tuple[str, ...] = tuple(ATTRS),
) -> None:
    """Write a map to a Zarr store, part by part.

    Parameters
    ----------
    path : Path
    rows, columns, hours : int
    step : float
        Width of a cell in degrees.
    chunk : tuple of int
        Of the store, along time, latitude and longitude.
    seed : int
    only : tuple of str
        Variables.
    """
    import zarr
    from zarr.codecs import BloscCodec

    latitude, longitude = axes(rows, columns, step)
    land = Invented(hours, seed=seed)
    empty = _wrapped({}, land, latitude, longitude)
    empty.to_zarr(path, mode="w", consolidated=False, zarr_format=3)
    root = zarr.open_group(path, mode="a")
    size = (min(chunk[0], hours), min(chunk[1], rows), min(chunk[2], columns))
    arrays = {
        name: root.create_array(
            name,
            shape=(hours, rows, columns),
            chunks=size,
            dtype="float32",
            fill_value=np.nan,
            compressors=BloscCodec(cname="lz4", clevel=5, shuffle="bitshuffle"),
            dimension_names=("time", "latitude", "longitude"),
            attributes=ATTRS[name],
        )
        for name in only
    }
    # Whole rows of chunks along time; a map-by-map store is filled a band at a time.
    band = max(size[1], 10)
    for y in range(0, rows, band):
        for x in range(0, columns, size[2]):
            part = (slice(y, y + band), slice(x, x + size[2]))
            made = land.of(latitude[part[0]], longitude[part[1]])
            for name, array in arrays.items():
                array[(slice(None), *part)] = made[name]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("path", type=Path)
    parser.add_argument("--rows", type=int, default=200)
    parser.add_argument("--columns", type=int, default=200)
    parser.add_argument("--hours", type=int, default=8760)
    args = parser.parse_args()
    write(args.path, rows=args.rows, columns=args.columns, hours=args.hours)
    print(f"written: {args.path}")
