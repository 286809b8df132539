"""Damaged logger files; ``sh scripts/fuzz_logger COUNT`` runs as many as asked."""

from __future__ import annotations

from tests.fuzz_logger import fuzz
from tests.reliability.long_runs import repeats


def test_damaged_files_end_in_series_or_clear_errors(counted):
    tally = fuzz(repeats(1000, 60_000), seed=20_260)
    counted(tally)
    assert tally.faults == []
    assert tally.read > 0
    assert tally.refused > 0
