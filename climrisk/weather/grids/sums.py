"""What the stored numbers of a grid stand for: missing, means, or sums of time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from climrisk.weather.grids.names import Sum

if TYPE_CHECKING:
    import xarray as xr

Stamps = NDArray[np.datetime64]


def sum_kind(raw: xr.DataArray, order: tuple[str, ...], hours: Stamps) -> Sum:
    """Tell sums of an hour from sums since midnight: these never fall within a day."""
    short = dict(zip(raw.dims, order, strict=True))
    fills = fill_values(raw.attrs)
    fell = rose = False
    for start in np.unique(np.linspace(0, max(0, len(hours) - 49), 5).astype(int)):
        some = {d: _sample(short[d], int(start), n) for d, n in raw.sizes.items()}
        axis = [short[d] for d in raw.dims].index("t")
        values = np.moveaxis(np.asarray(raw.isel(some).values, float), axis, 0)
        values[np.isin(values, fills)] = np.nan
        change = np.diff(values, axis=0)
        hour = hours[start : start + len(values)].astype("datetime64[h]")
        within = hour.astype(np.int64)[:-1] % 24 != 0
        with np.errstate(invalid="ignore"):
            # Packing leaves steps of its own: a tenth of the largest value is none.
            least = 0.1 * np.nanmax(values, initial=0.0)
            fell |= bool((change[within] < -least).any())
            rose |= bool((change[within] > least).any())
    return "day" if rose and not fell else "hour"


def _sample(axis: str, start: int, count: int) -> slice:
    """Return two days of the middle row of a map."""
    if axis == "t":
        return slice(start, start + 49)
    if axis == "y":
        return slice(count // 2, count // 2 + 1)
    return slice(0, count)


def ends_at_stamp(data: xr.Dataset, raw: xr.DataArray, time: str) -> bool:
    """Whether bounds say that a mean ends at its stamp."""
    bounds = data[time].attrs.get("bounds")
    if bounds not in data or "mean" not in str(raw.attrs.get("cell_methods", "")):
        return False
    last = np.asarray(data[bounds].values)[:, -1]
    return bool(np.array_equal(last, data[time].values))


def fill_values(attrs: dict[str, Any]) -> tuple[float, ...]:
    """Return the raw numbers that mean missing; NaN does anyway."""
    out = []
    for name in ("_FillValue", "missing_value"):
        if name in attrs:
            out += [float(v) for v in np.atleast_1d(np.asarray(attrs[name]))]
    return tuple(v for v in dict.fromkeys(out) if np.isfinite(v))
