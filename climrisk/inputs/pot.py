"""The pot, what is in it, and how large the plant is."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.core.defaults import (
    DEFAULT_DIAMETER_CM,
    DEFAULT_MEDIUM,
    DEFAULT_POT,
    LEAF_AREA_CM2,
    PLANT_HEIGHT_CM,
    POT_DIAMETER_CM,
    WATERED_EVERY_D,
)
from climrisk.core.quantities import AREA, LENGTH, unit
from climrisk.inputs.option import Inputs, Option

WETNESSES = ("wet", "damp", "dry")
STANDS = ("floor", "bench", "feet")
COLORS = ("black", "brown", "green", "grey", "terracotta", "white")
SETUPS = ("screening", "full")

_CROCKING = Option('Layer under the medium, in cm: "3 expanded-clay".', home="crocking")
_DRESSING = Option('Dry layer on the medium, in cm: "2 grit".', home="top_dressing")
_WATERED = Option(
    "Days between waterings.",
    default="the medium stays as wet as it is",
    home="watered_every_days",
    bounds=WATERED_EVERY_D,
)


@dataclass(frozen=True, kw_only=True)
class PotInput(Inputs):
    """Kind, size and medium of a pot."""

    pot_diameter: Annotated[
        float | None,
        Option(
            f"Inner diameter of the pot in {unit(LENGTH)}.",
            label="Inner diameter",
            unit="cm",
            default=f"{DEFAULT_DIAMETER_CM:g}",
            home="pot_diameter_cm",
            bounds=POT_DIAMETER_CM,
            step=0.5,
        ),
    ] = None
    pot: Annotated[
        str | None,
        Option("Kind of pot.", default=DEFAULT_POT, home="pot", listed="pots"),
    ] = None
    medium: Annotated[
        str | None,
        Option(
            'Medium, or a mix such as "50 akadama + 50 grit".',
            label="Medium, or a mix",
            default=DEFAULT_MEDIUM,
            home="medium",
            listed="media",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class PotsInput(Inputs):
    """Kinds, sizes and media to compare."""

    pot: Annotated[
        tuple[str, ...],
        Option("Kind of pot; may be repeated.", label="Pots", listed="pots"),
    ] = ()
    medium: Annotated[
        tuple[str, ...],
        Option("Medium or mix; may be repeated.", label="Media", listed="media"),
    ] = ()
    pot_diameter: Annotated[
        tuple[float, ...],
        Option(
            f"Inner diameter in {unit(LENGTH)}; may be repeated.",
            label="Inner diameter",
            unit="cm",
            default=f"{DEFAULT_DIAMETER_CM:g}",
            bounds=POT_DIAMETER_CM,
            step=0.5,
        ),
    ] = ()


@dataclass(frozen=True, kw_only=True)
class WetnessInput(Inputs):
    """How wet the medium is."""

    wetness: Annotated[
        str | None,
        Option(
            f"Wetness of the medium: {' '.join(WETNESSES)}.",
            label="Kept",
            default="damp",
            home="wetness",
            choices=WETNESSES,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class StandInput(Inputs):
    """What the pot stands on."""

    stands_on: Annotated[
        str | None,
        Option(
            f"What the pot stands on: {' '.join(STANDS)}.",
            default="floor",
            home="stands_on",
            choices=STANDS,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class LayersInput(Inputs):
    """Layers under and on the medium."""

    crocking: Annotated[str | None, _CROCKING] = None
    top_dressing: Annotated[str | None, _DRESSING] = None


@dataclass(frozen=True, kw_only=True)
class WateringInput(Inputs):
    """How often the pot is watered."""

    watered_every: Annotated[float | None, _WATERED] = None


@dataclass(frozen=True, kw_only=True)
class ColorInput(Inputs):
    """Color of the wall."""

    pot_color: Annotated[
        str | None,
        Option(
            f"Color of the wall: {' '.join(COLORS)}.",
            default="usual for the kind",
            home="pot_color",
            choices=COLORS,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class SizeInput(Inputs):
    """Size of the plant, for the wind."""

    plant_height: Annotated[
        float | None,
        Option(
            f"Height of the plant above the rim in {unit(LENGTH)}, for the wind.",
            unit="cm",
            bounds=PLANT_HEIGHT_CM,
            default="usual for the pot",
            home="plant_height_cm",
        ),
    ] = None
    leaf_area: Annotated[
        float | None,
        Option(
            f"Area of all leaves in {unit(AREA)}, one side, for the wind.",
            unit="cm2",
            bounds=LEAF_AREA_CM2,
            default="usual for the pot",
            home="leaf_area_cm2",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class SetupInput(Inputs):
    """How finely the pot is computed."""

    setup: Annotated[
        str | None,
        Option(
            "How finely the pot is computed: screening (8 shells, quick) or full "
            "(rings and layers, with the wall).",
            default="screening",
            choices=SETUPS,
        ),
    ] = None


#: What is said of a pot itself.
POT_INPUTS: tuple[type[Inputs], ...] = (
    *(PotInput, WetnessInput, StandInput, LayersInput, WateringInput, ColorInput),
)
