"""The kernel with a pot's numbers laid out for it, for any number of lanes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.core.arrays import Float
from climrisk.physics.humidity import psychrometric_pa_k
from climrisk.pot.film import film_terms
from climrisk.pot.grid import Rings, column, holds_kg, parameters, surfaces
from climrisk.pot.model import PotNumbers

if TYPE_CHECKING:
    from climrisk.pot.kernel.march import March
    from climrisk.pot.kernel.packing import PackedColumn, Volumes


class Marcher:
    """The kernel with a pot's numbers, for any number of lanes.

    Parameters
    ----------
    pressure_pa : float
    pot : PotNumbers
    n_r, n_z : int
        Rings and layers.
    substeps : int
    dtype : type
    budget : (float, float), optional
        Water held at the start, and water below which evaporation falls, of a pot that
        is not watered again; else as `PotNumbers.watered_every_h` says. [kg]
    """

    def __init__(
        self,
        pressure_pa: float,
        pot: PotNumbers,
        n_r: int,
        n_z: int,
        substeps: int,
        dtype: type,
        budget: tuple[float, float] | None = None,
    ) -> None:
        self.budget = budget
        self.pot, self.n_r, self.n_z = pot, n_r, n_z
        self.dtype, self.substeps = dtype, substeps
        self.film = film_terms(2 * pot.radius_m, pot.fill_m, pressure_pa)
        usual = np.asarray(psychrometric_pa_k(np.asarray(10.0), pressure_pa))
        self.psychrometric = float(usual)

    def _wide(self, x: Float, lanes: int) -> Float:
        return np.ascontiguousarray(
            np.broadcast_to(x[..., None], (*x.shape, lanes)), dtype=self.dtype
        )

    def _water(self, starts: list[int], lanes: int) -> Float | None:
        """Return the budget of water of pieces that begin at some hours of the record.

        All of a record is watered at the same hours; a piece begins as if full.
        """
        if self.budget is not None:
            full, half = self.budget
            never = np.array([full, half, full, np.inf, 0.0])
            return self._wide(never, lanes)
        every = self.pot.watered_every_h
        if every <= 0:
            return None
        full = holds_kg(self.pot)
        since = np.repeat(np.array(starts) % every, lanes // len(starts))
        rows = np.array([full, full / 2, full, every])[:, None] * np.ones(lanes)
        return np.concatenate([rows, since[None]]).astype(self.dtype)

    def _made(self, starts: list[int], lanes: int) -> PackedColumn | Volumes:
        from climrisk.pot.kernel.packing import PackedColumn, Volumes

        pot = self.pot
        if self.n_z == 1:
            shells = column(pot, self.n_r)
            inward, outward, values = (
                self._wide(x, lanes)
                for x in (shells.inward, shells.outward, parameters(pot, shells))
            )
            return PackedColumn(
                inward, outward, values, shells.shares.astype(self.dtype)
            )
        rings = Rings.of(pot, self.n_r, self.n_z)
        return Volumes(
            rings.n_r,
            rings.n_z,
            self._wide(surfaces(pot), lanes),
            self._wide(rings.records, lanes),
            self._water(starts, lanes),
        )

    def begin(self, first: Float, starts: list[int]) -> March:
        """Return a march that begins with some hours of the record.

        Parameters
        ----------
        first : ndarray, shape (8, lane)
            Forcing at the first hour of each lane; the pot begins as warm as the air.
        starts : list of int
            Hours of the record; each has as many lanes.
        """
        from climrisk.pot.kernel.march import March

        lanes = first.shape[1]
        made = self._made(starts, lanes)
        start = np.ones((made.cells, 1), self.dtype) * first[0]
        film = self._wide(self.film, lanes)
        return March(film, made, start, first, self.substeps, self.psychrometric)


def marched(
    march: March, forcing: Float, hours: int, *, with_axis: bool = False
) -> tuple[Float, Float]:
    """March on and return mean and axis of the medium, shape (hours, lane). [°C]

    The axis has no hours where it is not asked for.
    """
    lanes = forcing.shape[2]
    mean: Float = np.empty((hours, lanes), forcing.dtype)
    axis: Float = np.empty((hours if with_axis else 0, lanes), forcing.dtype)
    march.add(forcing, mean, axis, np.zeros(0))
    return mean, axis
