"""NetCDF files and Zarr stores, opened as they are."""

from __future__ import annotations

import warnings
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.errors import InputError
from climrisk.folders import is_folder

if TYPE_CHECKING:
    import xarray as xr

_MAGIC = {b"\x89HDF": "h5netcdf", b"CDF\x01": "scipy", b"CDF\x02": "scipy"}


def is_grid(path: Path) -> bool:
    """Whether a file or folder is NetCDF or Zarr, told by its content."""
    try:
        _engine(path)
    except InputError:
        return False
    return True


def _engine(path: Path) -> str:
    if is_folder(path):
        marks = ("zarr.json", ".zgroup", ".zmetadata")
        if any((path / mark).exists() for mark in marks):
            return "zarr"
        raise InputError("a folder that is no Zarr store", where=str(path),
                         next_step="name the store itself, or a NetCDF")  # fmt: skip
    try:
        with path.open("rb") as file:
            head = file.read(4)
    except OSError as error:
        raise InputError(
            "cannot be read", where=str(path), value=error.strerror or error
        ) from error
    if head in _MAGIC:
        return _MAGIC[head]
    hint = "GRIB must become NetCDF first" if head == b"GRIB" else ""
    raise InputError(
        "neither NetCDF nor Zarr", where=str(path), value=head.decode("latin1"),
        next_step=hint or "name a NetCDF file or a Zarr store",
    )  # fmt: skip


@lru_cache(maxsize=64)
def opened(path: str) -> xr.Dataset:
    """Return a file as it is stored: nothing decoded, nothing read, once a process."""
    import xarray as xr

    engine = _engine(Path(path))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return xr.open_dataset(
                path,
                engine=engine,
                chunks=None,
                cache=False,
                mask_and_scale=False,
                decode_times=False,
                decode_coords=False,
            )
    except ImportError as error:
        raise needs_extra(error) from error
    except Exception as error:
        if isinstance(error, InputError):
            raise
        if "unrecognized engine" in str(error):
            raise needs_extra(error) from error
        raise InputError(
            "cannot be opened", where=path, value=f"{type(error).__name__}: {error}"
        ) from error


def needs_extra(error: Exception) -> InputError:
    """Return the error that says which extra is lacking."""
    return InputError(
        "grids need more libraries",
        value=str(error).split(";")[0],
        next_step='pip install "climrisk[grid]"',
    )
