"""How much of a daily wave reaches the middle of a pot, and how late."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climrisk.pot.grid import Rings, Shells
from climrisk.pot.model import PotNumbers

if TYPE_CHECKING:
    from climrisk.pot.kernel.packing import PackedColumn, Volumes

_PERIODS = 12


@dataclass(frozen=True)
class Wave:
    """A wave inside the pot against that of the air.

    Parameters
    ----------
    amplitude_ratio : float
        Its amplitude over that of the air. [-]
    lag_h : float
        How much later it comes. [h]
    """

    amplitude_ratio: float
    lag_h: float


@dataclass(frozen=True)
class DailyResponse:
    """The wave at the axis and of the volume mean."""

    axis: Wave
    mean: Wave


def daily_response(
    radius_m: float,
    conductivity_w_mk: float,
    heat_capacity_j_m3k: float,
    h_w_m2k: float,
    *,
    h_top_w_m2k: float | None = None,
    height_m: float | None = None,
    period_h: float = 24.0,
    n_r: int = 8,
    n_z: int = 1,
) -> DailyResponse:
    """Return the response of a cylinder to a wave of air temperature.

    The kernel itself marches a sine of air temperature, without radiation and
    evaporation, until the start is forgotten.

    Parameters
    ----------
    radius_m, conductivity_w_mk, heat_capacity_j_m3k : float
    h_w_m2k : float
        Film coefficient of the wall.
    h_top_w_m2k : float, optional
        Of the top; the wall's where not given.
    height_m : float, optional
        Without it only the wall exchanges heat; with it the top too, and the bottom is
        insulated.
    period_h : float
        Period of the wave. [h]
    n_r, n_z : int
        Rings and layers. With one layer the top acts on the mean of each ring; with
        several the axis is at middle height.
    """
    from climrisk.pot.film import FILM_TERMS
    from climrisk.pot.kernel.march import march

    # Steps of a 120th of the period: the straight lines between cost 0.02 %. The
    # kernel counts in hours, so the capacity is scaled to make a step of one.
    per_hour = 120.0 / period_h
    steps = 120 * _PERIODS
    h_top = 0.0
    if height_m is not None:
        h_top = h_w_m2k if h_top_w_m2k is None else h_top_w_m2k
    capacity = heat_capacity_j_m3k * per_hour
    made = _column if n_z == 1 else _volumes
    pot = made(radius_m, conductivity_w_mk, capacity, height_m, n_r, n_z)
    forcing = np.zeros((8, steps, 1))
    forcing[0, :, 0] = np.cos(2 * np.pi * np.arange(steps) / 120)
    film = np.zeros((2, FILM_TERMS, 1))
    film[:, 0, 0] = h_w_m2k, h_top
    mean, axis = np.empty((steps, 1)), np.empty((steps, 1))
    start = np.zeros((n_r * n_z, 1))
    march(forcing, film, pot, start, 1, 60.0, (mean, axis, np.zeros(0)))
    return DailyResponse(_wave(axis[:, 0], period_h), _wave(mean[:, 0], period_h))


def _column(
    radius: float, k: float, capacity: float, height: float | None, n_r: int, _: int
) -> PackedColumn:
    from climrisk.pot.kernel.packing import PackedColumn

    shells = Shells.of(radius, k, capacity, n_r)
    values = np.zeros((12, 1))
    values[0], values[1] = 1 / shells.half_resistance_m2k_w, 1.0
    values[3] = shells.wall_per_capacity
    if height is not None:
        values[1], values[4] = 3 * k / height, 1 / (capacity * height)
    return PackedColumn(
        shells.inward[:, None], shells.outward[:, None], values, shells.shares
    )


def _volumes(
    radius: float, k: float, capacity: float, height: float | None, n_r: int, n_z: int
) -> Volumes:
    from climrisk.pot.kernel.packing import Volumes

    # Without a height the top takes no part, and any height will do.
    pot = PotNumbers(
        *(radius, height or radius, k, capacity, 0.0),
        *(0.0,) * 6,
        contact_m2k_w=0.0,
        bottom_w_m2k=0.0,
    )
    rings = Rings.of(pot, n_r, n_z)
    return Volumes(rings.n_r, rings.n_z, np.zeros((6, 1)), rings.records[..., None])


def _wave(series: np.ndarray, period_h: float) -> Wave:
    last = series[-120:]
    part = np.exp(-2j * np.pi * np.arange(120) / 120)
    complex_amplitude = 2 * (last * part).mean()
    lag = -np.angle(complex_amplitude) * period_h / (2 * np.pi)
    return Wave(float(abs(complex_amplitude)), float(lag % period_h))
