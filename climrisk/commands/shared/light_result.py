"""Light at the spot, and dry air, as parts of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import Frozen


class MonthLight(Frozen):
    """Daily light on a level leaf and hours of direct sun a day."""

    daily_light_mol_m2: Band
    direct_sun_h: Band


class FirstSun(Frozen):
    """Direct sun that meets a plant in the weeks after it is put out.

    `warn` is true where it is an hour a day or more in one of the months; null, with
    the reason, where there is no date to put it out.
    """

    months: dict[str, float]
    warn: bool | None
    sentence: str | None
    unknown_because: str | None


class Light(Frozen):
    """Light at the spot by month.

    Told from facing, eaves and horizon where the keeper tells them (`geometry`), else
    from the usual share of the kind (`share`). `sun_by_hour` is the share of a month's
    days with direct sun in each hour, by local standard time; null where not known.
    """

    told_from: Literal["geometry", "share"]
    facing_deg: float | None
    months: dict[str, MonthLight]
    sun_by_hour: dict[str, list[float | None]]
    first_sun: FirstSun
    notes: list[str]


class LightNeed(Frozen):
    """Daily light where the plant stands, against what it needs over a winter.

    `months` follow the verdict: the spot in the months outdoors, the room in the
    others. `lamp_h` is the hours of a lamp a day in the darkest month; null where the
    light is enough or not known.
    """

    floor_mol_m2: float | None
    floor_basis: str | None
    months: dict[str, float | None]
    darkest_month: int | None
    darkest_mol_m2: float | None
    lamp_h: int | None


class DrySeason(Frozen):
    """Hours of dry air in a season of a year."""

    season: str
    hours_below_humidity: Band | None
    hours_above_vpd: dict[str, Band]


class Dryness(Frozen):
    """Dry air at the spot.

    `humidity_low_pct` is the limit counted: the plant's, or that of its state where it
    is stricter. Totals are over the whole record; `per_year` and `seasons` are hours of
    a year.
    """

    humidity_low_pct: float | None
    humidity_basis: str | None
    hours_below_humidity: Band | None
    hours_above_vpd: dict[str, Band] | None
    vpd_basis: str
    humidity_per_year: Band | None
    vpd_per_year: dict[str, Band]
    seasons: list[DrySeason]
    unknown_because: dict[str, str]
