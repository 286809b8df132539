"""The result of ``climrisk pots``: pots and media compared at a spot."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.shared.result import ExportedResult
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, Frozen, WeatherInfo

#: Three months each; winter is December to February in the north, June to August in
#: the south.
Season = Literal["winter", "spring", "summer", "autumn"]
SEASONS: tuple[Season, ...] = ("winter", "spring", "summer", "autumn")


class NightCase(Frozen):
    """The coldest still or windy night of the record at the spot."""

    evening: str
    air_c: float
    root_zone_c: Band


class PotRow(Frozen):
    """A pot with its medium.

    Bands run over the members of the spot and over what is uncertain of the pot.
    `warmer_k` is the mean night lowest of the root zone in winter, minus that of the
    reference pot; `differs` is its word, and `effects_k` what each difference between
    the two pots adds to it, found by switching it off. `falls_at_m_s` is the gust at
    the plant that tips the pot or pushes it along, with the same plant in all; null
    where such a pot usually hangs.

    `dry_after_d` are, by season, the days from watering until the medium is dry (a
    fifth of its usual water), or until the reservoir is empty where `reservoir` is
    true: by evaporation alone, without what a plant drinks or rain adds; 60 stands for
    60 or more. Its bands run over mornings of the record, the members of the spot and
    what is uncertain of the pot.

    `wet_and_cold_hours_per_year` are hours in which the medium is wetter than damp
    while the root zone is below `wet_and_cold_below_c` of the result: the cold hours of
    each season times the share of time in which a pot that is watered every
    `watered_every_d` days is wet then. Where that is null, the pot is kept wet or dry
    all the time. Where rain falls on the pot, the upper end takes all cold hours as
    wet.
    """

    pot: str
    medium: str
    diameter_cm: float
    time_constant_h: float
    daily_amplitude_ratio: float
    daily_lag_h: float
    lowest_c: Band
    hours_below: dict[str, Band]
    hours_below_preferred: Band | None
    warmer_k: Band
    differs: Literal["warmer", "colder", "no clear difference", "reference"]
    effects_k: dict[str, float]
    reason: str
    worst_still_night: NightCase | None
    worst_windy_night: NightCase | None
    reservoir: bool
    watered_every_d: float | None
    dry_after_d: dict[Season, Band]
    wet_and_cold_hours_per_year: Band | None
    mass_kg: float
    falls_at_m_s: Band | None
    falls_at_km_h: Band | None


class PotsResult(ExportedResult):
    """Pots and media compared at a spot, the warmest by night first.

    `nights_against_hours` says why night lows and hours below the highest limit rank
    the pots differently; null where they do not. `usual_set` says that neither pots nor
    media were named, so that a selection of usual ones is compared.
    """

    plant: str | None
    preferred_c: float | None
    wet_and_cold_below_c: float
    spot: str
    spot_kind: str
    spot_at: str
    members: int
    weather: WeatherInfo
    reference: str
    setup: str
    usual_set: bool
    pots: list[PotRow]
    sentence: str
    nights_against_hours: str | None
    cautions: list[Caution]
    files: list[str]
