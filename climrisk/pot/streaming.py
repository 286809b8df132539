"""The root zone of a record too long to be held at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.pot.forcing import (
    Forgetting,
    any_hour,
    forcing_of,
    lay_out,
    unknown_hours,
)
from climrisk.pot.grid_shape import Setup, cut
from climrisk.pot.kernel.integrator import Marcher, marched
from climrisk.pot.model import FilledPot, PotNumbers
from climrisk.pot.root_zone import (
    UNKNOWN_CONSTANTS,
    RootZone,
    masked,
    time_constant_h,
)
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kernel_inputs import AHEAD_H, BEFORE_H, NUMBERS, Ingredients

if TYPE_CHECKING:
    from climrisk.pot.kernel.march import March


class RunningRootZone:
    """The root zone of a record whose hours come one stretch after the other.

    The pot goes on from where it was, so that no stretch begins early.

    Parameters
    ----------
    pot : FilledPot or PotNumbers
        The same for all cases.
    setup : {"screening", "full"}
    substeps : int
        Steps an hour.
    dtype : type
        float32 or float64.
    """

    def __init__(
        self,
        pot: FilledPot | PotNumbers,
        *,
        setup: Setup = "screening",
        substeps: int = 4,
        dtype: type = np.float32,
    ) -> None:
        self._pot = pot.numbers if isinstance(pot, FilledPot) else pot
        self._cut, self._substeps, self._dtype = (
            cut(setup, pot.radius_m),
            substeps,
            dtype,
        )
        self._forgetting = Forgetting(UNKNOWN_CONSTANTS * time_constant_h(pot))
        self._before: Float | None = None
        self._march: March | None = None

    def add(self, climate: SpotClimate, hours: int) -> RootZone:
        """Return the root zone of the next hours.

        Parameters
        ----------
        climate : SpotClimate
            Of these hours, and of the one after them unless they are the last.
        hours : int
            How many are marched.
        """
        given, cases = climate.air_c.shape
        if given not in (hours, hours + 1):
            msg = f"{given} hours told for {hours} to march; as many, or one more"
            raise ValueError(msg)
        if self._before is None:
            self._before = any_hour(cases)
        unknown = unknown_hours(climate)
        rows = forcing_of(climate, unknown, self._before, self._dtype)
        self._before = np.stack([values[hours - 1] for values in rows])
        forcing: Float = np.empty((given, len(rows), cases), self._dtype)
        in_air = self._pot.bottom_in_air
        lay_out(rows, [(0, 0, given)], 0, forcing, in_air=in_air)
        if self._march is None:
            size = (*self._cut, self._substeps, self._dtype)
            marcher = Marcher(climate.pressure_pa, self._pot, *size)
            self._march = marcher.begin(forcing[0], [0])
        lost = self._forgetting.add(hours, None if unknown is None else unknown[:hours])
        return masked(marched(self._march, forcing, hours)[0], lost)

    @property
    def begun(self) -> bool:
        """Whether any hours were added."""
        return self._march is not None

    def add_spot(
        self, spot: Ingredients, first: int, hours: int
    ) -> tuple[RootZone, Float, NDArray[np.bool_]]:
        """Return the root zone of the next hours, as `add`, from what they come of.

        The climate of the spot is worked out inside the loop, in single precision. A
        record begins with `add`.

        Parameters
        ----------
        spot : Ingredients
            Of these hours, of `BEFORE_H` hours before them and of `AHEAD_H` hours after
            (`climrisk.spot.kernel_inputs`).
        first : int
            Place of the first of these hours.
        hours : int

        Returns
        -------
        RootZone
        ndarray of float, shape (time, case)
            Air at the spot. [°C]
        ndarray of bool, shape (time, case)
            The dark hours.
        """
        if self._march is None:
            msg = "a record begins with a climate"
            raise ValueError(msg)
        given, cases = spot.rows[0].shape
        if first < BEFORE_H or given - first - hours < AHEAD_H:
            msg = f"hours {first} to {first + hours} of {given} lack those around them"
            raise ValueError(msg)
        if self._pot.bottom_in_air:
            numbers = spot.numbers.copy()
            numbers[[NUMBERS.index("floor_slow"), NUMBERS.index("floor_ground")]] = 0
            spot = spot._replace(numbers=numbers)
        mean, air = (np.empty((hours, cases), self._dtype) for _ in range(2))
        axis: Float = np.empty((0, cases), self._dtype)
        dark = np.empty((hours, cases), np.bool_)
        self._march.add_spot(spot, first, mean, axis, np.zeros(0), air, dark)
        root = masked(mean, self._forgetting.add(hours, None))
        return root, air, dark
