"""Sun at the plant over the year: horizon, walls, eaves, facing, glass and cloth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.slabs import columns, several_by_slabs
from climrisk.spot.around import Around, around, through_glass
from climrisk.spot.kinds import SpotKind
from climrisk.spot.members import Share
from climrisk.spot.sky import Sky

Float = NDArray[np.floating]

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
    diffuse_top, diffuse_wall : float
        Diffuse light on a level top and on an upright wall (mean around), over the
        diffuse light on open level ground.
    told : bool
        Whether it follows from facing, eaves or horizon as told; else from the shares
        of the kind.
    """

    beam: Float
    diffuse_top: Share
    diffuse_wall: Share
    told: bool


def reach(
    kind: SpotKind, sky: Sky, *, north: bool, open_share: Share | None = None
) -> Reach:
    """Return what of the sky's light reaches a spot.

    Parameters
    ----------
    kind : SpotKind
    sky : Sky
    north : bool
        Hemisphere: a spot whose facing is not told looks towards the equator.
    open_share : array_like, shape (1, case), optional
        How much of the kind's sky and sun each member sees; that of the middle world
        where not given.
    """
    cloth: Share = kind.cloth_passes
    if not by_geometry(kind):
        cloth *= through_glass(kind)
        cloth = cloth * (kind.open_share[0] if open_share is None else open_share)
        share = np.atleast_2d(np.asarray(kind.beam_frac * cloth, np.float64))
        hours = len(sky.ghi_w_m2)
        everywhere: Float = np.broadcast_to(share, (hours, share.shape[1]))
        diffuse = kind.diffuse_frac * cloth
        return Reach(everywhere, diffuse, 0.5 * diffuse, told=False)
    place, facing = around(kind), facing_deg(kind, north=north)
    beam = visible(place, facing, sky.sun.elevation_deg, sky.sun.azimuth_deg)
    passes = place.passes * cloth
    back = place.given_back
    top, wall = (v + back * (w - v) for v, w in _sky_views(place, facing))
    return Reach(passes * columns(beam), passes * top, passes * wall, told=True)


def by_geometry(kind: SpotKind) -> bool:
    """Return whether enough is told of a spot to follow the sun there."""
    site = kind.site
    return any(x is not None for x in (site.facing_deg, site.eaves_m, site.horizon_deg))


def facing_deg(kind: SpotKind, *, north: bool) -> float:
    """Return where the open side looks: as told, else towards the equator."""
    told = kind.site.facing_deg
    if told is not None:
        return told
    return 180.0 if north else 0.0


def visible(
    place: Around, facing: float, elevation_deg: Float, azimuth_deg: Float
) -> Float:
    """Return the share of the plant that sees a point of the sky, 0 to 1.

    Parameters
    ----------
    place : Around
    facing : float
        Where the open side looks, clockwise from north. [degrees]
    elevation_deg, azimuth_deg : ndarray
        Of the sun, or of a patch of sky, of the same shape.

    Notes
    -----
    Hidden below the horizon; with a wall, behind it, above the edge of the eaves by
    the profile angle, ``tan(profile) = tan(elevation) / cos(azimuth - facing)`` (ASHRAE
    Handbook of Fundamentals, chapter on fenestration; from memory), and beyond side
    walls. With two walls the side is not known: half is seen there. Eaves are long.
    """
    seen = (elevation_deg > place.horizon_deg) & (elevation_deg > 0)
    if place.walls == 0 and place.eaves_m == 0:
        return seen.astype(float)
    turn = np.deg2rad(azimuth_deg - facing)
    front = np.cos(turn)
    if place.walls > 0:
        seen = seen & (front > 0)
    rise = np.tan(np.deg2rad(np.clip(elevation_deg, -89.0, 89.9)))
    if place.eaves_m > 0:
        under = rise * place.eaves_m <= place.eaves_above_m * np.abs(front)
        seen = seen & under
    if place.walls < 2:
        return seen.astype(float)
    # Side walls reach as far out as the eaves do, the reveals of a window less far.
    depth = max(place.eaves_m, place.side_walls_m)
    beside = np.abs(np.sin(turn)) * depth > place.half_width_m * front
    return np.where(seen, np.where(beside, 0.0 if place.walls > 2 else 0.5, 1.0), 0.0)


@lru_cache(maxsize=64)
def _sky_views(place: Around, facing: float) -> tuple[tuple[float, float], ...]:
    """Return views of the sky and those of an open spot, of top and wall.

    Sums over patches of an evenly bright sky: a level top weighs them by the sine of
    their height, the wall of a cylinder, mean around, by ``cos / pi``.
    """
    height = np.arange(_GRID_DEG / 2, 90, _GRID_DEG)
    around_deg = facing + np.arange(_GRID_DEG / 2, 360, _GRID_DEG)
    elevation, azimuth = np.meshgrid(height, around_deg, indexing="ij")
    seen = visible(place, facing, elevation, azimuth)
    angle = np.deg2rad(elevation)
    patch = np.cos(angle) * np.deg2rad(_GRID_DEG) ** 2 / np.pi
    views = []
    for weight, open_view in ((np.sin(angle), 1.0), (np.cos(angle) / np.pi, 0.5)):
        whole = float((weight * patch).sum())
        views.append(open_view * float((seen * weight * patch).sum()) / whole)
    return (views[0], 1.0), (views[1], 0.5)


def sunlight(
    kind: SpotKind, sky: Sky, *, north: bool, open_share: Share | None = None
) -> tuple[Float, Float, Float]:
    """Return sunlight on the wall, on its sunny half and on the top. [W/m²]

    The mean beam on an upright cylinder is ``DNI cos(el) / pi`` (its shadow over its
    wall), on the sunny half twice that; a wall sees half the diffuse sky and half the
    ground.
    """
    got = reach(kind, sky, north=north, open_share=open_share)
    beam, diffuse = sky.beam_w_m2, sky.diffuse_w_m2
    if kind.shading[1]:
        left = shading_left(sky.ghi_w_m2, *kind.shading).astype(np.float32)
        beam, diffuse = left * beam, left * diffuse
    sun = (columns(sky.sun.sin_elevation), columns(sky.sun.cos_elevation))
    given = (got.beam.astype(np.float32), beam, diffuse, *sun)
    formula = partial(
        light_at_spot, diffuse_top=got.diffuse_top, diffuse_wall=got.diffuse_wall
    )
    wall, sunny, top = several_by_slabs(formula, 3, *given)
    return wall, sunny, top


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
) -> tuple[Float, Float, Float]:
    """Return what `sunlight` does, of the sun's sine and cosine of height."""
    beam = share * beam
    level = beam * sine + diffuse_top * diffuse
    spread = diffuse_wall * diffuse + _HALF_ALBEDO * level
    mean_beam = beam * cosine * _OVER_PI
    return mean_beam + spread, 2.0 * mean_beam + spread, level


def direct_sun(
    kind: SpotKind, sky: Sky, *, north: bool, open_share: Share | None = None
) -> Float:
    """Return the share of each hour in direct sun, shape (time, 1 or case).

    By geometry where facing, eaves or horizon are told; else the kind's share of the
    beam, as a share of the time. NaN where the record does not know the sunlight.
    """
    got = reach(kind, sky, north=north)
    beam = sky.beam_w_m2
    if kind.shading[1]:
        beam = beam * shading_left(sky.ghi_w_m2, *kind.shading)
    if got.told:
        return _sunny(got.beam * beam)
    # The kind's share of the beam is that of the time, times what glass lets through.
    passes = around(kind).passes
    seen = kind.open_share[0] if open_share is None else open_share
    time = kind.beam_frac * seen * through_glass(kind) / passes
    return time * _sunny(kind.cloth_passes * passes * beam)


def _sunny(beam_w_m2: Float) -> Float:
    sunny = (beam_w_m2 >= SUNSHINE_W_M2).astype(float)
    return np.where(np.isnan(beam_w_m2), np.nan, sunny)
