"""Damaged logger files; ``sh scripts/fuzz_logger COUNT`` runs as many as asked."""

from __future__ import annotations

import pytest

from tests.fuzz_logger import fuzz
from tests.reliability.long_runs import repeats


@pytest.mark.parametrize("part", range(4))
def test_damaged_files_end_in_series_or_clear_errors(part, counted):
    tally = fuzz(repeats(60, 15_000), seed=20_260 + part)
    counted(tally)
    assert tally.faults == []
    assert tally.read > 0
    assert tally.refused > 0
