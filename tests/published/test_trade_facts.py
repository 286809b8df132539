"""What growers in many climates say of plants, against the verdict.

Each row of ``trade_facts.csv`` is what a grower in a climate says of a plant at a spot,
with its source; sources are keys of the profiles' sources, organizations, or neutral
descriptions. The climates are made (see ``tests/made_climates.py``), so this tests the
rules and the limits, not a record. ``pytest -s`` prints the tables.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.made_climates import towns
from tests.published.verdicts import FACTS, as_percent, facts_judged, shares, table

#: Least that agree, of all and of those that exclude "suits"; most far off or not said.
LEAST_AGREE, LEAST_STRICT, MOST_FAR = 88, 18, 2


@pytest.mark.slow
def test_verdicts_agree_with_what_growers_say():
    judged = facts_judged()
    print(f"\n{table(judged)}")
    count = Counter(how for _, _, how in judged)
    strict = Counter(how for r, _, how in judged if "suits" not in r["fair"].split("|"))
    print(f"all: {as_percent(count)}; those that exclude suits: {as_percent(strict)}")
    assert len(judged) == 96
    assert count["agrees"] >= LEAST_AGREE
    assert strict["agrees"] >= LEAST_STRICT
    assert count["wrong"] <= 1
    assert count["wrong"] + count["cannot say"] <= MOST_FAR


@pytest.mark.long
@pytest.mark.parametrize("climate", ["lisbon", "munich"])
def test_few_plants_get_no_verdict_where_there_are_ten_winters(climate):
    words = shares(climate)
    print(f"\n{climate}: {as_percent(words)}")
    assert words["cannot say"] < 0.1 * sum(words.values())
    assert set(words) > {"suits", "poor match", "indoors in winter"}


def test_every_climate_of_a_fact_is_made():
    assert {row["climate"] for row in FACTS} <= set(towns())
