"""Drag and overturning against published coefficients and rows worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.exposure.toppling import figures
from climrisk.physics.drag import (
    cylinder_drag,
    overturning_speed_m_s,
    sliding_speed_m_s,
)
from tests.published.rows import ROWS, expected, inputs


@pytest.mark.parametrize("key", ["WI04", "WI05", "WI06", "WI07", "WI08"])
def test_drag_of_a_cylinder(key):
    # Matthews, Aeronautical Engineer's Data Book, fig. 5.13.
    ratio = inputs(key)["L_over_D"]
    assert cylinder_drag(ratio) == pytest.approx(expected(key), abs=0.02)


def test_drag_grows_with_slenderness_and_stays_below_the_endless_cylinder():
    drag = cylinder_drag(np.geomspace(0.5, 100, 40))
    assert (np.diff(drag) >= 0).all()
    assert drag.max() < expected("WI09")


def row_moment(row):
    plant = row["plant_Cd"] * row["plant_A"] * row["plant_z"]
    return plant + row["pot_Cd"] * row["pot_A"] * row["pot_z"]


def test_overturning_by_hand():
    row = inputs("WI13")
    assert row_moment(row) == pytest.approx(0.0358)
    speed = overturning_speed_m_s(
        row["m_kg"],
        row["base_width_m"],
        row_moment(row),
        air_density_kg_m3=row["rho"],
    )
    assert speed == pytest.approx(expected("WI13"), abs=0.02)
    dried = overturning_speed_m_s(
        inputs("WI14")["m_kg"], row["base_width_m"], row_moment(row)
    )
    assert dried == pytest.approx(expected("WI14"), abs=0.02)


def test_the_same_pot_slides_where_friction_holds_less_than_its_base():
    # By hand: 0.5 x 0.12 + 0.7 x 0.04 = 0.088 m2 of drag area, 4 kg, friction 0.4:
    # sqrt(2 x 0.4 x 4 x 9.81 / (1.225 x 0.088)) = 17.06 m/s.
    assert sliding_speed_m_s(4.0, 0.4, 0.088) == pytest.approx(17.06, abs=0.01)


def test_drag_of_crowns_spans_the_published_ones():
    # Vollsinger et al. 2005: 0.15 to 0.22, Rudnicki et al. 2004: 0.22 to 0.47, all at
    # 20 m/s, above which leaves fold no further: the weaker gusts that tip pots meet
    # more drag than the middle of those, and the band reaches down into them.
    low, high = map(float, ROWS["WI10"]["expected"].split(".."))
    conifers = [float(x) for x in ROWS["WI11"]["expected"].split(",")]
    row = figures()["plant_drag"]
    lowest = row["mean"] * np.exp(-1.6449 * row["log_sd"])  # 5 % of draws
    assert row["mean"] > np.mean([low, high, *conifers])
    assert min(conifers) <= lowest < max(conifers)
