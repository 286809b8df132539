"""Few trips: the best cut by trying all, and more risk never less careful."""

from __future__ import annotations

from datetime import date
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.advice.chilling import Earned, Window, sudden_nights, windows
from climrisk.advice.dates import LongCold, moving_dates, spring_risk
from climrisk.advice.trips import COOL_WEIGHT, Mover, grouped
from climrisk.commands.calendar.trips import DatedPlant, entries, plan
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.exposure.nights import Nights
from climrisk.plants.registry import find, index, sources
from climrisk.pot.mass import pot_mass_kg
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import spot_kind
from tests.made_nights import nights

PLANT, KIND = find("Masdevallia"), spot_kind("roofed-balcony")
#: Days of the growing year between which most nights are cold.
LONG_COLD = LongCold(np.array([170.0]), np.array([190.0]))
movers = st.lists(
    st.builds(Mover, st.integers(60, 200).map(float), st.booleans()),
    min_size=1,
    max_size=7,
)


def lost(group, rows, *, autumn):
    dates = [rows[i].date for i in group]
    goes = min(dates) if autumn else max(dates)
    weights = [COOL_WEIGHT if rows[i].wants_cool else 1.0 for i in group]
    return sum(w * abs(d - goes) for w, d in zip(weights, dates, strict=True))


@settings(deadline=None, max_examples=60)
@given(movers, st.integers(1, 4), st.booleans())
def test_no_other_cut_of_the_dates_gives_away_less(rows, most, autumn):
    groups = grouped(rows, most, autumn=autumn)
    assert sorted(i for g in groups for i in g) == list(range(len(rows)))
    assert len(groups) <= most
    given_away = sum(lost(g, rows, autumn=autumn) for g in groups)
    order = sorted(range(len(rows)), key=lambda i: rows[i].date)
    best = min(
        sum(
            lost(order[a:b], rows, autumn=autumn)
            for a, b in zip((0, *cuts), (*cuts, len(order)), strict=True)
        )
        for k in range(min(most, len(order)))
        for cuts in combinations(range(1, len(order)), k)
    )
    assert given_away == pytest.approx(best)


class Made:
    """Dates of a plant from its harmful nights."""

    def __init__(self, harmful, risk, long_cold=LONG_COLD):
        self.harmful, self.long_cold = harmful, long_cold
        self.dates = self.dates_at((risk, spring_risk(risk)))

    def dates_at(self, risks):
        return moving_dates(
            *(self.harmful, self.harmful, self.long_cold, risks),
            any_month_in=True,
            limits_c=(10.0, 7.0),
        )


#: Days that leave every plant some date: one that is cold at any time has none.
days = st.lists(st.integers(1, 362), max_size=12)
homes = st.lists(st.lists(days, min_size=12, max_size=12), min_size=1, max_size=6)


@settings(deadline=None, max_examples=60)
@given(homes, st.floats(0.01, 0.5), st.floats(0.01, 0.5), st.integers(2, 6))
@pytest.mark.long
def test_more_risk_never_makes_a_plants_trip_less_careful(home, a, b, trips):
    cold = [nights(winters) for winters in home]
    went = []
    for risk in sorted((a, b)):
        rows = [
            DatedPlant(
                PottedPlant(PLANT, f"plant {i}", "balcony", KIND), Made(c, risk), None
            )
            for i, c in enumerate(cold)
        ]
        made = plan(rows, trips)
        went.append({(t.action, p.potted.label): t.day for t in made for p in t.plants})
        count = len({(t.action, t.number) for t in made})
        assert count <= max(trips, 2)
    careful, bold = went
    for (action, label), day in careful.items():
        other = bold.get((action, label))
        if other is not None:
            assert other >= day if action == "move in" else other <= day


def test_days_are_dated_in_the_growing_year_of_each_half_of_the_earth():
    north = nights([[120, 200]] * 9)
    potted = PottedPlant(PLANT, "plant", "balcony", KIND)
    row = DatedPlant(potted, Made(north, 0.2), "study")
    rows = entries(plan([row], 5), "home", date(2026, 3, 1), north=True)
    moves = [(e.date, e.action) for e in rows if e.action.startswith("move")]
    assert moves[:2] == [("2025-10-29", "move in"), ("2026-01-18", "move out")]
    south = nights([[120, 200]] * 9, north=False)
    row = DatedPlant(potted, Made(south, 0.2), "study")
    rows = entries(plan([row], 5), "home", date(2026, 3, 1), north=False)
    moves = [(e.date, e.action) for e in rows if e.action.startswith("move")]
    assert moves[:2] == [("2026-05-01", "move in"), ("2026-07-21", "move out")]


def test_weight_by_hand():
    """12 cm of water-like medium: pi/4 0.12² 0.108 m³ = 1.221 L."""
    pot = FilledPot.named("thin-plastic", 12, "expanded-clay")
    litres = np.pi / 4 * 1.2**2 * 1.08
    medium = litres * (0.330 + 0.10)  # dry bulk density and moist water, pot data
    wall = (np.pi * 0.12 * 0.108 + np.pi * 0.06**2) * 0.0008 * 910
    assert pot_mass_kg(pot) == pytest.approx(medium + wall, rel=1e-6)
    assert pot_mass_kg(
        FilledPot.named("terracotta", 12, "expanded-clay")
    ) > pot_mass_kg(pot)


def table(lowest, day_high=25.0, months=None):
    n = len(lowest)
    evening = np.arange(18567, 18567 + n)  # 1 November 2020 on
    return Nights(
        evening,
        np.full(n, 11) if months is None else months,
        np.full(n, 2020),
        123 + np.arange(n),
        np.asarray(lowest, float)[:, None],
        np.full((n, 1), day_high),
        np.isfinite(np.asarray(lowest, float))[:, None],
        north=True,
    )


def test_wanted_nights_lie_within_their_window_and_are_earned_in_order():
    window = Window("flowers", 10, 15, (11,), "made", nights=3)
    made = table([9.9, 10, 12, 15, 15.1, np.nan, 11])
    assert window.counts(made)[:, 0].tolist() == [0, 1, 1, 1, 0, 0, 1]
    earned = Earned.of(window, made, np.array([2020]))
    assert earned.before(126)[0, 0] == 2
    assert earned.before(127)[0, 0] == 3
    assert earned.day_with(3, 0.9) == 127
    assert earned.before(None)[0, 0] == 4
    assert earned.share_with(5, None) == 0.0


def test_a_window_by_days_takes_the_mean_and_leaves_out_hot_days():
    window = Window("spikes", 14, 23, (11,), "made", of="day", below_day_high_c=28)
    made = table([10, 10, 22], day_high=np.array([[18.0], [29.0], [26.0]]))
    assert window.counts(made)[:, 0].tolist() == [1, 0, 0]


def test_southern_windows_lie_half_a_year_later():
    window = Window("rest", 5, 14, (11, 12), "made")
    made = table([10, 10, 10], months=np.array([5, 6, 11]))
    south = Nights(**{**made.__dict__, "north": False})
    assert window.counts(south)[:, 0].tolist() == [1, 1, 0]


def test_sudden_nights_stand_out_from_the_seven_before():
    steady = [15.0] * 10
    assert not sudden_nights(table([*steady, 8.0]), 8).any()
    sudden = sudden_nights(table([*steady, 7.0, 7.0]), 8)[:, 0]
    assert sudden.tolist() == [False] * 10 + [True, False]
    gaps = [15.0, np.nan, np.nan, np.nan, 15.0, 15.0, 15.0, 5.0]
    assert not sudden_nights(table(gaps), 8).any()


def test_every_window_names_plants_and_sources_that_exist():
    slugs = {e.slug for e in index()}
    for window in windows():
        assert set(window.plants) <= slugs
        assert set(window.sources) <= set(sources())
        assert window.low_c < window.high_c
        assert (window.nights is None) == (
            window.nights_basis == "no source says how many"
        )
