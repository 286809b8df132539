"""NetCDF files and Zarr stores, opened as they are."""

from __future__ import annotations

import subprocess
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.core.errors import InputError
from climrisk.core.paths import is_file, is_folder

if TYPE_CHECKING:
    import xarray as xr

#: Entries of an axis at most: 570 years of hours.
_LONGEST_AXIS = 5_000_000
_AGAIN = "get or make the file again: it is damaged"
#: A file that takes longer to open is damaged.
OPEN_S = 20.0
#: Reads all that `opened` reads, in the same order (so unnamed dimensions get names, as
#: xarray has it), and the first value of each variable.
_TRY_TO_OPEN = """
import sys, h5netcdf
try:
    import resource
    resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
except (ImportError, ValueError):
    pass
with h5netcdf.File(sys.argv[1], "r", phony_dims="access") as file:
    for variable in file.variables.values():
        variable.dimensions, variable.chunks, dict(variable.attrs)
        if all(variable.shape):
            variable[(0,) * len(variable.shape)]
"""
#: Files that say what a member of a Zarr store is.
_DESCRIPTIONS = ("zarr.json", ".zarray", ".zgroup")
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
    with damage_explained(path, "cannot be opened"), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        if engine == "h5netcdf":
            _check_opens(path)
        elif is_folder(Path(path)):
            _check_members(Path(path))
        data = xr.open_dataset(
            path,
            engine=engine,
            chunks=None,
            cache=False,
            mask_and_scale=False,
            decode_times=False,
            decode_coords=False,
            # An index would read a whole axis, however long.
            create_default_indexes=False,
        )
        _check_axes(data, path)
        return data


def _check_opens(path: str) -> None:
    """Let a damaged file fail here, where nothing is left open and half made."""
    import h5py

    with h5py.File(path, "r") as file:
        file.attrs.get("_nc3_strict")


def _check_members(store: Path) -> None:
    """Open the arrays of a Zarr store one by one, so that a damaged one fails alone.

    Opened together, those that are left behind would complain on standard error.
    """
    import zarr

    for member in sorted(store.iterdir()):
        if any(is_file(member / name) for name in _DESCRIPTIONS):
            zarr.open(member, mode="r")


def _check_axes(data: xr.Dataset, path: str) -> None:
    """Refuse axes that only a damaged file has: reading one would take the memory."""
    for name, variable in data.variables.items():
        if variable.ndim == 1 and variable.size > _LONGEST_AXIS:
            raise InputError(
                "an axis longer than any record",
                where=f"{path}, {name}",
                value=f"{variable.size} entries",
                allowed=f"up to {_LONGEST_AXIS}",
                next_step=_AGAIN,
            )


def check_in_time(path: Path) -> None:
    """Open an HDF5 file in another process first, which can be stopped.

    Some damage sends the library round in circles or ends its process, and nothing
    within the process can prevent that.

    Raises
    ------
    InputError
        The file cannot be opened in good time, or ends the process that opens it.
    """
    if not is_file(path) or _engine(path) != "h5netcdf":
        return
    command = [sys.executable, "-P", "-c", _TRY_TO_OPEN, str(path.resolve())]
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=OPEN_S,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise InputError(
            f"opening it takes more than {OPEN_S:g} s",
            where=str(path),
            next_step=_AGAIN,
        ) from error
    except OSError:
        return  # no other process can be had
    if done.returncode < 0:
        raise InputError(
            "opening it ends the program",
            where=str(path),
            value=f"signal {-done.returncode}",
            next_step=_AGAIN,
        )


@contextmanager
def damage_explained(path: str, what: str = "cannot be read") -> Iterator[None]:
    """Turn whatever reading a damaged file leads to into an error that names it.

    Raises
    ------
    InputError
    """
    try:
        yield
    except (InputError, MemoryError):
        raise
    except ImportError as error:
        raise needs_extra(error) from error
    except Exception as error:
        if "unrecognized engine" in str(error):
            raise needs_extra(error) from error
        raise InputError(
            what,
            where=path,
            value=f"{type(error).__name__}: {error}",
            next_step=_AGAIN,
        ) from error


def needs_extra(error: Exception) -> InputError:
    """Return the error that says which extra is lacking."""
    return InputError(
        "grids need more libraries",
        value=str(error).split(";")[0],
        next_step='pip install "climrisk[grid]"',
    )
