"""Does wind throw the pot: the gust that tips or pushes it, and how often it blows."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from statistics import NormalDist
from typing import Any

import numpy as np

from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.defaults import LEAF_AREA_CM2, PLANT_HEIGHT_CM
from climrisk.core.references import field
from climrisk.physics.drag import (
    cylinder_drag,
    overturning_speed_m_s,
    sliding_speed_m_s,
)
from climrisk.pot.mass import pot_mass_kg
from climrisk.pot.media import Wetness
from climrisk.pot.model import FilledPot

#: Draws of what is uncertain about pot and plant.
DRAWS = 99
#: Equally likely thresholds that stand for the draws where hours are counted.
COUNTED = 5
_FRICTION_OF = {
    "glazed-ceramic": "fired",
    "terracotta": "fired",
    "glass": "fired",
    "fabric": "fabric",
    "slat-basket": "wood",
    "metal": "metal",
}
_HUNG_POTS, _HUNG_MEDIA = ("slat-basket",), ("mounted",)
#: Sizes that a keeper may tell.


@dataclass(frozen=True)
class Standing:
    """A pot with its plant, as the wind meets it.

    Parameters
    ----------
    pot : FilledPot
    height_cm : float, optional
        Of the plant above the rim; as usual for the pot where not given.
    leaf_area_cm2 : float, optional
        One-sided, of all leaves; as usual for the pot where not given.
    fits_cm : float, optional
        Diameter of the pot that a plant of usual size fits; this pot's where not given.
    """

    pot: FilledPot
    height_cm: float | None = None
    leaf_area_cm2: float | None = None
    fits_cm: float | None = None

    @property
    def hangs(self) -> bool:
        """Whether such a pot usually hangs: then it swings, and does not fall over."""
        return self.pot.kind in _HUNG_POTS or self.pot.medium_name in _HUNG_MEDIA

    @property
    def usual_cm(self) -> float:
        """Diameter of the pot that the plant fits. [cm]"""
        return self.pot.diameter_cm if self.fits_cm is None else self.fits_cm

    def repotted(self, pot: FilledPot) -> Standing:
        """Return the same plant in another pot."""
        return replace(self, pot=pot, fits_cm=self.usual_cm)

    @property
    def plant_height_cm(self) -> float:
        """Height of the plant above the rim, as told or usual. [cm]"""
        if self.height_cm is not None:
            return self.height_cm
        usual = figures()["usual_plant"]["height_over_diameter"]
        return float(usual * self.usual_cm)

    @property
    def plant_area_cm2(self) -> float:
        """One-sided leaf area, as told or usual. [cm²]"""
        if self.leaf_area_cm2 is not None:
            return self.leaf_area_cm2
        usual = figures()["usual_plant"]["leaf_area_over_diameter2"]
        return float(usual * self.usual_cm**2)

    def mass_kg(self, wetness: Wetness | None = None) -> float:
        """Return the weight of pot and plant. [kg]"""
        plant = figures()["usual_plant"]["mass_kg_m2"] * self.plant_area_cm2 / 1e4
        return float(pot_mass_kg(self.pot, wetness) + plant)


@dataclass(frozen=True)
class Falls:
    """Gusts that throw a pot, shape (draw,), or (1,) for the middle. [m/s]

    Parameters
    ----------
    tips_m_s, slides_m_s : ndarray
        That tip it over the edge of its base, and that push it along the floor.
    """

    tips_m_s: Float
    slides_m_s: Float

    @property
    def at_m_s(self) -> Float:
        """The weaker of both."""
        return np.minimum(self.tips_m_s, self.slides_m_s)

    @property
    def counted_m_s(self) -> Float:
        """Equally likely gusts that stand for the draws, shape (`COUNTED`,)."""
        shares = 100 * (np.arange(COUNTED) + 0.5) / COUNTED
        return np.asarray(np.percentile(self.at_m_s, shares))


def checked_plant(
    height_cm: float | None, leaf_area_cm2: float | None
) -> tuple[float | None, float | None]:
    """Return a told size of a plant.

    Raises
    ------
    InputError
        A size out of range.
    """
    if height_cm is not None:
        validation.number_in(
            height_cm,
            *PLANT_HEIGHT_CM,
            what="height of the plant",
            where=field("plant_height"),
            unit="cm",
        )
    if leaf_area_cm2 is not None:
        validation.number_in(
            leaf_area_cm2,
            *LEAF_AREA_CM2,
            what="leaf area",
            where=field("leaf_area"),
            unit="cm²",
        )
    return height_cm, leaf_area_cm2


def falls(
    standing: Standing, wetness: Wetness | None = None, *, spread: bool = True
) -> Falls:
    """Return the gusts at the plant that throw a pot.

    Parameters
    ----------
    standing : Standing
    wetness : {"wet", "damp", "dry"}, optional
        As the pot is kept where not given.
    spread : bool
        Draw what is uncertain; else the middle of all.

    Notes
    -----
    Drag on the plant's frontal area at half its height and on the pot as an upright
    cylinder, against weight and friction; figures in ``data/toppling.toml``.
    """
    data, pot = figures(), standing.pot
    score = _scores() if spread else dict.fromkeys(_UNCERTAIN, np.zeros(1))
    usual = data["usual_plant"]
    specified = (standing.height_cm is not None, standing.leaf_area_cm2 is not None)
    height = (
        standing.plant_height_cm
        / 100
        * _factor(0.0 if specified[0] else usual["height_log_sd"], score["height"])
    )
    leaves = (
        standing.plant_area_cm2
        / 1e4
        * _factor(0.0 if specified[1] else usual["leaf_area_log_sd"], score["leaves"])
    )
    shown = data["shown_frac"]["mean"] * leaves
    plant = data["plant_drag"]["mean"] * shown
    plant = plant * _factor(data["plant_drag"]["log_sd"], score["plant_drag"])
    base = data["base_frac"]["mean"] + data["base_frac"]["sd"] * score["base"]
    base_m, high = base * pot.diameter_cm / 100, pot.fill_m
    width = (pot.diameter_cm / 100 + base_m) / 2
    body = cylinder_drag(high / width) * width * high
    body = body * _factor(data["pot_drag"]["log_sd"], score["pot_drag"])
    mass = standing.mass_kg(wetness) * _factor(data["mass"]["log_sd"], score["mass"])
    friction = data["friction"][_FRICTION_OF.get(pot.kind, "plastic")]
    friction = friction * _factor(data["friction"]["log_sd"], score["friction"])
    moment = plant * (high + height / 2) + body * high / 2
    return Falls(
        overturning_speed_m_s(mass, base_m, moment),
        sliding_speed_m_s(mass, friction, plant + body),
    )


_UNCERTAIN = ("plant_drag", "pot_drag", "friction", "base", "mass", "height", "leaves")


@lru_cache(maxsize=1)
def _scores() -> dict[str, Float]:
    """Return stratified standard normal scores of every uncertain quantity."""
    normal, rng = NormalDist(), np.random.default_rng(7)
    steps = np.array([normal.inv_cdf((i + 0.5) / DRAWS) for i in range(DRAWS)])
    return {name: rng.permutation(steps) for name in _UNCERTAIN}


def _factor(log_sd: float, score: Float) -> Float:
    return np.asarray(np.exp(log_sd * score))


@lru_cache(maxsize=1)
def figures() -> dict[str, Any]:
    """Return the figures of ``data/toppling.toml``."""
    file = resources.files("climrisk.exposure").joinpath("data/toppling.toml")
    return tomllib.loads(file.read_text("utf-8"))
