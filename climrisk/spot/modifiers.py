"""What a spot's particulars make of the prior of its kind."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.core.lookups import note
from climrisk.physics.longwave import top_sky_view, wall_sky_view
from climrisk.spot.kinds import Pair, SpotKind
from climrisk.spot.surroundings import EAVES_ABOVE_M

#: Open-air total above which a prior is flagged as optimistic. [K]
OPTIMISTIC_K = 3.0


@dataclass(frozen=True)
class Effect:
    """One particular's effect on clear still nights, mean and standard deviation."""

    name: str
    still_k: Pair


@lru_cache(maxsize=1)
def figures() -> dict[str, Any]:
    """Return the figures of ``data/modifiers.toml``."""
    text = resources.files("climrisk.spot").joinpath("data/modifiers.toml")
    return tomllib.loads(text.read_text("utf-8"))


def sited(kind: SpotKind, latitude_deg: float) -> SpotKind:
    """Return a kind with its site's particulars worked into its numbers.

    Effects overlap, so they are never summed in full: see `together`. Where the
    keeper told nothing, the kind is returned as it is.

    Parameters
    ----------
    kind : SpotKind
        With its ``site``.
    latitude_deg : float
        The sun-facing side is the south in the north and the north in the south.
    """
    note_spot(kind)
    return _sited(kind, latitude_deg)


def note_spot(kind: SpotKind) -> None:
    """Note that a kind of spot was looked up."""
    note("spot", f"{kind.name} {'calibrated' if kind.learned else ''}", kind)


@lru_cache(maxsize=256)
def _sited(kind: SpotKind, latitude_deg: float) -> SpotKind:
    if kind.group in ("room", "sill"):
        return _indoors(kind)
    if not kind.site.specified:
        return kind
    site, data = kind.site, figures()
    if site.vents == "closed":  # then summer nights are as warm as winter's
        kind = replace(kind, still_summer=kind.still_winter)
    before, (top, wall) = (kind.sky_top, kind.sky_wall), sky_views(kind)
    found = effects(kind)
    still: dict[str, Any] = {
        name: together([pair, *(e.still_k for e in found)])
        for name, pair in (
            ("still_winter", kind.still_winter),
            ("still_summer", kind.still_summer),
        )
        if pair is not None
    }
    day_k, evening_k = _by_day(kind, latitude_deg)
    dew_k = kind.dew_k
    if site.wet_floor:
        more, sd = data["wet_floor"]["dew"]
        dew_k = (dew_k[0] + more, math.hypot(dew_k[1], sd))
    leak = data["insulation"][site.insulation or "ordinary"]
    return replace(
        kind,
        **still,
        sky_top=top,
        sky_wall=wall,
        open_share=(1.0, 0.0) if (top, wall) != before else kind.open_share,
        day_k=day_k,
        evening_k=evening_k,
        dew_k=dew_k,
        leak_k=kind.leak_k * leak,
    )


def effects(kind: SpotKind) -> list[Effect]:
    """Return what each particular does to the minimum of a clear still night."""
    site, data = kind.site, figures()
    out = []
    hidden = kind.sky_top - sky_views(kind)[0]
    if hidden:
        out.append(Effect("sky", _times(data["sky"]["still"], hidden)))
    if site.house_m is not None:
        reach = data["house"]["reach_m"]
        usual = math.inf if kind.house_m is None else kind.house_m
        share = math.exp(-site.house_m / reach) - math.exp(-usual / reach)
        out.append(Effect("house", _times(data["house"]["still"], share)))
    if site.height_m is not None and kind.height_m is not None:
        share = _climb(site.height_m) - _climb(kind.height_m)
        out.append(Effect("height", _times(data["height"]["still"], share)))
    if site.hollow and kind.name != "yard-floor":
        out.append(Effect("hollow", tuple(data["hollow"]["still"])))
    return out


def together(pairs: list[Pair]) -> Pair:
    """Return several effects as one: the largest in full and half of the rest.

    Warming and cooling effects are each combined so; the spreads add by variance
    with the same weights.
    """
    mean, variance = 0.0, 0.0
    for sign in (1, -1):
        mine = [p for p in pairs if sign * p[0] > 0 or (sign == 1 and p[0] == 0)]
        mine.sort(key=lambda p: -abs(p[0]))
        for place, (value, sd) in enumerate(mine):
            weight = 1.0 if place == 0 else 0.5
            mean += weight * value
            variance += (weight * sd) ** 2
    return mean, math.sqrt(variance)


def sky_views(kind: SpotKind) -> tuple[float, float]:
    """Return the sky that a level top and an upright wall see from the spot.

    Eaves that reach out by *e* at a height *h* hide the outward half of the sky from
    the zenith down to the angle ``atan(e/h)``: of a level top's view the share
    ``sin``, of an upright wall's the share ``1 - cos`` of that angle. Houses opposite
    hide by the horizon rule, walls and cloth by their shares.
    """
    site, data = kind.site, figures()
    top, wall = kind.sky_top, kind.sky_wall
    if site.eaves_m:
        angle = math.atan2(site.eaves_m, site.eaves_above_m or EAVES_ABOVE_M)
        top *= 1 - math.sin(angle)
        wall *= math.cos(angle)
    if site.horizon_deg:
        top *= top_sky_view(site.horizon_deg)
        wall *= wall_sky_view(site.horizon_deg) / wall_sky_view(0.0)
    if site.walls is not None:
        more = site.walls - kind.walls
        top = min(max(top - more * data["wall"]["top_share"], 0.0), 1.0)
        wall = min(max(wall - more * data["wall"]["side_share"] * 0.5, 0.0), 0.5)
        if kind.sky_top < 0.1:  # under a roof, fewer walls open no sky overhead
            top = min(top, kind.sky_top)
    if site.shade_frac:
        top *= 1 - site.shade_frac
    return top, wall


def sunward(facing_deg: float, latitude_deg: float) -> float:
    """Return the cosine of the angle between a facing and the noon sun's side."""
    noon = 180.0 if latitude_deg >= 0 else 0.0
    return math.cos(math.radians(facing_deg - noon))


def optimistic(kind: SpotKind) -> bool:
    """Whether an open-air prior lies so high that it may flatter the spot."""
    return (
        kind.group == "open-air"
        and not kind.as_recorded
        and kind.learned is None
        and kind.still_winter is not None
        and kind.still_winter[0] > OPTIMISTIC_K
    )


def _by_day(kind: SpotKind, latitude_deg: float) -> tuple[Pair | None, Pair | None]:
    """Return the afternoon and the evening prior for what is told of sun and floor."""
    site, data = kind.site, figures()
    day, evening = kind.day_k, kind.evening_k
    if day is None:
        return day, evening
    more = 0.0
    if site.wet_floor:
        more += data["wet_floor"]["day"]
    if site.house_m is not None and kind.house_m is not None:
        reach = data["house"]["reach_m"]
        gone = math.exp(-site.house_m / reach) - math.exp(-kind.house_m / reach)
        more += data["house"]["day"] * gone
    if site.facing_deg is not None:
        toward = sunward(site.facing_deg, latitude_deg)
        # The shelf's prior is that of a sun-facing wall, the others' of any.
        usual = 1.0 if evening is not None else 0.0
        more += data["facing"]["day"] * (toward - usual)
        if evening is not None:
            share = max(toward, 0.0)
            dawn = 0.0 if kind.still_winter is None else kind.still_winter[0]
            evening = (dawn + share * (evening[0] - dawn), evening[1])
    return (day[0] + more, day[1]), evening


def _indoors(kind: SpotKind) -> SpotKind:
    site, data = kind.site, figures()
    changed: dict[str, Any] = {}
    if site.glass is not None and kind.u_value is not None:
        changed["u_value"] = data["glass"][site.glass]
    if site.from_glass_cm is not None and kind.from_glass_cm is not None:
        changed["from_glass_cm"] = site.from_glass_cm
    if site.set_point_c is not None and kind.set_point_c is not None:
        changed["set_point_c"] = (site.set_point_c, 0.5)
        if kind.set_back_c is not None and site.set_back_c is None:
            lower = min(kind.set_back_c[0], site.set_point_c)
            changed["set_back_c"] = (lower, kind.set_back_c[1])
    if site.set_back_c is not None and kind.set_back_c is not None:
        changed["set_back_c"] = (site.set_back_c, 0.5)
    if site.heating == "failed":
        changed["set_point_c"] = changed["set_back_c"] = None
    return replace(kind, **changed) if changed else kind


def _times(pair: list[float], factor: float) -> Pair:
    return pair[0] * factor, pair[1] * abs(factor)


def _climb(height_m: float) -> float:
    """Return the share of the inversion below a height, by its logarithm."""
    data = figures()["height"]
    low, high = data["low_m"], data["high_m"]
    held = min(max(height_m, low), data["top_m"])
    return math.log(held / low) / math.log(high / low)
