"""A minute of damaged files; ``sh scripts/fuzz_logger COUNT`` runs as many as asked."""

from __future__ import annotations

import pytest

from tests.fuzz_logger import fuzz


@pytest.mark.slow
def test_a_minute_of_damaged_files_ends_in_series_or_clear_errors():
    tally = fuzz(1_000_000, seconds=60, seed=20_260)
    print(tally)
    assert tally.faults == []
    assert tally.read > 0
    assert tally.refused > 0
