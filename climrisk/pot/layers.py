"""Layers of a pot beside its medium: reservoir, crocking, top dressing."""

from __future__ import annotations

import re
from dataclasses import dataclass

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.pot.media import WATER_J_M3K, Medium, medium

#: Its reservoir stands 2 to 4 cm deep, a quarter of a small pot; water fills the voids
#: (0.45) and the grains (0.10) of the medium, conductivity 0.6 to 0.8 (all estimates).
RESERVOIR_M, RESERVOIR_SHARE, RESERVOIR_WATER = 0.03, 0.25, 0.55
RESERVOIR_VOIDS = 0.45
RESERVOIR_CONDUCTIVITY_W_MK = 0.7


@dataclass(frozen=True)
class Layer:
    """Something else than the medium at the bottom or top of a pot.

    Parameters
    ----------
    name : str
    thickness_m : float
    conductivity_w_mk, heat_capacity_j_m3k : float
        Of the layer with its water.
    water_m3_m3 : float
        Share of its volume.
    """

    name: str
    thickness_m: float
    conductivity_w_mk: float
    heat_capacity_j_m3k: float
    water_m3_m3: float


def layer_of(text: str, where: str) -> tuple[float, Medium]:
    """Return thickness and medium of a layer such as ``"2 grit"``, in cm.

    Raises
    ------
    InputError
        Not a thickness of 0.5 to 10 cm and a medium.
    """
    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(?:cm)?\s+(\S.*)", text.strip())
    if match is None:
        raise InputError(
            "layer not understood",
            where=where,
            value=text,
            allowed='centimeters and a medium, such as "2 grit"',
        )
    thick = validation.number_in(
        float(match[1]), 0.5, 10.0, what="layer", where=where, unit="cm"
    )
    return thick, medium(match[2])


def reservoir(medium: Medium, fill_m: float) -> Layer:
    """Return the water that stands in the medium of a self-watering pot."""
    solid = medium.bulk_density_kg_m3 * medium.specific_heat_j_kgk
    return Layer(
        "reservoir",
        min(RESERVOIR_M, RESERVOIR_SHARE * fill_m),
        RESERVOIR_CONDUCTIVITY_W_MK,
        solid + RESERVOIR_WATER * WATER_J_M3K,
        RESERVOIR_WATER,
    )


def dry_layer(name: str, thick_cm: float, medium: Medium) -> Layer:
    """Return a drained, dry layer."""
    return Layer(
        name,
        thick_cm / 100,
        medium.conductivity_w_mk("dry"),
        medium.heat_capacity_j_m3k("dry"),
        medium.water("dry"),
    )


#: Resistance of the air over a top at a film of 8 W/m2K, rho c_p Le^(2/3) / h [s/m],
#: and diffusivity of vapor in air at 5 °C [m2/s].
_AIR_RESISTANCE_S_M, _VAPOR_M2_S = 141.0, 2.2e-5


def through_dry_layer(thick_m: float, medium: Medium) -> float:
    """Return the evaporating share of a wet medium under a dry layer.

    ``r_a / (r_a + d / (D phi^1.5))`` with the layer's air porosity phi: vapor diffuses
    through its pores (Marshall 1959, J. Soil Sci. 10:79, exponent from memory). Wind
    that pumps air through coarse chunks is left out, so that coarse layers let through
    more than this.
    """
    porosity = medium.total_porosity - medium.water("dry")
    through = thick_m / (_VAPOR_M2_S * porosity**1.5)
    return float(_AIR_RESISTANCE_S_M / (_AIR_RESISTANCE_S_M + through))
