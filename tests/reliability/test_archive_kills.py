"""An archive whose writers are killed, or are many, holds whole files."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear
from tests.reliability.kills import fork_server, kill_at_work, moments

pytestmark = pytest.mark.long


def a_year(value):
    flags = {"temp": np.zeros(8760, np.int8)}
    temps = np.full(8760, float(value))
    return StationYear("1", 2021, {"temp": temps}, ("x",), flags, "made")


def write(pipe, folder, first):
    """Replace a year again and again."""
    archive = Archive(folder)
    for i in range(100_000):
        with archive.locked():
            archive.write(a_year(first + i))
        pipe.send(i)


def test_kill_at_any_moment_leaves_a_whole_file(tmp_path, counted):
    processes = fork_server(__name__)
    kills, writes = 200, 0
    for after_s in moments(kills, 0.0, 0.25):
        writes += kill_at_work(processes, write, tmp_path, 0, after_s=after_s)
        archive = Archive(tmp_path)
        with archive.locked():  # the dead hold no lock
            stored = archive.read("1", 2021)
        assert stored is not None
        assert len(set(stored.columns["temp"])) == 1
        # A killed write leaves its unfinished file until the next one.
        assert len(list(tmp_path.glob("*/.climrisk-*"))) <= 1
        assert not list(tmp_path.glob("*/*.damaged"))
    with archive.locked():
        archive.write(a_year(1.0))
    assert not list(tmp_path.glob("*/.climrisk-*"))
    counted(f"{kills} kills, {writes} writes")


@pytest.mark.parametrize("count", [2, 8])
def test_many_writers_at_once(tmp_path, count, counted):
    processes = fork_server(__name__)
    pipes = []
    for number in range(count):
        ours, theirs = processes.Pipe(duplex=False)
        worker = processes.Process(
            target=write, args=(theirs, tmp_path, 1000 * number), daemon=True
        )
        worker.start()
        theirs.close()
        pipes.append((worker, ours))
    rounds = 30
    for _ in range(rounds):
        for _, ours in pipes:
            assert ours.poll(120)
            ours.recv()
        stored = Archive(tmp_path).read("1", 2021)
        assert len(set(stored.columns["temp"])) == 1
    for worker, _ in pipes:
        worker.kill()
        worker.join(30)
    assert not list(tmp_path.glob("*/*.damaged"))
    counted(f"{count} processes, {rounds} writes each")
