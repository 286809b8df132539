"""Wind at the spot as part of a result: gusts, falling pots and what helps."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import Frozen


class Help(Frozen):
    """Something that makes a pot stand a stronger gust.

    `stands_m_s` is the gust, as it blows at the spot now, that the pot then stands, by
    the middle of what is uncertain; null where it cannot fall as long as the tie holds.
    """

    what: str
    stands_m_s: float | None
    stands_km_h: float | None
    basis: str


class Toppling(Frozen):
    """The gust at the plant that throws the pot, and how often it blows.

    Bands of gusts run over what is uncertain of pot and plant; bands of hours and
    nights over that and over the ensemble members of the spot, with the median as their
    middle. `expected_nights_by_month` and their sum, `expected_nights_per_year`, are
    means over the same: what to expect in an average year. Hours without a known gust
    are counted apart. `by` says whether the pot tips or slides first.
    """

    mass_kg: float
    mass_dry_kg: float
    plant_height_cm: float
    leaf_area_cm2: float
    assumed: list[str]
    tips_at_m_s: Band
    slides_at_m_s: Band
    falls_at_m_s: Band
    falls_at_km_h: Band
    falls_when_dry_m_s: Band
    falls_when_dry_km_h: Band
    by: Literal["tipping", "sliding"]
    hours: Band | None
    hours_per_year: Band | None
    nights_per_year: Band | None
    expected_nights_by_month: dict[str, float | None] | None
    expected_nights_per_year: float | None
    strongest_gust_m_s: Band | None
    strongest_gust_km_h: Band | None
    helps: list[Help]
    unknown_because: dict[str, str]


class Wind(Frozen):
    """Wind at the plant, gusts of the record, and the falling of the pot."""

    spot_hours_above_8_m_s: Band | None
    record_hours_gust_above_14_m_s: int | None
    toppling: Toppling | None
    unknown_because: dict[str, str]
