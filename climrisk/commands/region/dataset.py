"""Maps as a lazy xarray Dataset: blocks of an opened grid through `xarray.map_blocks`.

For those who already hold hours in xarray, opened, joined or corrected in their own
way. The command reads stores itself, which is faster.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from climrisk.commands.region.compute import job_of
from climrisk.core.chunked import single_threaded
from climrisk.core.errors import InputError
from climrisk.regions.blocks import maps_of
from climrisk.regions.cells import part_of, record_of
from climrisk.regions.job import RegionJob
from climrisk.regions.units import OUTPUTS
from climrisk.weather.grids.names import find_names, named_variables, unit_of
from climrisk.weather.grids.read import checked_values, derived
from climrisk.weather.grids.store import needs_extra
from climrisk.weather.grids.times import check_hours

if TYPE_CHECKING:
    import xarray as xr

    from climrisk.commands.region.command import RegionInput


def lazy_maps(data: xr.Dataset, given: RegionInput) -> xr.Dataset:
    """Return the maps of an opened grid; see `climrisk.region_dataset`."""
    import xarray as xr

    job = job_of((), given)
    needed = ("time", "latitude", "longitude")
    if missing := [n for n in needed if n not in data.dims]:
        raise InputError(
            "a grid without " + ", ".join(missing),
            value=" ".join(str(d) for d in data.dims),
            next_step="rename its dimensions to time, latitude and longitude",
        )
    names = find_names(
        {str(n): v.attrs for n, v in data.data_vars.items()},
        named_variables(given.variable),
        where="the dataset",
    )
    if "air_temp_c" not in names:
        raise InputError(
            "no air temperature", value=" ".join(str(n) for n in data.data_vars),
            next_step="say which it is: variables=['air_temp_c=NAME']",
        )  # fmt: skip
    time = data["time"].values.astype("datetime64[m]")
    check_hours(time, where="the dataset")
    plain = data[list(names.values())].transpose(*needed)
    scales = {
        ours: unit_of(ours, plain[name].attrs.get("units"), where=name)
        for ours, name in names.items()
    }
    frame = _frame(job, plain)
    known: dict[str, Any] = {"names": names, "scales": scales, "job": job}
    if not plain.chunks:
        return _block(plain, **known)
    try:
        import dask.array as lazy
    except ImportError as error:
        raise needs_extra(error) from error
    if len(plain.chunksizes["time"]) != 1:
        raise InputError(
            "a time axis in several chunks",
            value=len(plain.chunksizes["time"]),
            next_step="chunk it first: data.chunk(time=-1)",
        )
    for name, one in frame.data_vars.items():
        chunks = [plain.chunksizes.get(d, (n,)) for d, n in one.sizes.items()]
        frame[name] = one.copy(data=lazy.zeros(one.shape, one.dtype, chunks=chunks))
    return xr.map_blocks(_block, plain, kwargs=known, template=frame)


def _frame(job: RegionJob, plain: xr.Dataset) -> xr.Dataset:
    """Return a dataset of maps full of nothing."""
    import xarray as xr

    cells = (plain.sizes["latitude"], plain.sizes["longitude"])
    made = {}
    for name, spec in OUTPUTS.items():
        dims = (*spec.dims, "latitude", "longitude")
        shape = spec.shape(len(job.plants), cells)
        empty = np.broadcast_to(spec.dtype(spec.fill), shape)
        made[name] = (dims, empty, spec.attrs)
    return xr.Dataset(
        made,
        coords={
            "plant": [p.name for p in job.plants],
            "month": np.arange(1, 13, dtype=np.int8),
            "latitude": plain["latitude"],
            "longitude": plain["longitude"],
        },
    )


def _block(
    block: xr.Dataset,
    *,
    names: dict[str, str],
    scales: dict[str, tuple[float, float]],
    job: RegionJob,
) -> xr.Dataset:
    """Return the maps of a block that is in memory."""
    out = _frame(job, block)
    time = block["time"].values.astype("datetime64[m]")
    count = len(time)
    raw = {}
    for ours, name in names.items():
        factor, added = scales[ours]
        stored = np.asarray(block[name].values, np.float32).reshape(count, -1)
        raw[ours] = stored * np.float32(factor) + np.float32(added)
    values = derived(raw.get)
    values = checked_values("the dataset", values)
    latitude = block["latitude"].values.astype(float)
    longitude = (block["longitude"].values.astype(float) + 180.0) % 360.0 - 180.0
    cells = np.meshgrid(latitude, longitude, indexing="ij")
    places = (cells[0].ravel(), cells[1].ravel())
    record = record_of("the dataset", str(time[0]), count)
    with single_threaded():
        whole = (0, count)
        maps = maps_of(job, record, places, [(whole, whole, part_of(values))])
    for name, array in maps.items():
        out[name] = out[name].copy(data=array.reshape(out[name].shape))
    return out
