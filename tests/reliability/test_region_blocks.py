"""A map in the making: a full disk, damaged blocks and kills cost time and no more."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

import numpy as np
import pytest
import xarray as xr

from climrisk.core.atomic_files import remove
from climrisk.regions.unfailing_file import UnfailingFile
from climrisk.regions.units import OUTPUTS
from examples.made_region import write
from tests.asking import region
from tests.quick import but_quick
from tests.reliability.kills import fork_server, kill_at_work, moments
from tests.reliability.long_runs import LONG, repeats

PLANT = "Masdevallia"
HOURS = 24 * 20


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    path = tmp_path_factory.mktemp("store") / "in.zarr"
    write(path, rows=16, columns=24, hours=HOURS, chunk=(HOURS, 2, 4))
    return path


@pytest.fixture(scope="module")
def truth(store):
    out = store.with_name("truth.nc")
    region(store, [PLANT], out=out, threads=1)
    return xr.load_dataset(out, engine="h5netcdf")


@pytest.fixture(scope="module")
def stopped(store):
    """Return a folder of finished blocks, one of all still to do, and its output."""
    out = store.with_name("stopped.nc")

    def progress(done, total):
        if done == total - 1:
            raise RuntimeError("stop")

    with pytest.raises(RuntimeError, match="stop"):
        region(store, [PLANT], out=out, threads=1, progress=progress)
    return out.with_name("stopped.nc.blocks")


def resumed(store, stopped, tmp_path):
    """Return a copy of the finished blocks, and what goes on with them."""
    out = tmp_path / "maps.nc"
    folder = tmp_path / "maps.nc.blocks"
    shutil.copytree(stopped, folder)
    return folder, lambda: (region(store, [PLANT], out=out, threads=1), out)


def same(out, truth):
    engine = "zarr" if out.is_dir() else "h5netcdf"
    with xr.open_dataset(out, engine=engine) as data:
        for name in OUTPUTS:
            np.testing.assert_array_equal(data[name].values, truth[name].values, name)


def damages(data):
    """Yield a name and the bytes of a damaged file."""
    yield "empty", b""
    yield "cut", data[: len(data) // 2]
    if LONG:
        yield "cut by one", data[:-1]
        yield "longer", data + b"x"
        yield "zeros", bytes(len(data))
    rng = np.random.default_rng(3)
    ends = (0, len(data) - 1) if LONG else (len(data) - 1,)
    for place in (*ends, *rng.integers(0, len(data), repeats(1, 80))):
        bit = 1 << int(rng.integers(8))
        yield (
            f"bit of {place}",
            (data[:place] + bytes([data[place] ^ bit]) + data[place + 1 :]),
        )


def test_a_damaged_block_is_computed_again(store, truth, stopped, tmp_path):
    first = sorted(stopped.glob("block-*.maps"))[0]
    whole = len(list(stopped.glob("block-*.maps")))
    assert whole >= 3
    for i, (name, data) in enumerate(damages(first.read_bytes())):
        case = tmp_path / str(i)
        case.mkdir()
        folder, go_on = resumed(store, stopped, case)
        (folder / first.name).write_bytes(data)
        result, out = go_on()
        assert result.blocks_kept == whole - 1, name
        same(out, truth)
        assert not folder.exists()
        shutil.rmtree(case)


@pytest.mark.long
def test_a_damaged_description_keeps_the_blocks(store, truth, stopped, tmp_path):
    whole = len(list(stopped.glob("block-*.maps")))
    note = (stopped / "job.json").read_bytes()
    cases = [*damages(note), ("brackets", b"[" * 5000), ("digits", b"1" * 5000)]
    for i, (name, data) in enumerate(cases):
        case = tmp_path / str(i)
        case.mkdir()
        folder, go_on = resumed(store, stopped, case)
        (folder / "job.json").write_bytes(data)
        result, out = go_on()
        # A bit of the space between words changes nothing that is said.
        assert result.blocks_kept == whole, name
        same(out, truth)
        shutil.rmtree(case)


@pytest.mark.parametrize(
    "left", [["run.lock"], ["run.lock", ".climrisk-0123456789ab"], ["tmpab12.part"]]
)
def test_a_kill_before_the_description_does_not_block(store, truth, tmp_path, left):
    folder = tmp_path / "maps.nc.blocks"
    folder.mkdir()
    for name in left:
        (folder / name).write_bytes(b"")
    region(store, [PLANT], out=tmp_path / "maps.nc", threads=1)
    same(tmp_path / "maps.nc", truth)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["maps.nc"]


def test_blocks_of_another_plan_or_question_are_not_taken(store, stopped, tmp_path):
    folder, go_on = resumed(store, stopped, tmp_path)
    blocks = sorted(folder.glob("block-*.maps"))
    blocks[0].write_bytes(blocks[1].read_bytes())
    result, _ = go_on()
    assert result.blocks_kept == len(blocks) - 1


def test_a_folder_and_a_dangling_link_among_the_blocks(store, truth, stopped, tmp_path):
    folder, go_on = resumed(store, stopped, tmp_path)
    blocks = sorted(folder.glob("block-*.maps"))
    blocks[0].unlink()
    blocks[0].mkdir()
    blocks[1].unlink()
    blocks[1].symlink_to("nowhere")
    result, out = go_on()
    assert result.blocks_kept == len(blocks) - 2
    same(out, truth)


RUN = """
import resource, sys
from climrisk.cli.main import main
limit = int(sys.argv[3])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
sys.exit(main(["region", sys.argv[1], "--plant", "Masdevallia", "--out", sys.argv[2],
               "--threads", "1", *sys.argv[4:]]))
"""


def limited(store, out, limit, *more):
    """Run the command with a limit on the size of files."""
    return subprocess.run(
        [sys.executable, "-c", RUN, str(store), str(out), str(limit), *more],
        capture_output=True,
        text=True,
    )


def says_one_error(done):
    assert done.returncode == 2, (done.returncode, done.stderr)
    lines = done.stderr.splitlines()
    assert lines[-1].startswith("error: "), done.stderr
    said = [line for line in lines[:-1] if "copying" not in line]
    assert all("blocks" in line for line in said), done.stderr
    return lines[-1]


@pytest.mark.parametrize("kind", but_quick(["nc", "zarr"], "nc"))
@pytest.mark.long
def test_a_file_limit_ends_with_2_and_keeps_the_blocks(store, truth, tmp_path, kind):
    out = tmp_path / f"maps.{kind}"
    size = store.with_name("truth.nc").stat().st_size
    # Blocks and chunks of Zarr are small: no limit in between stops those alone.
    several = np.linspace(30_000, size - 1, 10 if LONG else 1).astype(int).tolist()
    limits = several if kind == "nc" else [300]
    for limit in limits:
        line = says_one_error(limited(store, out, limit))
        assert "File too large" in line
        assert "finished blocks are reused" in line
        assert not out.exists()
        assert [p for p in tmp_path.iterdir() if p.is_file()] == []
    result = region(store, [PLANT], out=out, threads=1)
    assert result.blocks_kept == (result.blocks if kind == "nc" else 0)
    if kind == "nc":
        same(out, truth)


@pytest.mark.long
@pytest.mark.skipif(os.geteuid() != 0, reason="only root can make a small disk")
@pytest.mark.parametrize("kind", ["nc", "zarr"])
def test_a_full_disk_ends_with_2_and_keeps_the_blocks(store, truth, tmp_path, kind):
    disk = tmp_path / "disk"
    disk.mkdir()
    sizes = np.linspace(40, 400, 20).astype(int)
    for size in sizes:
        made = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size}k", "tmpfs", str(disk)],
            capture_output=True,
        )
        if made.returncode:
            pytest.skip("no small disk can be made here")
        try:
            out = disk / f"maps.{kind}"
            done = limited(store, out, 10**9)
            if done.returncode != 0:
                assert "the disk is full" in says_one_error(done)
                assert not out.exists()
            elif kind == "nc":
                same(out, truth)
        finally:
            subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.long
def test_an_older_map_stays_while_the_new_one_fails(store, tmp_path):
    out = tmp_path / "maps.zarr"
    region(store, [PLANT], out=out, threads=1)
    files = sorted(p for p in out.rglob("*") if p.is_file())
    before = [p.read_bytes() for p in files]
    line = says_one_error(limited(store, out, 3000, "--rechunk"))
    assert "copy-0.zarr" in line
    assert [p.read_bytes() for p in files] == before


def test_what_was_written_after_a_failure_is_read_back(tmp_path, monkeypatch):
    file, twin = UnfailingFile(tmp_path / "a"), bytearray()
    rng = np.random.default_rng(5)
    write_to_disk = os.pwrite

    def full(descriptor, data, at):
        if at > 2000:
            raise OSError(28, "No space left on device")
        return write_to_disk(descriptor, data[:100], at)

    monkeypatch.setattr(os, "pwrite", full)
    with file:
        for _ in range(200):
            at, size = int(rng.integers(0, 4000)), int(rng.integers(1, 300))
            data = rng.bytes(size)
            file.seek(at)
            assert file.write(data) == size
            twin.extend(bytes(max(0, at + size - len(twin))))
            twin[at : at + size] = data
            at = int(rng.integers(0, len(twin)))
            file.seek(at)
            held = bytearray(150)
            count = file.readinto(held)
            assert held[:count] == twin[at : at + 150]
        assert file.error.errno == 28
        assert file.seek(0, os.SEEK_END) == len(twin)


def make_maps(pipe, store, out):
    """Make maps, and report each finished block."""
    region(
        *(store, [PLANT]), out=out, threads=1, progress=lambda done, _: pipe.send(done)
    )


@pytest.mark.long
def test_kill_at_any_moment_and_go_on(store, truth, tmp_path, counted):
    processes = fork_server(__name__, "climrisk.regions.cells", "dask.array")
    kills, whole, blocks = 200, 0, 0
    for i, after_s in enumerate(moments(kills, 0.0, 0.8)):
        out = tmp_path / ("maps.nc" if i % 2 else "maps.zarr")
        blocks += kill_at_work(processes, make_maps, store, out, after_s=after_s)
        if i % 10 == 9:
            for path in (tmp_path / "maps.nc", tmp_path / "maps.zarr"):
                region(store, [PLANT], out=path, threads=1)
                same(path, truth)
                whole += 1
                remove(path)
    region(store, [PLANT], out=tmp_path / "maps.nc", threads=1)
    same(tmp_path / "maps.nc", truth)
    left = {p.name for p in tmp_path.iterdir()} - {"maps.nc", "maps.zarr"}
    assert all(n.startswith((".climrisk-", "maps.zarr.blocks")) for n in left)
    counted(
        f"{kills} kills, {blocks} blocks finished before them, "
        f"{whole + 1} maps gone on with and equal to the last bit"
    )


def test_the_description_says_what_the_blocks_are(stopped):
    note = json.loads((stopped / "job.json").read_bytes())
    assert set(note) == {"job", "boxes", "window_h", "sha256"}
