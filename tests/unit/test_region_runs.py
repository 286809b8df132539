"""Runs over maps: any layout, any workers, the same maps; nothing finished is lost."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import time
from itertools import product
from pathlib import Path

import numpy as np
import pytest
import xarray as xr

from climrisk.cli.main import main
from climrisk.core import atomic_files
from climrisk.core.errors import InputError
from climrisk.core.references import fields_in
from climrisk.plants.registry import find
from climrisk.pot.model import reference_pot
from climrisk.regions.job import RegionJob, job_plants
from climrisk.regions.plan import plan
from climrisk.regions.units import OUTPUTS
from climrisk.spot.kinds import spot_kind
from climrisk.weather.grids.store import opened
from examples.made_region import dataset, write
from tests.asking import region
from tests.quick import but_quick

PLANTS = ["Masdevallia", "Phalaenopsis hybrids"]
HOURS = 24 * 40


@pytest.fixture(scope="module")
def stores(tmp_path_factory):
    """One map cut by cells, map by map, and between."""
    folder = tmp_path_factory.mktemp("stores")
    for name, chunk in (
        ("cells", (HOURS, 2, 3)),
        ("maps", (24, 8, 12)),
        ("mixed", (200, 5, 5)),
    ):
        write(folder / f"{name}.zarr", rows=8, columns=12, hours=HOURS, chunk=chunk)
    return folder


@pytest.fixture(scope="module")
def truth(stores):
    out = stores / "truth.nc"
    region(stores / "cells.zarr", PLANTS, out=out, threads=1)
    return load(out)


def load(path):
    if path.suffix == ".zarr":
        return xr.open_zarr(path, consolidated=False, chunks=None).load()
    return xr.load_dataset(path, engine="h5netcdf")


def same(path, truth):
    data = load(path)
    for name in OUTPUTS:
        np.testing.assert_array_equal(data[name].values, truth[name].values, name)


def job(path, **more):
    options = {"setup": "screening", "risk": 0.1, "spring_risk": 0.2, **more}
    return RegionJob(
        (str(path),), (), job_plants([find(p) for p in PLANTS], "established"),
        "established", spot_kind("roofed-balcony"), reference_pot(), **options,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("layout", "rechunk"),
    but_quick(product(["cells", "maps", "mixed"], [False, True]), ("mixed", True)),
)
def test_every_layout_gives_the_same_maps(stores, truth, tmp_path, layout, rechunk):
    out = tmp_path / "maps.nc"
    region(stores / f"{layout}.zarr", PLANTS, out=out, rechunk=rechunk, threads=2)
    same(out, truth)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["maps.nc"]


def test_zarr_out_is_what_netcdf_out_is(stores, truth, tmp_path):
    out = tmp_path / "maps.zarr"
    mapped = region(stores / "cells.zarr", PLANTS, out=out)
    same(out, truth)
    data = load(out)
    for name in ("climrisk_version", "spot", "pot", "medium", "input", "Conventions"):
        assert data.attrs[name], name
    assert data.attrs["Conventions"] == "CF-1.11"
    assert data["latitude"].attrs["standard_name"] == "latitude"
    assert all("long_name" in data[n].attrs for n in OUTPUTS)
    assert data["tolerated_c"].values.tolist() == [p.tolerated_c for p in mapped.plants]
    region(stores / "cells.zarr", PLANTS, out=out)  # written over, whole
    same(out, truth)


def test_cells_alone_are_the_cells_of_the_map(stores, truth):
    mapped = region(stores / "maps.zarr", PLANTS, at=["36.44,-7.21", (36.05, -8.0)])
    cell = mapped.at[0]
    assert (cell.latitude_deg, cell.longitude_deg) == (36.45, -7.2)
    # 0.01 degrees north and 0.01 * cos(36.4) east, at 111.2 km a degree.
    assert cell.distance_km == pytest.approx(1.4, abs=0.05)
    mine = truth.sel(latitude=36.45, longitude=-7.2)
    for i, plant in enumerate(cell.plants):
        assert plant.hours_below_preferred == mine["hours_below_preferred"][i]
    assert cell.lowest_root_zone_temperature_c == pytest.approx(
        float(mine["lowest_root_zone_temperature"]), abs=0.0501
    )
    with pytest.raises(InputError, match="outside the grid"):
        region(stores / "maps.zarr", PLANTS, at=["50,3"])


def test_a_local_cluster_gives_the_same(stores, truth, tmp_path):
    out = tmp_path / "maps.nc"
    mapped = region(stores / "cells.zarr", PLANTS, out=out, workers=1)
    same(out, truth)
    assert mapped.blocks > 1


@pytest.mark.long
def test_a_scheduler_is_joined_and_a_dead_workers_blocks_are_redone(
    stores, truth, tmp_path
):
    from distributed import Client, LocalCluster

    out = tmp_path / "maps.nc"
    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        dashboard_address="127.0.0.1:0",
        silence_logs=50,
    ) as cluster:
        with Client(cluster) as client:
            pids = list(client.run(os.getpid).values())
        address = cluster.scheduler_address.removeprefix("tcp://")
        killed: list[int] = []

        def progress(done, total):
            if done == 1 and not killed:
                killed.append(pids[0])
                os.kill(pids[0], signal.SIGKILL)

        region(
            stores / "cells.zarr", PLANTS, out=out, scheduler=address, progress=progress
        )
    assert killed
    same(out, truth)


@pytest.mark.long
def test_no_scheduler_is_said_in_a_line(stores, tmp_path, capsys):
    words = ["region", str(stores / "cells.zarr"), "--plant", PLANTS[0], "--out"]
    words += [str(tmp_path / "a.nc"), "--scheduler"]
    for address, text in (("127.0.0.1:9", "no scheduler answers"), ("x", "HOST:PORT")):
        assert main([*words, address]) == 2
        assert text in capsys.readouterr().err
    assert main([*words, "127.0.0.1:9", "--workers", "2"]) == 2
    assert "two kinds of workers" in capsys.readouterr().err


@pytest.mark.long
def test_a_killed_run_goes_on_where_it_was(stores, truth, tmp_path):
    out = tmp_path / "maps.nc"
    code = (
        "import time; from pathlib import Path;"
        "from climrisk.commands.region.command import REPORT, RegionInput;"
        "from climrisk.commands.region.compute import region;"
        "REPORT.set((lambda d, n: print(d, flush=True) or time.sleep(0.3), None));"
        f"region(RegionInput(source=(Path({str(stores / 'cells.zarr')!r}),),"
        f" plant=tuple({PLANTS!r}), out=Path({str(out)!r}), threads=1))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, text=True
    ) as run:
        for line in run.stdout:
            if int(line) == 2:
                run.send_signal(signal.SIGKILL)
                break
    folder = tmp_path / "maps.nc.blocks"
    finished = {p: p.stat().st_mtime_ns for p in folder.glob("block-*.maps")}
    assert len(finished) >= 2
    assert not out.exists()
    seen = []
    mapped = region(
        stores / "cells.zarr", PLANTS, out=out, threads=1,
        progress=lambda done, total: seen.append(done),
    )  # fmt: skip
    assert mapped.blocks_kept == len(finished)
    assert seen[0] == len(finished)
    assert len(seen) == mapped.blocks - len(finished) + 1
    same(out, truth)
    assert not folder.exists()


@pytest.mark.long
def test_other_workers_go_on_with_the_same_blocks(stores, truth, tmp_path):
    out = tmp_path / "maps.nc"
    with pytest.raises(RuntimeError):
        region(stores / "cells.zarr", PLANTS, out=out, threads=4, progress=stop_at(2))
    finished = len(list((tmp_path / "maps.nc.blocks").glob("block-*.maps")))
    mapped = region(stores / "cells.zarr", PLANTS, out=out, threads=1, rechunk=True)
    assert mapped.blocks_kept == finished
    same(out, truth)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["maps.nc"]


def test_two_runs_do_not_make_the_same_maps(stores, tmp_path):
    out = tmp_path / "maps.nc"
    said: list[str] = []

    def second(done, total):
        if not said:
            said.append("tried")
            with pytest.raises(InputError, match="another run is making these"):
                region(stores / "cells.zarr", PLANTS, out=out, threads=1)

    region(stores / "cells.zarr", PLANTS, out=out, threads=1, progress=second)
    assert said


def test_a_folder_of_others_is_left_alone(stores, tmp_path):
    folder = tmp_path / "maps.nc.blocks"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear")
    with pytest.raises(InputError, match="a folder in the way"):
        region(stores / "cells.zarr", PLANTS, out=tmp_path / "maps.nc", threads=1)
    assert (folder / "letter.txt").read_text() == "dear"


def test_another_question_does_not_take_the_blocks_of_this_one(stores, tmp_path):
    out = tmp_path / "maps.nc"
    with pytest.raises(RuntimeError):
        region(stores / "cells.zarr", PLANTS, out=out, threads=1, progress=stop_at(2))
    mapped = region(stores / "cells.zarr", PLANTS[:1], out=out, threads=1)
    assert mapped.blocks_kept == 0
    assert load(out).sizes["plant"] == 1


def stop_at(count):
    def progress(done, total):
        if done == count:
            raise RuntimeError("stop")

    return progress


def test_a_full_disk_keeps_what_is_finished(stores, truth, tmp_path, monkeypatch):
    out, write_file, blocks = tmp_path / "maps.nc", atomic_files.replace_file, []

    def full(path, data):
        blocks.extend([path] if path.suffix == ".maps" else [])
        if len(blocks) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        write_file(path, data)

    monkeypatch.setattr("climrisk.regions.checkpoint.replace_file", full)
    with pytest.raises(
        InputError, match=r"the disk is full.*finished blocks are reused"
    ):
        region(stores / "cells.zarr", PLANTS, out=out, threads=1)
    files = sorted(p.name for p in (tmp_path / "maps.nc.blocks").iterdir())
    assert [f for f in files if f != "run.lock"] == ["block-000000.maps", "job.json"]
    monkeypatch.undo()
    assert region(stores / "cells.zarr", PLANTS, out=out, threads=1).blocks_kept == 1
    same(out, truth)


def test_a_broken_chunk_stops_with_2_and_keeps_the_rest(tmp_path, capsys):
    store, out = tmp_path / "in.zarr", tmp_path / "maps.zarr"
    write(store, rows=8, columns=12, hours=HOURS, chunk=(HOURS, 2, 3))
    last = sorted(p for p in (store / "t2m" / "c").rglob("*") if p.is_file())[-1]
    whole = last.read_bytes()
    last.write_bytes(whole[:100])
    words = ["region", str(store), "--plant", PLANTS[0], "--out", str(out)]
    words += ["--threads", "1"]
    assert main(words) == 2
    error = capsys.readouterr().err
    assert "error: a part of the store cannot be read" in error
    assert "finished blocks are reused" in error
    assert len(list((tmp_path / "maps.zarr.blocks").glob("block-*.maps"))) >= 1
    last.write_bytes(whole)
    opened.cache_clear()
    assert main([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["blocks_kept"] >= 1
    assert main([*words[:-2], "--workers", "1", "--json"]) == 0


@pytest.mark.long
def test_a_bad_part_is_named_by_a_cluster_too(tmp_path, capsys):
    store = tmp_path / "in.zarr"
    write(store, rows=2, columns=3, hours=HOURS, chunk=(HOURS, 2, 3))
    for path in (store / "t2m" / "c").rglob("*"):
        if path.is_file():
            path.write_bytes(b"spoiled")
    words = ["region", str(store), "--plant", PLANTS[0], "--out"]
    assert main([*words, str(tmp_path / "m.nc"), "--workers", "1"]) == 2
    assert "a part of the store cannot be read" in capsys.readouterr().err


WRONG = {
    ("--out", "a.txt"): "cannot tell what to write",
    ("--out", "no/where/a.nc"): "no such folder",
    ("--out", "taken.zarr"): "something else is there",
    ("--plant", "Nonesuch"): "Nonesuch",
    ("--spot", "moon"): "unknown spot",
    ("--risk", "7"): "risk out of range",
    ("--workers", "0"): "number of workers",
    ("--variable", "air_temp_c"): "not a name of a variable",
    ("--variable", "air_temp_c=zz"): "no such variable",
    ("--at", "1"): "place not understood",
}


@pytest.mark.parametrize(("option", "value"), list(WRONG), ids=str)
def test_wrong_words_end_with_2_and_one_line(
    stores, tmp_path, monkeypatch, capsys, option, value
):
    monkeypatch.chdir(tmp_path)
    Path("taken.zarr").mkdir()
    words = ["region", str(stores / "cells.zarr"), option, value]
    if option != "--plant":
        words += ["--plant", PLANTS[0]]
    if option not in ("--out", "--at"):
        words += ["--out", "a.nc"]
    assert main(words) == 2
    error = capsys.readouterr().err
    assert WRONG[option, value] in error
    assert error.count("\n") == 1
    assert not Path("a.nc").exists()


def test_nothing_asked_and_no_plant_are_said(stores, capsys):
    assert main(["region", str(stores / "cells.zarr"), "--plant", PLANTS[0]]) == 2
    assert "nothing to compute" in capsys.readouterr().err
    assert main(["region", str(stores / "cells.zarr"), "--at", "36.1,-8"]) == 2
    assert "no plant named" in capsys.readouterr().err


@pytest.mark.parametrize("budget", [3_000_000, 20_000_000, 72_000_000])
def test_blocks_cover_the_map_once_and_fit_into_memory(stores, budget):
    for layout in ("cells", "maps", "mixed"):
        task = job(stores / f"{layout}.zarr")
        cut = plan(task, budget=budget, workers=2)
        seen = np.zeros((8, 12), int)
        for block in cut.blocks:
            y0, y1, x0, x1 = block.box
            seen[y0:y1, x0:x1] += 1
            held = min(HOURS, block.window_h + 400)
            assert block.cells * held * 4 * 7 <= 1.1 * budget
        assert (seen == 1).all()


def test_only_a_store_cut_against_the_work_is_advised_to_be_copied(tmp_path):
    for name, chunk, advised in (("c", (2000, 5, 5), False), ("m", (24, 99, 99), True)):
        path = tmp_path / f"{name}.zarr"
        write(path, rows=40, columns=40, hours=2000, chunk=chunk, only=("t2m",))
        cut = plan(job(path), budget=4_000_000, workers=2)
        assert ("rechunk" in fields_in(cut.advice)) == advised, (name, cut.readings)


@pytest.mark.long
def test_without_the_extra_the_cure_is_named(tmp_path):
    path = tmp_path / "a.nc"
    dataset(2, 2, 48).to_netcdf(path, engine="h5netcdf")
    code = (
        "import sys; sys.modules['h5netcdf'] = None;"
        "from climrisk.cli.main import main;"
        f"sys.exit(main(['region', {str(path)!r}, '--plant', 'Masdevallia',"
        " '--at', '36,-8']))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 2, done.stderr
    assert "climrisk[grid]" in done.stderr


def test_progress_goes_to_stderr_and_json_alone_to_stdout(stores, tmp_path):
    words = ["region", str(stores / "maps.zarr"), "--plant", PLANTS[0], "--json"]
    start = time.time()
    done = subprocess.run(
        [sys.executable, "-m", "climrisk", *words, "--out", str(tmp_path / "m.nc")],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    document = json.loads(done.stdout)
    assert document["cells"] == 96
    assert document["hours"] == HOURS
    assert 0 < document["seconds"] < time.time() - start
    assert f"{document['blocks']} of {document['blocks']} blocks" in done.stderr


@pytest.mark.parametrize("name", ["away.zarr", "away.nc"])
def test_an_input_that_is_not_there_is_named(tmp_path, name):
    with pytest.raises(InputError, match="cannot be read") as caught:
        region(tmp_path / name, ["Masdevallia"], out=tmp_path / "m.nc")
    assert str(tmp_path / name) in caught.value.line()
    assert not (tmp_path / "m.nc").exists()
