"""Damaged NetCDF: an input error in good time, in one line and without a murmur."""

from __future__ import annotations

import json
import resource
import shutil
import struct
import subprocess
import sys
import threading

import h5py
import pytest
import xarray as xr

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.weather.files import read_weather
from climrisk.weather.grids import store
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.store import opened
from climrisk.weather.series import Place
from examples.made_region import write
from tests import damage
from tests.asking import region
from tests.quick import but_quick
from tests.reliability.long_runs import repeats

PLANT = "Masdevallia"
HOURS = 24 * 10


@pytest.fixture(scope="module")
def grid(tmp_path_factory):
    folder = tmp_path_factory.mktemp("grid")
    store = folder / "in.zarr"
    write(store, rows=4, columns=6, hours=HOURS, chunk=(HOURS, 2, 3))
    data = xr.open_zarr(store, consolidated=False, chunks=None).load()
    for name in data.variables:
        data[name].encoding = {}
    packed = {
        name: {"zlib": True, "chunksizes": (120, 2, 3)} for name in data.data_vars
    }
    path = folder / "in.nc"
    data.to_netcdf(path, engine="h5netcdf", encoding=packed, unlimited_dims=["time"])
    return path


@pytest.fixture(scope="module")
def maps(grid):
    out = grid.with_name("maps.nc")
    region(grid, [PLANT], out=out, threads=1)
    return out


def damaged(data, rng):
    """Return bytes with a few changes, most in the front, where the structure is."""
    changed = bytearray(data)
    kind = int(rng.integers(5))
    for _ in range(int(rng.integers(1, 4))):
        end = len(changed) if rng.random() < 0.3 else min(len(changed), 12_000)
        at = int(rng.integers(8, end))
        if kind == 0:
            changed[at] ^= 1 << int(rng.integers(8))
        elif kind == 4:
            return bytes(changed[:at])
        else:
            put = {1: b"\xff", 2: b"\xff" * 8, 3: bytes(8)}[kind]
            changed[at : at + len(put)] = put
    return bytes(changed[: len(data)])


def endless(data, back=0):
    """Return a file whose heap has an object of no size, at which HDF5 circles.

    It is the free one at the end of the heap, or one so many before it.
    """
    changed = bytearray(data)
    places = [data.index(b"GCOL") + 16]
    while struct.unpack_from("<H", changed, places[-1])[0] != 0:
        size = struct.unpack_from("<Q", changed, places[-1] + 8)[0]
        places.append(places[-1] + 16 + (size + 7) // 8 * 8)
    at = places[-1 - back]
    changed[at + 8 : at + 16] = bytes(8)
    return bytes(changed)


def test_a_file_that_keeps_the_library_busy(maps, grid, tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(store, "OPEN_S", 2.0)
    path = tmp_path / "a.nc"
    path.write_bytes(endless(maps.read_bytes()))
    assert main(["region", str(path)]) == 2
    error = capsys.readouterr().err
    assert "opening it takes more than 2 s" in error
    assert error.count("\n") == 1
    with pytest.raises(InputError, match="more than 2 s"):
        read_weather(path, place=Place("x", 36.05, -8.0, 0.0, "Europe/Lisbon"))


def test_a_file_that_keeps_only_its_reader_busy(grid, tmp_path, monkeypatch):
    """A second fault must not end the trial before it meets the one that circles."""
    monkeypatch.setattr(store, "OPEN_S", 2.0)
    path = tmp_path / "a.nc"
    # A reference to an axis, and the checksum of a header that is read later.
    changed = bytearray(endless(grid.read_bytes(), back=4))
    header = changed.index(b"OHDR", changed.index(b"OHDR") + 1)
    changed[header + 20] ^= 1
    path.write_bytes(changed)
    with pytest.raises(InputError, match="more than 2 s"):
        store.check_in_time(path)


@pytest.mark.parametrize("axis", ["time", "latitude", "longitude"])
def test_an_axis_without_end_is_refused_unread(grid, tmp_path, axis):
    path = tmp_path / "in.nc"
    data = xr.load_dataset(grid, engine="h5netcdf", decode_times=False)
    for name in data.variables:
        data[name].encoding = {}
    data.to_netcdf(path, engine="h5netcdf", unlimited_dims=[axis])
    with h5py.File(path, "r+") as file:
        file[axis].resize((2**40,))
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (16 * 2**30, hard))
    try:
        with pytest.raises(InputError, match=f"longer than any record.*{axis}"):
            open_grid([path])
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def damaged_store(folder, source, rng):
    """Write a copy of a Zarr store, one or two of whose files are damaged or gone."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(source, folder)
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    # Descriptions decide most: damage them more often.
    said = [p for p in files if p.suffix == ".json" or p.name.startswith(".z")]
    for _ in range(int(rng.integers(1, 3))):
        some = said if rng.random() < 0.7 else files
        path = some[int(rng.integers(len(some)))]
        if not path.exists() or rng.random() < 0.05:
            path.unlink(missing_ok=True)
        elif path in said and rng.random() < 0.7:
            path.write_bytes(changed_json(path.read_bytes(), rng))
        else:
            path.write_bytes(damage.damaged(path.read_bytes(), rng))


#: What a description may say in the place of something else.
OTHER = [
    *(0, -1, 1, 7, 10**12, 2**63, 1e308, -0.5, True, None, "", "x", "<f8", "float64"),
    *("|S4", "<M8[ns]", "|O", "NaN", "F", "zlib", [], [0], [-1], [1, 1, 1], {}),
    *([10**12, 10**12], "days since 0000-00-00", "hours since x", {"id": "zstd"}),
]


def changed_json(data, rng):
    """Return a description with one value changed or gone."""
    try:
        root = json.loads(data)
    except ValueError:
        return data  # damaged before
    places = list(_places(root))
    if not places:
        return data
    holder, key = places[int(rng.integers(len(places)))]
    if rng.random() < 0.2:
        del holder[key]
    else:
        holder[key] = OTHER[int(rng.integers(len(OTHER)))]
    return json.dumps(root).encode()


def _places(value):
    keys = value if isinstance(value, dict) else range(len(value))
    for key in keys:
        yield value, key
        if isinstance(value[key], dict | list):
            yield from _places(value[key])


FUZZ = """
import sys
from pathlib import Path
import numpy as np
from climrisk.core.errors import InputError
from climrisk.commands.region.reopen import read_again
from climrisk.weather.grids import store
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.read import read_raw
from tests.reliability.test_damaged_grids import damaged, damaged_store

def read(path):
    if "maps" in kind:
        read_again(path, [], [(36.05, -8.0)])
        return
    found = open_grid([path])
    for variable in found.variables.values():
        part = variable.parts[0]
        stop = min(part.first + part.count, part.first + 48)
        read_raw(found, part, part.first, stop, (0, 1, 0, 1))

source, kind, first, last = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
source, path = Path(source), Path(sys.argv[5])
for i in range(first, last):
    print(i, flush=True)
    rng = np.random.default_rng(i)
    if source.is_dir():
        damaged_store(path, source, rng)
    else:
        path.write_bytes(damaged(source.read_bytes(), rng))
    try:
        read(path)
    except InputError:
        print("refused", flush=True)
    store.opened.cache_clear()
"""


#: Files of each kind that are damaged with CLIMRISK_LONG=1.
MANY = {
    "grid": 1500,
    "maps": 800,
    "classic grid": 4000,
    "Zarr grid": 2000,
    "Zarr 2 grid": 2000,
    "Zarr maps": 1000,
}


@pytest.fixture(scope="module")
def sources(grid, maps):
    """Return a file or store of each kind that is read."""
    data = xr.load_dataset(grid, engine="h5netcdf", decode_times=False)
    for name in data.variables:
        data[name].encoding = {}
    paths = {"grid": grid, "maps": maps, "Zarr grid": grid.with_name("in.zarr")}
    paths["classic grid"] = grid.with_name("classic.nc")
    data.to_netcdf(paths["classic grid"], engine="scipy")
    paths["Zarr 2 grid"] = grid.with_name("in2.zarr")
    data.to_zarr(paths["Zarr 2 grid"], zarr_format=2, consolidated=True)
    paths["Zarr maps"] = grid.with_name("maps.zarr")
    region(grid, [PLANT], out=paths["Zarr maps"], threads=1)
    return paths


@pytest.mark.parametrize("kind", but_quick(MANY, "grid", "Zarr grid"))
def test_any_damage_is_read_or_refused(sources, tmp_path, kind, counted):
    """Only HDF5 may end or keep a process: it is tried in another one first."""
    source, first, last = sources[kind], 0, repeats(40, MANY[kind])
    refused = stopped = 0
    while first < last:
        path = tmp_path / f"a{source.suffix}"
        words = [str(source), kind, str(first), str(last), str(path)]
        said = tmp_path / "stderr"
        with said.open("w") as file:
            run = subprocess.Popen(
                [sys.executable, "-c", FUZZ, *words],
                stdout=subprocess.PIPE,
                stderr=file,
                text=True,
            )
        lines = list(_watched(run))
        run.wait()
        err = said.read_text()
        refused += lines.count("refused")
        reached = int([n for n in lines if n != "refused"][-1])
        if kind not in ("grid", "maps"):
            assert (run.returncode, err) == (0, ""), reached
        if run.returncode == 0:
            break
        assert run.returncode < 0, err  # no fault of ours
        stopped += 1
        with pytest.raises(InputError):
            store.check_in_time(path)
        first = reached + 1
    counted(f"{last:,} files: {refused:,} refused, {stopped} stopped")
    # Where nothing is read, it is not the damage that is refused.
    assert 5 < refused < last


def _watched(run):
    """Yield the lines of a process, which is killed if one takes over 40 s."""
    timer = None
    for line in run.stdout:
        if timer is not None:
            timer.cancel()
        timer = threading.Timer(40, run.kill)
        timer.start()
        yield line.strip()
    if timer is not None:
        timer.cancel()


@pytest.mark.parametrize(
    "name",
    but_quick(
        ["plant", "preferred_c", "month_state", "known_hours", "latitude"],
        "month_state",
    ),
)
def test_finished_maps_that_lack_something(maps, tmp_path, capsys, name):
    path = tmp_path / "maps.nc"
    xr.load_dataset(maps, engine="h5netcdf").drop_vars(name).to_netcdf(
        path, engine="h5netcdf"
    )
    assert main(["region", str(path)]) == 2
    error = capsys.readouterr().err
    assert "these maps are damaged" in error
    assert error.count("\n") == 1


@pytest.mark.parametrize(
    "attribute", but_quick(["input", "risk", "time_coverage_end"], "input")
)
def test_finished_maps_that_do_not_say_something(maps, tmp_path, capsys, attribute):
    path = tmp_path / "maps.nc"
    data = xr.load_dataset(maps, engine="h5netcdf")
    for value in (None, "x"):
        data.attrs[attribute] = value
        if value is None:
            del data.attrs[attribute]
        data.to_netcdf(path, engine="h5netcdf")
        status = main(["region", str(path)])
        assert status == (0 if (attribute, value) == ("input", "x") else 2)
        opened.cache_clear()
        capsys.readouterr()


@pytest.mark.long
def test_a_file_whose_attributes_are_damaged_is_refused_in_silence(grid, tmp_path):
    """What h5netcdf leaves half open would complain as it is destroyed."""
    data, path = grid.read_bytes(), tmp_path / "in.nc"
    at = data.index(b"title\0")
    words = ["region", str(path), "--plant", PLANT, "--at", "36.05,-8.0"]
    for start in range(at - 24, at, 8):
        path.write_bytes(data[:start] + b"\xff" * 8 + data[start + 8 :])
        done = subprocess.run(
            [sys.executable, "-m", "climrisk", *words], capture_output=True, text=True
        )
        assert done.returncode in (0, 2), done.stderr
        assert done.stderr.count("\n") <= 1
        assert "ignored" not in done.stderr
