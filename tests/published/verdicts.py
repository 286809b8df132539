"""Verdicts in made climates: against what growers say, and how often each comes.

    python -m tests.published.verdicts

prints both tables for all fifteen climates of ``made_climates.csv``.
"""

from __future__ import annotations

import csv
from collections import Counter
from functools import lru_cache
from pathlib import Path

from climrisk.advice.limits import limits_of
from climrisk.advice.verdict import STEP, Verdict, VerdictWord
from climrisk.commands.shared.judgements import Judgements
from climrisk.plants.registry import all_profiles, find
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare
from tests.made_climates import made_climate, towns

FACTS = list(csv.DictReader(Path(__file__).with_name("trade_facts.csv").open()))
RISKS = (0.1, 0.2)
SPOTS = ("roofed-balcony", "wall-shelf", "glasshouse", "window-sill", "heated-room")
MEMBERS = 20


@lru_cache(maxsize=2)
def home(climate: str) -> Judgements:
    """Return a home without rooms of its own in a made climate."""
    return Judgements(prepare(made_climate(climate), ensemble(MEMBERS)))


def verdict_of(climate: str, spot: str, plant) -> Verdict:
    """Return the verdict of an established plant."""
    limits = limits_of(plant, "established")
    return home(climate).at(spot_kind(spot), plant, limits, RISKS).verdict


def agreement(word: VerdictWord, fair: list[str]) -> str:
    """Return how far a word lies from those that growers would say."""
    if word in fair:
        return "agrees"
    if word == "cannot say":
        return "cannot say"
    steps = min(abs(STEP[word] - STEP[f]) for f in fair)
    return "one step off" if steps <= 1 else "wrong"


def facts_judged() -> list[tuple[dict[str, str], VerdictWord, str]]:
    """Return every fact with the verdict and how they agree."""
    out = []
    for row in sorted(FACTS, key=lambda r: r["climate"]):
        word = verdict_of(row["climate"], row["spot"], find(row["plant"])).word
        out.append((row, word, agreement(word, row["fair"].split("|"))))
    return out


def table(judged) -> str:
    """Return the facts as a table, one line each."""
    return "\n".join(
        f"{how:14}{row['climate']:14}{row['spot']:16}{row['plant'][:44]:46}"
        f"{word:20}{row['fair']}"
        for row, word, how in judged
    )


def shares(climate: str) -> Counter[str]:
    """Return how often each verdict comes, over all plants and five spots."""
    plants = list(all_profiles())
    return Counter(
        verdict_of(climate, spot, plant).word for spot in SPOTS for plant in plants
    )


def as_percent(count: Counter[str]) -> str:
    """Return shares in words."""
    total = sum(count.values())
    return ", ".join(f"{w} {n / total:.0%}" for w, n in count.most_common())


if __name__ == "__main__":
    judged = facts_judged()
    print(table(judged))
    print(as_percent(Counter(how for _, _, how in judged)))
    every: Counter[str] = Counter()
    for name in towns():
        found = shares(name)
        every += found
        print(f"{name:14}{as_percent(found)}")
    print(f"{'all':14}{as_percent(every)}")
