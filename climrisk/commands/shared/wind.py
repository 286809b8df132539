"""Wind at a spot as the numbers of a result: falling pots and what helps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from climrisk.commands.shared.exposures import sweep, sweep_above
from climrisk.commands.shared.wind_result import Help, Toppling, Wind
from climrisk.core.calendar import YEAR_H, season_months
from climrisk.core.quantities import LENGTH, quantity
from climrisk.core.ranges import Band
from climrisk.exposure.hours import Exposure
from climrisk.exposure.toppling import Falls, Standing, falls
from climrisk.physics.wind import log_profile_ratio
from climrisk.pot.media import media, medium
from climrisk.pot.model import FilledPot, walls
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.site import STOREY_M
from climrisk.spot.transfer import Prepared
from climrisk.spot.wind import gust_left, screen_pair, shelter, town_roughness_m

#: Wind at the plant from which leaves rock, and gusts from which growers report
#: falling pots (about 50 km/h, one writer). [m/s]
WINDY_M_S, GUST_M_S = 8.0, 14.0
_KM_H = 3.6
_HUNG = "hanging plants swing and do not fall over: take them down before wind"
_BY_GUSTS = (
    *("hours", "hours_per_year", "nights_per_year", "expected_nights_by_month"),
    *("strongest_gust_m_s", "strongest_gust_km_h"),
)
#: Watering to weigh a pot down is offered only where the nights of such wind stay so
#: far above the plant's night minimum (our estimate): wet medium is colder medium. [K]
WELL_ABOVE_K = 5.0
_MONTH_NIGHTS = 365.25 / 12
_SCREEN_OPEN = 0.5
#: On the floor behind a parapet the wind is half of that on the rail or a table (our
#: estimate).
_BEHIND_PARAPET = 0.5
_HEAVY_MEDIUM, _HEAVY_POT = "grit", "terracotta"


def wind(
    climate: SpotClimate,
    prepared: Prepared,
    kind: SpotKind,
    standing: Standing,
    limit_c: float | None = None,
) -> Wind:
    """Return wind at the plant, gusts of the record, and the falling of the pot.

    Parameters
    ----------
    climate : SpotClimate
    prepared : Prepared
    kind : SpotKind
    standing : Standing
    limit_c : float, optional
        Night minimum the plant prefers. Watering to weigh the pot down is offered only
        where this is given and the nights of such wind stay well above it. [°C]
    """
    swept = sweep_above(prepared, climate.wind_m_s, [WINDY_M_S])
    gust = prepared.weather.get("wind_gust_m_s")
    reasons = {}
    count = None
    if gust is None:
        reasons["record_hours_gust_above_14_m_s"] = "the record has no gusts"
    else:
        count = int((gust > GUST_M_S).sum())
    thrown = None
    if kind.indoors:
        reasons["toppling"] = "no wind indoors"
    elif standing.hangs:
        reasons["toppling"] = _HUNG
    else:
        thrown = toppling(climate, prepared, kind, standing, limit_c)
    return Wind(
        spot_hours_above_8_m_s=Band.of(
            swept.total_hours[0], unknown=float(np.median(swept.total_unknown))
        ).rounded(0),
        record_hours_gust_above_14_m_s=count,
        toppling=thrown,
        unknown_because=reasons,
    )


def toppling(
    climate: SpotClimate,
    prepared: Prepared,
    kind: SpotKind,
    standing: Standing,
    limit_c: float | None = None,
) -> Toppling:
    """Return the gust that throws a pot at a spot, and how often it blows."""
    drawn, dry = falls(standing), falls(standing, "dry")
    middle = falls(standing, spread=False)
    hours = per_year = nights = by_month = expected = strongest = None
    warm = False
    reasons = {}
    if np.isfinite(climate.gust_m_s).any():
        swept = sweep_above(prepared, climate.gust_m_s, drawn.counted_m_s)
        hours, per_year, nights = _how_often(swept, drawn)
        by_month, expected = _by_month(swept, drawn)
        warm = _warm(swept, drawn, climate, prepared, limit_c)
        strongest = Band.of(np.nanmax(climate.gust_m_s, axis=0)).rounded(1)
    else:
        for name in _BY_GUSTS:
            reasons[name] = "the record knows neither gusts nor wind"
    at, when_dry = Band.of(drawn.at_m_s), Band.of(dry.at_m_s)
    return Toppling(
        mass_kg=round(standing.mass_kg(), 2),
        mass_dry_kg=round(standing.mass_kg("dry"), 2),
        plant_height_cm=round(standing.plant_height_cm, 1),
        leaf_area_cm2=round(standing.plant_area_cm2, 0),
        assumed=[
            name
            for name, given in (
                ("plant height", standing.height_cm),
                ("leaf area", standing.leaf_area_cm2),
            )
            if given is None
        ],
        tips_at_m_s=Band.of(drawn.tips_m_s).rounded(1),
        slides_at_m_s=Band.of(drawn.slides_m_s).rounded(1),
        falls_at_m_s=at.rounded(1),
        falls_at_km_h=km_h(at),
        falls_when_dry_m_s=when_dry.rounded(1),
        falls_when_dry_km_h=km_h(when_dry),
        by="tipping" if middle.tips_m_s[0] <= middle.slides_m_s[0] else "sliding",
        hours=hours,
        hours_per_year=per_year,
        nights_per_year=nights,
        expected_nights_by_month=by_month,
        expected_nights_per_year=expected,
        strongest_gust_m_s=strongest,
        strongest_gust_km_h=None if strongest is None else km_h(strongest),
        helps=helps(standing, kind, warm=warm),
        unknown_because=reasons,
    )


def falls_band_km_h(standing: Standing) -> tuple[Band, Band] | tuple[None, None]:
    """Return the gust that throws a pot, in m/s and in km/h; None for hung ones."""
    if standing.hangs:
        return None, None
    at = Band.of(falls(standing).at_m_s)
    return at.rounded(1), km_h(at)


def _how_often(swept: Exposure, drawn: Falls) -> tuple[Band, Band, Band]:
    """Return hours in all, and hours and nights a year, over members and draws."""
    unknown = float(np.median(swept.total_unknown))
    hours = swept.total_hours
    known = swept.expected.sum() - swept.total_unknown
    years = np.maximum(known, 1.0) / YEAR_H
    lowest = swept.nights.lowest_c
    nights = np.array([(lowest < -t).sum(axis=0) for t in drawn.counted_m_s])
    return (
        Band.of(hours, unknown=unknown).rounded(0),
        Band.of(hours / years).rounded(1),
        Band.of(nights / years).rounded(1),
    )


def _by_month(
    swept: Exposure, drawn: Falls
) -> tuple[dict[str, float | None], float | None]:
    """Return nights by month and a year, both the mean over members and draws."""
    nights = swept.nights
    share = np.mean([(nights.lowest_c < -t).mean(axis=1) for t in drawn.counted_m_s], 0)
    known = np.isfinite(nights.lowest_c).all(axis=1)
    out: dict[str, float | None] = {}
    year: float | None = 0.0
    for m in season_months(north=nights.north):
        mine = known & (nights.month == m)
        nightly = float(share[mine].mean()) * _MONTH_NIGHTS if mine.any() else None
        out[str(m)] = None if nightly is None else round(nightly, 1)
        year = None if nightly is None or year is None else year + nightly
    return out, None if year is None else round(year, 1)


def _warm(
    swept: Exposure,
    drawn: Falls,
    climate: SpotClimate,
    prepared: Prepared,
    limit_c: float | None,
) -> bool:
    """Whether all nights with a gust that may throw the pot stay well above a limit."""
    if limit_c is None:
        return False
    lowest = sweep(prepared, climate.air_c, []).nights.lowest_c
    thrown = (swept.nights.lowest_c < -drawn.counted_m_s[0]).any(axis=1)
    coldest = lowest[thrown]
    return bool(coldest.size) and bool((coldest >= limit_c + WELL_ABOVE_K).all())


def helps(standing: Standing, kind: SpotKind, *, warm: bool = False) -> list[Help]:
    """Return what helps a pot to stand, best first, by the gust it then stands.

    Each alone, by the middle of what is uncertain. What shelters the pot counts by the
    gust at the spot as it is now. What gains less than a twentieth is left out.
    Watering is offered only where such wind comes on `warm` nights; a wider pot never
    is, since its medium stays wet and cold for longer.
    """
    here = falls(standing, spread=False).at_m_s[0]
    found = [
        _help(what, falls(standing.repotted(pot), spread=False).at_m_s[0], "computed")
        for what, pot in _heavier(standing.pot)
    ]
    if warm and standing.pot.water != "wet":
        wet = falls(standing, "wet", spread=False).at_m_s[0]
        found.append(_help("water well before the wind", wet, "computed"))
    found += [
        _help(what, here / share, basis) for what, share, basis in _sheltered(kind)
    ]
    better = [h for h in found if h.stands_m_s and h.stands_m_s > 1.05 * here]
    better.sort(key=lambda h: -(h.stands_m_s or 0.0))
    tie = Help(
        what="lay it down or move it before the wind; or tie it to something firm, "
        "which helps as long as the tie holds",
        stands_m_s=None,
        stands_km_h=None,
        basis="common practice",
    )
    return [tie, *better]


def _heavier(pot: FilledPot) -> list[tuple[str, FilledPot]]:
    """Return heavier pots of the same size."""
    out = []
    heavy = media()[_HEAVY_MEDIUM]
    if pot.medium.bulk_density_kg_m3 < heavy.bulk_density_kg_m3:
        half = _half_with(pot.medium_name)
        if half is not None:
            changed = replace(pot, medium=medium(half))
            out.append((f"half of the medium {_HEAVY_MEDIUM}", changed))
        elif pot.crocking is None:
            thick = round(0.3 * 100 * pot.fill_m, 1)
            out.append(
                (
                    f"{quantity(LENGTH, thick)} of {_HEAVY_MEDIUM} at the bottom",
                    replace(pot, crocking=(thick, heavy)),
                )
            )
    if pot.kind != _HEAVY_POT and _HEAVY_POT in walls() and pot.kind not in _FIRED:
        out.append((f"a {_HEAVY_POT} pot", replace(pot, kind=_HEAVY_POT)))
    return out


_FIRED = ("glazed-ceramic", "terracotta", "glass")


def _half_with(name: str) -> str | None:
    """Return the half mix of a medium of the table; None for a mix."""
    if "+" in name or name not in media():
        return None
    return f"50 {name} + 50 {_HEAVY_MEDIUM}"


def _sheltered(kind: SpotKind) -> list[tuple[str, float, str]]:
    """Return what shelters a pot and the share of the gust that it leaves."""
    out = []
    if kind.site.screen_open_frac is None and kind.group != "glazed":
        left = screen_pair(_SCREEN_OPEN)[0]
        out.append((f"a wind screen {_SCREEN_OPEN:.0%} open", left, "measured nets"))
    height = kind.site.height_m or kind.height_m
    if kind.group == "open-air" and height is not None and height >= STOREY_M:
        lower = log_profile_ratio(
            height - STOREY_M,
            height,
            roughness_m=town_roughness_m(),
            displacement_m=0.0,
        )
        out.append(("a place one storey lower", float(lower), "log law"))
        out.append(
            (
                "the floor behind a parapet instead of rail, shelf or table",
                _BEHIND_PARAPET,
                "our estimate",
            )
        )
    here = float(shelter(kind, ensemble(1))[0, 0])
    return [(what, gust_left(left, here), basis) for what, left, basis in out]


def _help(what: str, stands_m_s: float, basis: str) -> Help:
    return Help(
        what=what,
        stands_m_s=round(float(stands_m_s), 1),
        stands_km_h=round(float(stands_m_s) * _KM_H, 0),
        basis=basis,
    )


def km_h(band: Band) -> Band:
    """Return a band of m/s in km/h."""

    def turned(x: float | None) -> float | None:
        return None if x is None else x * _KM_H

    return Band(turned(band.low), turned(band.mid), turned(band.high)).rounded(0)
