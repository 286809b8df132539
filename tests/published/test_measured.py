"""The table of measured against computed values: right, and as the help has it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.published.measured import ROWS, Row, line

TOPIC = Path(__file__).parents[2] / "climrisk/commands/help/topics/pots.md"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.what)
def test_agreement_and_misses_are_as_stated(row: Row):
    assert (row.misses() <= row.within) is row.agrees
    assert f"{line(row)}\n" in TOPIC.read_text("utf-8")
