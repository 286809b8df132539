"""Every word of the verdict from nights counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climrisk.advice.heat import HeatCounts
from climrisk.advice.limits import limits_of
from climrisk.advice.months import Month
from climrisk.advice.verdict import Alternative, PlaceYear, decided, verdict
from climrisk.commands.assess.compute import assess
from climrisk.commands.shared.judgements import Judgements
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.request import AssessRequest
from climrisk.plants.registry import find
from climrisk.pot.model import FilledPot
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare
from climrisk.weather.series import Away
from tests.made_climates import made_climate
from tests.made_nights import NORTH, days_of, hours, judged, record
from tests.made_plants import plant

PLANT = plant(10.0, tolerated=5.0)
TODAY = date(2026, 11, 25)
WINTER = (11, 12, 1, 2, 3)


def cold_in(months, temperature=2.0, *, years=4, mild=15.0, **options):
    """Return a record whose every night in some months is so cold."""
    cold = [(None, days_of(m), temperature) for m in months]
    return hours(record(years, mild=mild, cold=cold), **options)


def ask(weather, profile=PLANT, *, pot=None, risk=0.2, spot=None, **changes):
    chosen = pot or FilledPot.named("thin-plastic", 12, "pine-bark-fine")
    kind = None if spot is None else spot_kind(spot)
    question = AssessRequest(profile, "made", kind, chosen, TODAY, risk=risk, **changes)
    return assess(weather, question)


def test_suits_where_every_month_is_out():
    found = judged(hours(record(4)), PLANT).verdict
    assert found.word == "suits"
    assert found.months_in == ()
    assert found.reasons == ("no month is too cold",)


def test_suits_with_moves_where_single_nights_are_harmful():
    # One night each January; two in a third of the Decembers, one in another.
    cold = [(None, [190], 3.0), (5, [160], 3.0)]
    cold += [(y, [160, 161], 3.0) for y in (1, 3)]
    lowest = record(6, cold=cold)
    found = judged(hours(lowest), PLANT).verdict
    assert found.word == "suits with moves"
    # 6 nights in January and 5 in December of six years.
    assert found.single_nights == pytest.approx(11 / 6)
    assert found.reasons[0].startswith("carry it in on about 2 nights")
    assert found.reasons[0].endswith("from December to January")


@pytest.mark.parametrize(
    ("count", "word"),
    [
        (1, "indoors in winter"),
        (6, "indoors in winter"),
        (7, "summers outdoors"),
        (10, "summers outdoors"),
        (11, "poor match"),
    ],
)
def test_a_block_of_months_indoors_by_its_length(count, word):
    # From October on, so many months.
    inside = tuple((9 + i) % 12 + 1 for i in range(count))
    found = judged(cold_in(inside), PLANT).verdict
    assert found.word == word
    assert found.months_in == inside
    if word != "poor match":
        assert found.room.name == "a window sill"


def test_a_watched_month_between_two_indoors_belongs_to_the_block():
    lowest = record(4, cold=[(None, days_of(m), 2.0) for m in (12, 2)])
    lowest[:, days_of(1).start] = 2.0  # a single harmful night each January
    found = judged(hours(lowest), PLANT).verdict
    assert found.months_in == (12, 1, 2)
    assert found.word == "indoors in winter"
    assert found.single_nights == 0


def test_poor_match_where_cold_months_come_in_several_spells():
    found = judged(cold_in((11, 2)), PLANT).verdict
    assert found.word == "poor match"
    assert "several spells" in found.reasons[0]


def test_poor_match_where_it_is_too_cold_all_year():
    found = judged(cold_in(NORTH), PLANT).verdict
    assert (found.word, found.reasons) == ("poor match", ("too cold all year",))
    assert len(found.months_in) == 12


def test_poor_match_without_an_acceptable_room():
    weather = cold_in(WINTER, -15.0)
    shed = NamedSpot("shed", spot_kind("unheated-room"))
    found = judged(weather, PLANT, rooms=[shed]).verdict
    assert found.word == "poor match"
    assert "tried: shed" in found.reasons[1]
    study = NamedSpot("study", spot_kind("heated-room"))
    found = judged(weather, PLANT, rooms=[shed, study]).verdict
    assert (found.word, found.room.name) == ("indoors in winter", "study")


def test_rooms_of_the_home_are_tried_before_any_is_assumed():
    weather = cold_in(WINTER)
    assert judged(weather, PLANT).home.rooms_assumed
    study = NamedSpot("study", spot_kind("heated-room"))
    judgement = judged(weather, PLANT, rooms=[study])
    assert not judgement.home.rooms_assumed
    assert judgement.verdict.room.name == "study"
    choice = judgement.room("study")
    assert choice.serves


def test_a_cold_heated_room_is_no_refusal():
    """Cold nights alone never make a month in a heated room one to leave."""
    warm_grower = plant(25.0, tolerated=5.0)  # prefers more than any room has at night
    judgement = judged(cold_in(WINTER), warm_grower, "heated-room")
    assert {row.state for row in judgement.months.values()} <= {"out", "watch"}
    assert max(row.cold_nights for row in judgement.months.values()) > 27
    assert judgement.verdict.word == "suits with moves"
    assert judgement.dates.move_in.status == "never"
    # A harmful night does, in a room as anywhere.
    tender = plant(25.0, tolerated=24.0)
    assert "in" in {
        r.state for r in judged(cold_in(WINTER), tender, "heated-room").months.values()
    }


@pytest.mark.parametrize("years", [1, 2])
def test_cannot_say_with_fewer_than_three_winters(years):
    judgement = judged(cold_in(WINTER, years=years), PLANT)
    assert judgement.verdict.word == "cannot say"
    assert judgement.verdict.reasons[0].startswith(f"{years} winter")
    assert {row.state for row in judgement.months.values()} == {"unknown"}
    assert judgement.dates.move_in.status == "few"
    assert judgement.conditions == []


def test_cannot_say_where_a_month_is_known_in_too_few_years():
    """Half of its winters lack most of January, but not a fifth of their nights."""
    lowest = record(4)
    lowest[:2, days_of(1).start : days_of(1).start + 25] = np.nan
    judgement = judged(hours(lowest), PLANT)
    assert len(judgement.harmful.winters) == 4
    assert judgement.months[1].state == "unknown"
    assert judgement.verdict.word == "cannot say"


def test_a_typical_year_gives_a_rough_word_and_no_date():
    weather = cold_in(WINTER, years=1, typical=True, at="station")
    result = ask(weather, spot="as-measured", members=3)
    assert result.verdict.word == "indoors in winter"
    assert result.verdict.basis == "typical year"
    assert result.months_basis == "typical year"
    assert [m for m, s in result.months.items() if s == "in"] == [
        str(m) for m in WINTER
    ]
    assert result.winters.n == 0
    assert (result.move_in.month_day, result.move_in.status) == (None, "typical year")
    assert result.winters.with_harmful_night is None
    mild = ask(hours(record(1), typical=True), members=3)
    assert (mild.verdict.word, mild.verdict.basis) == ("suits", "typical year")


def test_the_basis_is_winters_or_a_far_station():
    weather = cold_in(WINTER, at="station")
    assert ask(weather, members=1).verdict.basis == "winters"
    far = replace(weather, away=Away(63.0, 480.0, ("Harbor: 90 km away",)))
    assert ask(far, members=1).verdict.basis == "far station"


def year(inside=(), watched=(), winters=10):
    words = dict.fromkeys(NORTH, "out")
    words |= dict.fromkeys(inside, "in") | dict.fromkeys(watched, "watch")
    rows = {m: Month(w, 0.0, 0.0, 0.0, winters) for m, w in words.items()}
    return PlaceYear(rows, HeatCounts(), winters)


ROOM = Alternative("room", "in a room", year(), indoors=True)
YEARS = {
    "suits": year(),
    "suits with moves": year(watched=(1,)),
    "indoors in winter": year((12, 1, 2)),
    "summers outdoors": year((9, 10, 11, 12, 1, 2, 3)),
    "poor match": year((11, 2)),
}


@pytest.mark.parametrize(
    ("cold", "median", "warm", "word", "may_be"),
    [
        ("suits with moves", "suits", "suits", "suits", "suits with moves"),
        ("suits with moves", "suits with moves", "suits", "suits with moves", "suits"),
        ("indoors in winter", "suits with moves", "suits with moves",
         "suits with moves", "indoors in winter"),
        # One step together: which of the two it is changes nothing of the word.
        ("summers outdoors", "indoors in winter", "indoors in winter",
         "indoors in winter", None),
        ("poor match", "summers outdoors", "indoors in winter",
         "summers outdoors", "poor match"),
        ("indoors in winter", "suits with moves", "suits", "cannot say", None),
        ("poor match", "poor match", "suits with moves", "cannot say", None),
        ("poor match", "poor match", "poor match", "poor match", None),
    ],
)  # fmt: skip
def test_members_settle_word_and_doubt(cold, median, warm, word, may_be):
    assert all(decided(y, [ROOM]).word == w for w, y in YEARS.items())
    found = verdict(YEARS[median], [YEARS[w] for w in (cold, median, warm)], [ROOM])
    assert (found.word, found.may_be) == (word, may_be)
    if word == "cannot say":
        assert cold in found.reasons[0]
        assert warm in found.reasons[0]


def test_an_uncertain_spot_may_be_the_next_word():
    """Ten nights a winter near the limit: cold for some members, not for others."""
    found = {}
    for night in np.arange(7.0, 13.1, 1.0):
        cold = [(None, list(days_of(1))[:10], night)]
        weather = hours(record(4, cold=cold), at="station")
        judgement = judged(weather, plant(10.0, tolerated=-5.0), "open-rail", members=9)
        found[float(night)] = (judgement.verdict.word, judgement.verdict.may_be)
    rows = list(found.values())
    assert rows[0] == ("suits with moves", None)
    assert rows[-1] == ("suits", None)
    doubt = {word for word, may_be in rows if may_be is not None}
    assert doubt
    assert all(
        {word, may_be} == {"suits", "suits with moves"}
        for word, may_be in rows
        if may_be is not None
    )


def test_cannot_say_where_the_spot_spans_two_steps():
    """A year without seasons near the limit: too cold all year for cold members, out
    with some care for warm ones."""
    words = []
    for night in np.arange(8.0, 20.1, 0.5):
        weather = cold_in((), years=3, mild=night, at="station")
        judgement = judged(weather, plant(10.0, tolerated=10.0), "open-rail", members=9)
        words.append(judgement.verdict.word)
    assert words[0] == "poor match"
    assert words[-1] == "suits"
    assert "cannot say" in words


def test_strict_makes_cold_nights_harmful():
    weather = hours(record(5, cold=[(None, [190, 191], 9.0)]))
    usual, strict = (ask(weather, members=1, strict=s) for s in (False, True))
    assert (usual.verdict.word, usual.verdict.strict) == ("suits", False)
    assert (strict.verdict.word, strict.verdict.strict) == ("indoors in winter", True)
    assert usual.winters.with_harmful_night.mid == 0
    assert strict.winters.with_harmful_night.mid == 5
    assert (strict.move_in.month_day, strict.move_out.month_day) == ("01-07", "01-09")


def test_a_watched_winter_has_its_days_and_usual_cold_nights():
    # One harmful night a winter, from day 180 to 184; each followed by a cold one.
    lowest = record(5)
    for y in range(5):
        lowest[y, 180 + y], lowest[y, 190 + y] = 3.0, 8.0
    result = ask(hours(lowest), members=1, risk=1 / 6, spring=1 / 6)
    assert result.verdict.word == "suits with moves"
    assert (result.move_in.status, result.move_in.month_day) == ("never", None)
    # The earliest evening (day 180, 28 December) to the one after the latest (185).
    assert result.watch_from.month_day == "12-28"
    assert result.watch_until.month_day == "01-02"
    # Median winter: days 182 and 192, 30 December and 9 January.
    assert result.usual.first_cold_night == "12-30"
    assert result.usual.last_cold_night == "01-09"


@pytest.mark.parametrize(
    ("single", "into", "out", "by"),
    [
        # 21 of 31 nights from 21 November are in December; from 11 January on only 21.
        ((), "11-21", "01-12", "cold nights"),
        # One night of 3 °C on 10 November and on 20 February: out the evening after.
        ((132, 234), "11-10", "02-21", "harmful nights"),
    ],
)
def test_the_dates_say_what_governs_them(single, into, out, by):
    cold = [(None, days_of(m), 8.0) for m in (12, 1)]
    weather = hours(record(4, cold=[*cold, (None, single, 3.0)]))
    result = ask(weather, members=1, risk=0.25)
    assert (result.move_in.month_day, result.move_in.governed_by) == (into, by)
    assert (result.move_out.month_day, result.move_out.governed_by) == (out, by)


def test_a_colder_root_zone_governs_and_a_warmer_one_never_helps():
    """Nights of 5.4 °C harm no plant that tolerates 5; a small wet clay pot cools more
    than the reference pot in which plants tolerate it, a large one less."""
    weather = cold_in(WINTER, 5.4)
    made = plant(5.2, tolerated=5.0)
    usual = ask(weather, made, members=1)
    assert (usual.verdict.word, usual.governed_by) == ("suits", "air")
    small = FilledPot.named("terracotta", 6, "sphagnum", wetness="wet")
    cold = ask(weather, made, pot=small, members=1)
    assert (cold.verdict.word, cold.governed_by) == ("indoors in winter", "root_zone")
    assert "root zone colder than usual" in cold.verdict.reasons[0]
    assert cold.months == usual.months  # by the air
    large = ask(
        weather, made, pot=FilledPot.named("thin-plastic", 25, "pine-bark-fine")
    )
    assert (large.verdict.word, large.governed_by) == ("suits", "air")


@pytest.mark.parametrize("name", ["Cypripedium", "Dionaea muscipula", "Sarracenia"])
def test_a_plant_that_needs_a_cold_winter_is_a_poor_match_for_a_warm_room(name):
    # Growers of these agree that they die back within a few years without dormancy
    # (common practice, no source); a heated room gives none of the cold days.
    home = Judgements(prepare(made_climate("london", 5), ensemble(3)))
    limits = limits_of(find(name), "established")
    warm = home.at(spot_kind("heated-room"), find(name), limits, (0.1, 0.2))
    assert warm.verdict.word == "poor match"
    assert "winter is not cold enough" in warm.verdict.reasons[0]


def test_a_cold_winter_lets_a_plant_that_needs_it_live():
    # Made London has some sixty winter nights of 0 to 7 °C, which a flytrap stands.
    home = Judgements(prepare(made_climate("london", 5), ensemble(3)))
    flytrap = find("Dionaea muscipula")
    limits = limits_of(flytrap, "established")
    at = home.at(spot_kind("roofed-balcony"), flytrap, limits, (0.1, 0.2))
    assert at.verdict.word != "poor match"
    assert not any("not cold enough" in reason for reason in at.verdict.reasons)
