"""Sun at the plant over the year: horizon, walls, eaves, facing, glass and cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.chunked import by_slabs, columns
from climrisk.physics.pointwise import Pointwise, where
from climrisk.physics.solar import SunPath
from climrisk.spot.ensemble import Ensemble, Share
from climrisk.spot.kinds import SpotKind
from climrisk.spot.sky import Sky
from climrisk.spot.surroundings import (
    Around,
    Surrounded,
    around,
    drawn,
    middle,
    open_to,
    through_glass,
    unknown,
)

ALBEDO = 0.2
_HALF_ALBEDO, _OVER_PI = 0.5 * ALBEDO, float(1 / np.pi)
#: Direct sun by the definition of sunshine: at least 120 W/m2 facing the sun (WMO-No.
#: 8, chapter on sunshine duration).
SUNSHINE_W_M2 = 120.0
_GRID_DEG = 2.0


@dataclass(frozen=True)
class Reach:
    """What of the sky's light reaches a spot.

    Parameters
    ----------
    beam : ndarray, shape (time, 1 or case)
        Share of the beam, 0 to 1.
    diffuse_top, diffuse_wall : float, or ndarray of shape (1, case)
        Diffuse light on a level top and on an upright wall (mean around), over the
        diffuse light on open level ground.
    by_geometry : bool
        Whether it follows from what surrounds the spot; else from the shares of the
        kind.
    """

    beam: Float
    diffuse_top: Share
    diffuse_wall: Share
    by_geometry: bool


def reach(
    kind: SpotKind, sky: Sky, *, north: bool, ensemble: Ensemble | None = None
) -> Reach:
    """Return what of the sky's light reaches a spot.

    Parameters
    ----------
    kind : SpotKind
    sky : Sky
    north : bool
        Hemisphere: decides which side has the sun.
    ensemble : Ensemble, optional
        Each member draws what is not given of facing, eaves, horizon and walls. One
        member alone, and none, take the kind's shares where nothing is given, else the
        mean over all facings where none is given.
    """
    cloth = kind.cloth_passes
    apart = unknown(kind).anything and ensemble is not None and ensemble.count > 1
    if not apart and not by_geometry(kind):
        return _by_shares(kind, sky, cloth, ensemble)
    toward = facing_deg(kind, north=north)
    if apart and ensemble is not None:
        places = drawn(kind, toward, ensemble)
        beam = visible(places, sky.sun)
    else:
        places = middle(kind, toward)
        beam = _mean_beam(places, sky.sun)
    views = np.array([_diffuse(p.place) for p in places])
    if apart:
        top, wall = views[:, 0][None], views[:, 1][None]
    else:
        top, wall = views.mean(axis=0)
    passes = around(kind).passes * cloth
    beam *= np.float32(passes)
    return Reach(beam, passes * top, passes * wall, by_geometry=True)


def _by_shares(
    kind: SpotKind, sky: Sky, cloth: float, ensemble: Ensemble | None
) -> Reach:
    through = cloth * through_glass(kind) * _seen(kind, ensemble)
    share = np.atleast_2d(np.asarray(kind.beam_frac * through, np.float64))
    hours = len(sky.ghi_w_m2)
    everywhere: Float = np.broadcast_to(share, (hours, share.shape[1]))
    diffuse = kind.diffuse_frac * through
    return Reach(everywhere, diffuse, 0.5 * diffuse, by_geometry=False)


def _seen(kind: SpotKind, ensemble: Ensemble | None) -> Share:
    return kind.open_share[0] if ensemble is None else open_to(kind, ensemble)


def _mean_beam(places: Sequence[Surrounded], sun: SunPath) -> Float:
    """Return the mean share of some places, shape (time, 1), or that of many suns."""
    if sun.sine.ndim == 1:
        mean: Float = visible(places, sun).mean(axis=1, keepdims=True)
        return mean
    return np.asarray(np.mean([visible([p], sun) for p in places], axis=0))


def _diffuse(place: Around) -> tuple[float, float]:
    """Return the diffuse light on top and wall, with what surfaces give back."""
    top, wall = (v + place.given_back * (w - v) for v, w in _sky_views(place, 0.0))
    return top, wall


def by_geometry(kind: SpotKind) -> bool:
    """Return whether enough is told of a spot to follow the sun there."""
    site = kind.site
    given = (site.facing_deg, site.eaves_m, site.horizon_deg, site.walls)
    return any(x is not None for x in given)


def facing_deg(kind: SpotKind, *, north: bool) -> float:
    """Return where the open side looks: as told, else towards the equator."""
    given = kind.site.facing_deg
    if given is not None:
        return given
    return 180.0 if north else 0.0


def visible(places: Sequence[Surrounded], sun: SunPath) -> Float:
    """Return the share of the plant that sees the sun, or points of the sky, 0 to 1.

    Parameters
    ----------
    places : sequence of Surrounded
        One where the sun is that of many places.
    sun : SunPath
        Of the sun, or of patches of sky.

    Returns
    -------
    ndarray of float32, shape (time, place)
        Of the shape of the points where these have two dimensions.

    Notes
    -----
    Hidden below the horizon; with a wall, behind it, above the edge of the eaves by
    the profile angle, ``tan(profile) = tan(elevation) / cos(azimuth - facing)`` (ASHRAE
    Handbook of Fundamentals, chapter on fenestration; from memory), and beyond side
    walls. A second wall is at one side; half is seen at both where it is not known at
    which. Eaves are long.
    """
    toward = (sun.sine, sun.northward, sun.eastward, sun.rise)
    numbers = np.array([_numbers(p.place, p.facing_deg) for p in places], np.float32)
    seen: Float
    (seen,) = SEEN.of(*map(columns, toward), *numbers.T[:, None])
    return seen


def _numbers(place: Around, facing_deg: float) -> tuple[float, ...]:
    """Return what hides the sun at a place, as `visible_share` takes it."""
    turn = np.deg2rad(facing_deg)
    edge, narrow, left = np.inf, 0.0, 1.0
    if place.eaves_m > 0:
        edge = place.eaves_above_m / place.eaves_m
    if place.walls >= 2:
        # Side walls reach as far out as the eaves do, the reveals of a window less far.
        narrow = place.half_width_m / max(place.eaves_m, place.side_walls_m)
        left = 0.5 if place.walls == 2 and place.side == 0 else 0.0
    horizon = max(np.sin(np.deg2rad(place.horizon_deg)), 0.0)
    walled = float(place.walls > 0)
    side = float(place.side)
    return horizon, np.cos(turn), np.sin(turn), walled, edge, narrow, side, left


def visible_share(  # noqa: PLR0913
    sine: Float,
    northward: Float,
    eastward: Float,
    rise: Float,
    horizon: float,
    ahead: float,
    right: float,
    walled: float,
    edge: float,
    narrow: float,
    side: float,
    left: float,
) -> Float:
    """Return `visible` of one place.

    Parameters
    ----------
    sine, northward, eastward, rise : float or ndarray
        Of `SunPath`.
    horizon : float
        Sine of the horizon's height.
    ahead, right : float
        Cosine and sine of where the open side looks.
    walled : float
        1 with a wall behind, else 0.
    edge : float
        Height of the eaves over how far they reach out; infinite without.
    narrow : float
        Half the width between side walls over how far they reach out.
    side : float
        1 or -1 where there is a wall at one side alone, else 0.
    left : float
        Share that is seen beyond side walls.
    """
    front = ahead * northward + right * eastward
    aside = ahead * eastward - right * northward
    aside = where(side == 0.0, np.maximum(aside, -aside), np.maximum(side * aside, 0.0))
    seen = where(sine > horizon, 1.0, 0.0)
    seen = where((walled > 0.0) & (front <= 0.0), 0.0, seen)
    seen = where(rise > edge * np.maximum(front, -front), 0.0, seen)
    out: Float = where(aside > narrow * front, left * seen, seen)
    return out


SEEN = Pointwise(visible_share, "pppp" + 8 * "c")


@lru_cache(maxsize=64)
def _sky_views(place: Around, facing: float) -> tuple[tuple[float, float], ...]:
    """Return views of the sky and those of an open spot, of top and wall.

    Sums over patches of an evenly bright sky: a level top weighs them by the sine of
    their height, the wall of a cylinder, mean around, by ``cos / pi``.
    """
    height = np.arange(_GRID_DEG / 2, 90, _GRID_DEG)
    around_deg = facing + np.arange(_GRID_DEG / 2, 360, _GRID_DEG)
    elevation, azimuth = np.meshgrid(height, around_deg, indexing="ij")
    seen = visible([Surrounded(place, facing)], SunPath.at(elevation, azimuth))
    angle = np.deg2rad(elevation)
    patch = np.cos(angle) * np.deg2rad(_GRID_DEG) ** 2 / np.pi
    views = []
    for weight, open_view in ((np.sin(angle), 1.0), (np.cos(angle) / np.pi, 0.5)):
        whole = float((weight * patch).sum())
        views.append(open_view * float((seen * weight * patch).sum()) / whole)
    return (views[0], 1.0), (views[1], 0.5)


def sunlight(
    kind: SpotKind, sky: Sky, *, north: bool, ensemble: Ensemble | None = None
) -> tuple[Float, Float]:
    """Return sunlight on the wall and on the top. [W/m²]

    The mean beam on an upright cylinder is ``DNI cos(el) / pi`` (its shadow over its
    wall); a wall sees half the diffuse sky and half the ground.
    """
    got = reach(kind, sky, north=north, ensemble=ensemble)
    beam, diffuse = sky.beam_w_m2, sky.diffuse_w_m2
    if kind.shading[1]:
        left = shading_left(sky.ghi_w_m2, *kind.shading)
        beam, diffuse = left * beam, left * diffuse
    sun = (columns(sky.sun.sin_elevation), columns(sky.sun.cos_elevation))
    given = (got.beam, beam, diffuse, *sun, got.diffuse_top, got.diffuse_wall)
    wall, top = LIGHT.of(*given)
    return wall, top


def shading_left(light_w_m2: Float, above_w_m2: float, takes: float) -> Float:
    """Return the share of the light that is left by shading drawn as needed, 0 to 1.

    Of sunlight outdoors beyond `above_w_m2` the shading takes a fixed share, so that
    more sun never means less light.
    """
    beyond = np.maximum(light_w_m2 - above_w_m2, 0.0)
    out: Float = 1.0 - takes * beyond / np.maximum(light_w_m2, 1.0)
    return out


def light_at_spot(
    share: Float,
    beam: Float,
    diffuse: Float,
    sine: Float,
    cosine: Float,
    diffuse_top: Share,
    diffuse_wall: Share,
) -> tuple[Float, Float]:
    """Return what `sunlight` does, of the sun's sine and cosine of height."""
    beam = share * beam
    level = beam * sine + diffuse_top * diffuse
    spread = diffuse_wall * diffuse + _HALF_ALBEDO * level
    return beam * cosine * _OVER_PI + spread, level


LIGHT = Pointwise(light_at_spot, "fppppcc", 2)


def direct_sun(
    kind: SpotKind, sky: Sky, *, north: bool, ensemble: Ensemble | None = None
) -> Float:
    """Return the share of each hour in direct sun, shape (time, 1 or case).

    As `reach`; the kind's share of the beam is taken as a share of the time. NaN where
    the record does not know the sunlight.
    """
    got = reach(kind, sky, north=north, ensemble=ensemble)
    beam = sky.beam_w_m2
    if kind.shading[1]:
        beam = beam * shading_left(sky.ghi_w_m2, *kind.shading)
    if got.by_geometry:
        return by_slabs(lambda share, beam: _sunny(share * beam), got.beam, beam)
    # The kind's share of the beam is that of the time, times what glass lets through.
    passes = around(kind).passes
    time = kind.beam_frac * _seen(kind, ensemble) * through_glass(kind) / passes
    return time * _sunny(kind.cloth_passes * passes * beam)


def _sunny(beam_w_m2: Float) -> Float:
    sunny = (beam_w_m2 >= SUNSHINE_W_M2).astype(float)
    return np.where(np.isnan(beam_w_m2), np.nan, sunny)
