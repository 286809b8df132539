"""Light and dry air at a spot as the numbers of a result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from climrisk.advice.conditions import Condition
from climrisk.commands.shared.light_result import (
    Dryness,
    DrySeason,
    FirstSun,
    Light,
    LightNeed,
    MonthLight,
)
from climrisk.core.calendar import season_months
from climrisk.core.days import MONTH_NAMES
from climrisk.core.ranges import Band
from climrisk.core.wording import listed
from climrisk.exposure.dryness import (
    SEASON_MONTHS,
    Dry,
    dry_air,
    hours_per_season,
    hours_per_year,
)
from climrisk.exposure.hours import Exposure
from climrisk.exposure.light import month_light
from climrisk.plants.model import LimitRow
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import SpotKind
from climrisk.spot.sunlight import by_geometry, direct_sun
from climrisk.spot.surroundings import unknown
from climrisk.spot.transfer import Prepared

#: Months after moving out that the first sun is told for, and the direct sun a day from
#: which it is worth a warning (our estimate). [h]
_FIRST_MONTHS, _WARN_H = 3, 1.0


def light(
    climate: SpotClimate, prepared: Prepared, kind: SpotKind, out: str | None
) -> Light:
    """Return the light at a spot by month, and the first sun after moving out.

    Parameters
    ----------
    climate : SpotClimate
    prepared : Prepared
    kind : SpotKind
    out : str or None
        Date of moving out, MM-DD; None where there is none.
    """
    seasons = prepared.seasons
    sunny = direct_sun(
        kind, prepared.sky, north=seasons.north, ensemble=prepared.ensemble
    )
    found = month_light(climate.solar_top_w_m2, sunny, seasons.month, seasons.hour)
    by_month = {
        m.month: MonthLight(
            daily_light_mol_m2=Band.of(m.daily_light_mol_m2).rounded(1),
            direct_sun_h=Band.of(m.direct_sun_h).rounded(1),
        )
        for m in found
    }
    clock = {m.month: [_share(x) for x in m.sun_by_hour] for m in found}
    months = {str(m): by_month[m] for m in season_months(north=seasons.north)}
    geometric = by_geometry(kind)
    notes = []
    if left := _unspecified(kind):
        notes.append(f"the range covers what is not known: {left}")
    notes += [
        f"sunlight is a typical value, {a.value}: {a.why}"
        for a in prepared.assumed
        if a.variable == "sunlight"
    ]
    return Light(
        told_from="geometry" if geometric else "share",
        facing_deg=kind.site.facing_deg,
        months=months,
        sun_by_hour={str(m): clock[m] for m in season_months(north=seasons.north)},
        first_sun=_first_sun(months, kind, out),
        notes=notes,
    )


def _unspecified(kind: SpotKind) -> str:
    """Return what of the surroundings is not told, in words: nothing where all is."""
    left = unknown(kind)
    parts = [
        word
        for word, apart in (
            ("which way it faces", bool(left.facing_within_deg)),
            ("how far the roof reaches out", left.eaves_m[0] != left.eaves_m[1]),
            ("how high the horizon is", left.horizon_deg[0] != left.horizon_deg[1]),
            ("whether a wall is behind", left.wall),
            ("at which side the second wall is", left.side),
        )
        if apart
    ]
    return listed(parts) if parts else ""


def light_need(
    floor: LimitRow | None,
    light: Mapping[int, float | None],
    conditions: Sequence[Condition],
) -> LightNeed:
    """Return the light where the plant stands against what it needs."""
    known = {m: x for m, x in light.items() if x is not None}
    darkest = min(known, key=lambda m: known[m], default=None)
    lamp = next((c.lamp_h for c in conditions if c.kind == "light"), None)
    return LightNeed(
        floor_mol_m2=None if floor is None else floor.value,
        floor_basis=None if floor is None else floor.basis,
        months={str(m): None if x is None else round(x, 1) for m, x in light.items()},
        darkest_month=darkest,
        darkest_mol_m2=None if darkest is None else round(known[darkest], 1),
        lamp_h=lamp,
    )


def _share(value: float) -> float | None:
    return round(float(value), 2) if np.isfinite(value) else None


def _first_sun(
    months: dict[str, MonthLight], kind: SpotKind, out: str | None
) -> FirstSun:
    if kind.indoors:
        return _no_first_sun("the spot is indoors")
    if out is None:
        return _no_first_sun("there is no date to put it out")
    first = int(out[:2])
    hours = {}
    for k in range(_FIRST_MONTHS):
        name = str((first + k - 1) % 12 + 1)
        mid = months[name].direct_sun_h.mid
        if mid is not None:
            hours[name] = mid
    if not hours:
        return _no_first_sun("the sun of those months is not known")
    warn = max(hours.values()) >= _WARN_H
    spans = ", ".join(
        f"{h:.1f} h in {MONTH_NAMES[int(m) - 1]}" for m, h in hours.items()
    )
    sentence = f"Direct sun a day after moving out: {spans}."
    if warn:
        sentence += (
            " Leaves grown indoors burn in it within hours: begin in full shade and "
            "give an hour more a day over 7 to 14 days."
        )
    return FirstSun(months=hours, warn=warn, sentence=sentence, unknown_because=None)


def _no_first_sun(why: str) -> FirstSun:
    return FirstSun(months={}, warn=None, sentence=None, unknown_because=why)


def dryness(
    climate: SpotClimate,
    prepared: Prepared,
    *,
    humidity_low_pct: float | None,
    state: str,
) -> Dryness:
    """Return hours of dry air at a spot, in all, a year, and by season."""
    dry = dry_air(
        climate,
        prepared.seasons,
        prepared.dark,
        humidity_low_pct=humidity_low_pct,
        state=state,
    )
    reasons = {}
    if dry.humidity is None:
        why = "no source gives a humidity for this plant"
        reasons = {"hours_below_humidity": why, "humidity_per_year": why}
    return Dryness(
        humidity_low_pct=dry.humidity_pct,
        humidity_basis=_humidity_basis(dry, humidity_low_pct),
        hours_below_humidity=_total(dry.humidity, 0),
        hours_above_vpd={
            name: _known(_total(dry.deficit, k)) for k, name in _levels(dry)
        },
        vpd_basis=dry.levels.basis,
        humidity_per_year=None
        if dry.humidity is None
        else Band.of(hours_per_year(dry.humidity, 0)).rounded(0),
        vpd_per_year={
            name: Band.of(hours_per_year(dry.deficit, k)).rounded(0)
            for k, name in _levels(dry)
        },
        seasons=[
            _season(dry, season, north=prepared.seasons.north)
            for season in SEASON_MONTHS
        ],
        unknown_because=reasons,
    )


def _humidity_basis(dry: Dry, of_plant: float | None) -> str | None:
    if dry.humidity_pct is None:
        return None
    by_state = of_plant is None or dry.humidity_pct > of_plant
    return dry.levels.basis if by_state else "profile"


def _levels(dry: Dry) -> list[tuple[int, str]]:
    return [(k, f"{v:g}") for k, v in enumerate(dry.levels.vpd_kpa)]


def _season(dry: Dry, season: str, *, north: bool) -> DrySeason:
    def band(swept: Exposure, k: int) -> Band:
        return Band.of(hours_per_season(swept, k, season, north=north)).rounded(0)

    return DrySeason(
        season=season,
        hours_below_humidity=None if dry.humidity is None else band(dry.humidity, 0),
        hours_above_vpd={name: band(dry.deficit, k) for k, name in _levels(dry)},
    )


def _total(swept: Exposure | None, k: int) -> Band | None:
    if swept is None:
        return None
    unknown = float(np.median(swept.total_unknown))
    return Band.of(swept.total_hours[k], unknown=unknown).rounded(0)


def _known(band: Band | None) -> Band:
    assert band is not None
    return band
