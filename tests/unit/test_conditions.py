"""Conditions of a verdict: lamp, single nights, shade, moister air."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.conditions import light_condition
from climrisk.physics.humidity import rel_humidity_pct
from climrisk.spot.kinds import spot_kind
from tests.made_nights import NORTH, days_of, hours, judged, record
from tests.made_plants import plant

WINTER = (11, 12, 1, 2, 3)


def light_of(values):
    return {m: values.get(m, 20.0) for m in NORTH}


@pytest.mark.parametrize(
    ("missing", "hours_a_day"),
    # A lamp of 100 µmol/m²/s gives 0.36 mol/m² an hour.
    [(0.1, 1), (0.35, 1), (0.37, 2), (2.0, 6), (5.7, 16), (9.0, 16)],
)
def test_hours_of_a_lamp_by_hand(missing, hours_a_day):
    row = light_condition(10.0, light_of({12: 10.0 - missing}), NORTH)
    assert row.lamp_h == hours_a_day
    assert row.words == f"with a lamp for {hours_a_day} h a day in December"


def test_the_darkest_month_sets_the_lamp_and_all_dark_ones_are_named():
    row = light_condition(5.0, light_of({11: 4.0, 12: 3.2, 1: 4.9}), NORTH)
    assert (row.months, row.lamp_h) == ((11, 12, 1), 5)
    assert row.words.endswith("from November to January")
    dark = light_condition(30.0, light_of({}), NORTH)
    assert dark.words.endswith("a day all year")


def test_light_enough_or_unknown_asks_for_no_lamp():
    assert light_condition(20.0, light_of({}), NORTH) is None
    assert light_condition(None, light_of({12: 0.1}), NORTH) is None
    assert light_condition(5.0, dict.fromkeys(NORTH), NORTH) is None
    one = light_condition(5.0, {**dict.fromkeys(NORTH), 1: 4.8}, NORTH)
    assert one.months == (1,)


def test_light_is_a_condition_and_never_a_refusal():
    weather = hours(record(3), at="station")
    for kind in ("heated-room", "as-measured"):
        words = {
            judged(weather, plant(10.0, light_floor=f), kind).verdict.word
            for f in (0.01, 60.0)
        }
        assert words == {"suits"}
    dark = judged(weather, plant(10.0, light_floor=60.0), "heated-room")
    (row,) = [c for c in dark.conditions if c.kind == "light"]
    assert (row.months, row.lamp_h) == (NORTH, 16)


def test_the_lamp_is_for_the_months_spent_in_the_room():
    """Outdoors there is light enough in summer, on the sill too little in winter."""
    weather = hours(record(3, cold=[(None, days_of(m), 2.0) for m in WINTER]))
    floor = 5.0
    judgement = judged(weather, plant(10.0, tolerated=5.0, light_floor=floor))
    assert judgement.verdict.room.name == "a window sill"
    sill = judgement.home.light(spot_kind("window-sill"))
    (row,) = [c for c in judgement.conditions if c.kind == "light"]
    assert row.months == tuple(m for m in WINTER if sill[m] < floor)
    assert row.lamp_h == int(np.ceil((floor - min(sill[m] for m in WINTER)) / 0.36))


def test_single_nights_are_a_condition_with_their_number():
    lowest = record(4)
    lowest[:, 190] = 3.0
    (row,) = judged(hours(lowest), plant(10.0, tolerated=5.0)).conditions
    assert (row.kind, row.months) == ("single nights", (1,))
    assert row.words.startswith("carry it in on about 1 night")


def test_harmless_cold_nights_are_said_to_be_so():
    lowest = record(4)
    lowest[:, list(days_of(1))[:12]] = 8.0
    judgement = judged(hours(lowest), plant(10.0, tolerated=5.0))
    assert judgement.verdict.word == "suits with moves"
    (row,) = judgement.conditions
    assert row.months == (1,)
    assert row.words.startswith("about 12 nights")
    assert "none harmful" in row.words


def test_a_watched_heated_room_wants_heat_or_distance_from_the_glass():
    weather = hours(record(3))
    judgement = judged(weather, plant(25.0, tolerated=5.0), "heated-room")
    assert judgement.verdict.word == "suits with moves"
    (row,) = [c for c in judgement.conditions if c.kind == "single nights"]
    assert "keep it away from the glass or turn up the heating" in row.words


def dry_winter():
    """Nights and days of -10 °C and dry from December to February."""
    lowest = record(3, cold=[(None, days_of(m), -10.0) for m in (12, 1, 2)])
    highest = np.where(lowest == -10.0, -9.0, 24.0)
    for month in (12, 3):  # mornings of a mild night follow a cold one
        highest[:, days_of(month).start] = 24.0
    return hours(lowest, highest=np.maximum(highest, lowest), at="station")


def test_dry_air_of_a_heated_room_is_a_condition():
    """Outdoor air of -10 °C and a dew point of -14 holds 2.1 hPa; at 20 °C that is
    less than 10 %, and what a household adds does not make it 40."""
    judgement = judged(dry_winter(), plant(10.0, tolerated=5.0), "heated-room")
    assert float(rel_humidity_pct(20.0, -14.0)) < 10
    (row,) = [c for c in judgement.conditions if c.kind == "dry air"]
    assert row.months == (12, 1, 2)
    # Outdoors it would be indoors then: the same air, in the room where it winters.
    out = judged(dry_winter(), plant(10.0, tolerated=5.0))
    (row,) = [c for c in out.conditions if c.kind == "dry air"]
    assert row.months == (12, 1, 2)


def test_a_refused_spot_has_no_conditions():
    weather = hours(record(3, cold=[(None, range(365), 2.0)]))
    judgement = judged(weather, plant(10.0, tolerated=5.0, light_floor=60.0))
    assert judgement.verdict.word == "poor match"
    assert judgement.conditions == []
