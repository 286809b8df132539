"""Root-zone temperature of a pot at a spot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.humidity import psychrometric_pa_k, saturation_pressure_pa
from climrisk.physics.slabs import by_slabs, share_out
from climrisk.pot.film import STRONGEST_WIND_M_S, film_terms
from climrisk.pot.grid import Rings, column, holds_kg, parameters, surfaces
from climrisk.pot.model import Pot, PotNumbers, reference_pot
from climrisk.pot.pieces import (
    THREADS,
    Piece,
    dealt,
    even_pieces,
    stacked,
    summer_pieces,
)
from climrisk.pot.setups import Setup, cut
from climrisk.spot.climate import SpotClimate

if TYPE_CHECKING:
    from climrisk.pot.kernel import Column, Volumes

Float = NDArray[np.floating]

REFERENCE_POT = reference_pot()

#: After a gap, and at a record's start, the root zone is unknown for this many time
#: constants; a piece of a long series is warmed up for twice as many.
UNKNOWN_CONSTANTS, WARM_UP_CONSTANTS = 5.0, 10.0
_USUAL_FILM = 10.0
#: Squares of the first roots of J0(z) and cos(mu).
_SIDE_ROOT, _TOP_ROOT = 5.783, 2.467


@dataclass(frozen=True)
class RootZone:
    """Temperature of the medium.

    Parameters
    ----------
    mean_c : ndarray, shape (time, case)
        Volume mean of the medium at the start of each hour: the root zone. NaN where
        the forcing is unknown and until the pot has forgotten the gap.
    axis_c : ndarray, shape (time, case)
        At the axis.
    """

    mean_c: Float
    axis_c: Float


def time_constant_h(pot: Pot | PotNumbers, film_w_m2k: float = _USUAL_FILM) -> float:
    """Return the slowest time constant of a pot, side and top exposed. [h]

    The film in series with inner resistances 2R/(z1^2 k) of the side and H/(mu1^2 k) of
    the top, z1 = 2.405 (first root of J0) and mu1 = pi/2: exact for a thin and for a
    strong film, up to 9 % above the exact value between (Carslaw & Jaeger 1959, 7.7).
    """
    k, c = pot.conductivity_w_mk, pot.heat_capacity_j_m3k
    side = 2 / pot.radius_m / (1 / film_w_m2k + 2 * pot.radius_m / (_SIDE_ROOT * k))
    top = 1 / pot.fill_m / (1 / film_w_m2k + pot.fill_m / (_TOP_ROOT * k))
    return c / (side + top) / 3600


def root_zone(
    climate: SpotClimate,
    pot: Pot | PotNumbers,
    *,
    setup: Setup = "screening",
    n_r: int | None = None,
    n_z: int | None = None,
    substeps: int = 4,
    dtype: type = np.float32,
    threads: int = THREADS,
) -> RootZone:
    """Return the root-zone temperature of a pot.

    Parameters
    ----------
    climate : SpotClimate
        Arrays (time, case).
    pot : Pot or PotNumbers
        The same for all cases.
    setup : {"screening", "full"}
    n_r, n_z : int, optional
        Rings and layers, where not those of the set-up: one layer for the quick
        interior, several for the whole pot with its wall and its freezing water.
    substeps : int
        Steps an hour.
    dtype : type
        float32 or float64.
    threads : int
        Pieces of the series, or cases, are marched side by side.
    """
    usual = cut(setup, pot.radius_m)
    n_r, n_z = n_r or usual[0], n_z or usual[1]
    unknown = _unknown(climate)
    numbers = pot.numbers if isinstance(pot, Pot) else pot
    forcing = _forcing(climate, dtype, unknown, in_air=numbers.bottom_in_air)
    hours, cases = climate.air_c.shape
    warm = int(np.ceil(WARM_UP_CONSTANTS * time_constant_h(pot))) + 24
    if n_z > 1:
        # From the last watering on, a piece is as wet as the whole.
        warm += int(np.ceil(numbers.watered_every_h))
    mean: Float = np.empty(climate.air_c.shape, dtype)
    axis: Float = np.empty(climate.air_c.shape, dtype)
    if n_z > 1:
        pieces = summer_pieces(climate.air_c, warm)
    else:
        pieces = even_pieces(hours, cases, warm)
    march = _Marcher(climate, numbers, n_r, n_z, substeps, dtype)

    def run(block: list[Piece]) -> None:
        stack = stacked(forcing, block, dtype)
        got_mean, got_axis = march(stack, [start for start, _, _ in block])
        for i, (start, first, stop) in enumerate(block):
            rows = slice(first - start, stop - start)
            lanes = slice(i * cases, (i + 1) * cases)
            mean[first:stop] = got_mean[rows, lanes]
            axis[first:stop] = got_axis[rows, lanes]

    share_out(run, dealt(pieces, threads))
    lost = _remembered(unknown, UNKNOWN_CONSTANTS * time_constant_h(pot))
    for out in (mean, axis):
        np.copyto(out, np.nan, where=lost)
    return RootZone(mean, axis)


class _Marcher:
    """The kernel with a pot's numbers, for any number of lanes."""

    def __init__(
        self,
        climate: SpotClimate,
        pot: PotNumbers,
        n_r: int,
        n_z: int,
        substeps: int,
        dtype: type,
    ) -> None:
        self.pot, self.n_r, self.n_z = pot, n_r, n_z
        self.dtype, self.substeps = dtype, substeps
        self.film = film_terms(2 * pot.radius_m, pot.fill_m)
        usual = np.asarray(psychrometric_pa_k(np.asarray(10.0), climate.pressure_pa))
        self.psychrometric = float(usual)

    def _wide(self, x: Float, lanes: int) -> Float:
        return np.ascontiguousarray(
            np.broadcast_to(x[..., None], (*x.shape, lanes)), dtype=self.dtype
        )

    def _water(self, starts: list[int], lanes: int) -> Float | None:
        """Return the budget of water of pieces that begin at some hours of the record.

        All of a record is watered at the same hours; a piece begins as if full.
        """
        every = self.pot.watered_every_h
        if every <= 0:
            return None
        full = holds_kg(self.pot)
        since = np.repeat(np.array(starts) % every, lanes // len(starts))
        rows = np.array([full, full / 2, full, every])[:, None] * np.ones(lanes)
        return np.concatenate([rows, since[None]]).astype(self.dtype)

    def _made(self, starts: list[int], lanes: int) -> Column | Volumes:
        from climrisk.pot.kernel import Column, Volumes

        pot = self.pot
        if self.n_z == 1:
            shells = column(pot, self.n_r)
            inward, outward, values = (
                self._wide(x, lanes)
                for x in (shells.inward, shells.outward, parameters(pot, shells))
            )
            return Column(inward, outward, values, shells.shares.astype(self.dtype))
        rings = Rings.of(pot, self.n_r, self.n_z)
        return Volumes(
            rings.n_r,
            rings.n_z,
            self._wide(surfaces(pot), lanes),
            self._wide(rings.records, lanes),
            self._water(starts, lanes),
        )

    def __call__(self, forcing: Float, starts: list[int]) -> tuple[Float, Float]:
        from climrisk.pot.kernel import march

        lanes = forcing.shape[2]
        made = self._made(starts, lanes)
        start = np.ones((made.cells, 1), self.dtype) * forcing[0, 0]
        mean: Float = np.empty(forcing.shape[1:], self.dtype)
        axis: Float = np.empty(forcing.shape[1:], self.dtype)
        march(
            forcing,
            self._wide(self.film, lanes),
            made,
            start,
            self.substeps,
            self.psychrometric,
            mean,
            axis,
            np.zeros(0),
        )
        return mean, axis


def _forcing(
    climate: SpotClimate, dtype: type, unknown: NDArray[np.bool_], *, in_air: bool
) -> list[Float]:
    """Return the kernel's eight forcings; holes carry the last known hour.

    The carried values only keep the march going: what they touch is masked after.
    """
    forcing: list[Float] = [
        climate.air_c,
        by_slabs(saturation_pressure_pa, climate.dew_point_c),
        np.clip(climate.wind_m_s, 0.0, STRONGEST_WIND_M_S),
        climate.longwave_wall_w_m2,
        climate.longwave_top_w_m2,
        climate.solar_wall_w_m2,
        climate.solar_top_w_m2,
        climate.air_c if in_air else climate.floor_c,
    ]
    if unknown.any():
        row = np.where(unknown, 0, np.arange(len(unknown))[:, None])
        np.maximum.accumulate(row, axis=0, out=row)
        case = np.arange(unknown.shape[1])
        for f, usual in enumerate((10, 1000, 1, 350, 350, 0, 0, 10)):
            carried = forcing[f][row, case]
            forcing[f] = np.where(np.isnan(carried), dtype(usual), carried)
    return forcing


def _unknown(climate: SpotClimate) -> NDArray[np.bool_]:
    """Return the case-hours in which some part of the forcing is unknown."""

    def total(*parts: Float) -> Float:
        return np.asarray(sum(parts))

    return np.isnan(
        by_slabs(
            total,
            climate.air_c,
            climate.dew_point_c,
            climate.wind_m_s,
            climate.longwave_wall_w_m2,
            climate.longwave_top_w_m2,
            climate.solar_wall_w_m2,
            climate.solar_top_w_m2,
            climate.floor_c,
        )
    )


def _remembered(unknown: NDArray[np.bool_], hours: float) -> NDArray[np.bool_]:
    """Return where the root zone is unknown: in a gap, after it, and at the start.

    Shape (time, case), or (time, 1) where all cases share their gaps.
    """
    wait = int(np.ceil(hours))
    clock = np.arange(len(unknown))[:, None]
    if not unknown.any():
        return clock - wait <= -1
    if (unknown == unknown[:, :1]).all():
        unknown = unknown[:, :1]
    last = np.where(unknown, clock, -1)
    np.maximum.accumulate(last, axis=0, out=last)
    return np.asarray(clock - last <= wait)
