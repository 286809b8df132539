"""What is asked of every cell, in a form that goes to other processes and machines."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.chilling import Exemption
from climrisk.advice.heat import AllowedHeat, heat_limits, just_above
from climrisk.advice.limits import limits_of
from climrisk.core.version import __version__
from climrisk.plants.model import Profile
from climrisk.pot.grid_shape import Setup
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import SpotKind
from climrisk.weather.grids.file import Grid, open_grid


@dataclass(frozen=True)
class JobPlant:
    """A plant as the map judges it.

    Parameters
    ----------
    name, label : str
    preferred_c, tolerated_c : float
        Limits by the plant's state.
    exemption : Exemption
        Nights that are not too cold for its comfort.
    heat : tuple of AllowedHeat
    """

    name: str
    label: str
    preferred_c: float
    tolerated_c: float
    exemption: Exemption = field(default_factory=Exemption)
    heat: tuple[AllowedHeat, ...] = ()


@dataclass(frozen=True)
class RegionJob:
    """A question for every cell of a grid.

    Parameters
    ----------
    paths : tuple of str
        Of the input.
    variables : tuple of str
        ``OURS=NAME`` as told.
    plants : tuple of JobPlant
    state : str
        Of the plants.
    spot : SpotKind
    pot : FilledPot
    setup : {"screening", "full"}
    risk, spring_risk : float
        Of the date to move in and of months, and of the date to move out.
    """

    paths: tuple[str, ...]
    variables: tuple[str, ...]
    plants: tuple[JobPlant, ...]
    state: str
    spot: SpotKind
    pot: FilledPot
    setup: Setup
    risk: float
    spring_risk: float

    @property
    def thresholds(self) -> NDArray[np.float64]:
        """All limits of all plants, each once, rising."""
        limits = {p.preferred_c for p in self.plants}
        limits |= {p.tolerated_c for p in self.plants}
        return np.array(sorted(limits))

    @property
    def air_thresholds(self) -> NDArray[np.float64]:
        """`thresholds`, then the least temperature above each day limit."""
        days = {
            h.value_c for p in self.plants for h in p.heat if h.kind != "warm_night"
        }
        return np.array([*self.thresholds, *(just_above(d) for d in sorted(days))])

    def grid(self) -> Grid:
        """Return the grid, opened once in each process."""
        key = (self.paths, self.variables, self._stamps())
        return _held.get(key) or _grid(*key)

    def _stamps(self) -> tuple[float, ...]:
        return tuple(_changed(Path(p)) for p in self.paths)

    def key(self) -> str:
        """Return what tells this question, of this input, from any other."""
        parts = (__version__, asdict(self), self.paths, self._stamps())
        return hashlib.sha256(repr(parts).encode()).hexdigest()[:16]


def _changed(path: Path) -> float:
    """Return when a file changed; one that is not there is refused by its reader."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


#: Grids that another process opened.
_held: dict[tuple[object, ...], Grid] = {}


def hold_grid(job: RegionJob, grid: Grid) -> None:
    """Take a job's grid as another process opened it, in place of all before."""
    _held.clear()
    _held[job.paths, job.variables, job._stamps()] = grid


@lru_cache(maxsize=4)
def _grid(
    paths: tuple[str, ...], variables: tuple[str, ...], stamps: tuple[float, ...]
) -> Grid:
    del stamps  # a file that changed is another grid
    return open_grid([Path(p) for p in paths], variables=variables)


def job_plants(plants: Sequence[Profile], state: str) -> tuple[JobPlant, ...]:
    """Return plants with the limits of a state.

    Raises
    ------
    InputError
        A plant without a night minimum.
    """
    out = []
    for plant in plants:
        limits = limits_of(plant, state)
        row = (limits.preferred_c, limits.tolerated_c, Exemption.of(plant))
        out.append(JobPlant(plant.name, plant.label, *row, heat_limits(limits)))
    return tuple(out)
