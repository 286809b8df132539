"""The pot, what is in it, and how large the plant is."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.inputs.option import Inputs, Option

_CROCKING = Option('Layer under the medium, in cm: "3 expanded-clay".', home="crocking")
_DRESSING = Option('Dry layer on the medium, in cm: "2 grit".', home="top_dressing")
_WATERED = Option(
    "Days between waterings.",
    default="the medium stays as wet as it is",
    home="watered_every_days",
)


@dataclass(frozen=True, kw_only=True)
class PotInput(Inputs):
    """Kind, size and medium of a pot."""

    pot_diameter: Annotated[
        float | None,
        Option(
            "Inner diameter of the pot in cm.",
            unit="cm",
            default="12",
            home="pot_diameter_cm",
        ),
    ] = None
    pot: Annotated[
        str | None, Option("Kind of pot.", default="thin-plastic", home="pot")
    ] = None
    medium: Annotated[
        str | None,
        Option(
            'Medium, or a mix such as "50 akadama + 50 grit".',
            default="pine-bark-fine",
            home="medium",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class PotsInput(Inputs):
    """Kinds, sizes and media to compare."""

    pot: Annotated[tuple[str, ...], Option("Kind of pot; may be repeated.")] = ()
    medium: Annotated[tuple[str, ...], Option("Medium or mix; may be repeated.")] = ()
    pot_diameter: Annotated[
        tuple[float, ...],
        Option("Inner diameter in cm; may be repeated.", unit="cm", default="12"),
    ] = ()


@dataclass(frozen=True, kw_only=True)
class WetnessInput(Inputs):
    """How wet the medium is."""

    wetness: Annotated[
        str | None,
        Option("Wetness of the medium: wet damp dry.", default="damp", home="wetness"),
    ] = None


@dataclass(frozen=True, kw_only=True)
class StandInput(Inputs):
    """What the pot stands on."""

    stands_on: Annotated[
        str | None,
        Option(
            "What the pot stands on: floor bench feet.",
            default="floor",
            home="stands_on",
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
            "Color of the wall: black brown green grey terracotta white.",
            default="usual for the kind",
            home="pot_color",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class SizeInput(Inputs):
    """Size of the plant, for the wind."""

    plant_height: Annotated[
        float | None,
        Option(
            "Height of the plant above the rim in cm, for the wind.",
            unit="cm",
            default="usual for the pot",
            home="plant_height_cm",
        ),
    ] = None
    leaf_area: Annotated[
        float | None,
        Option(
            "Area of all leaves in cm2, one side, for the wind.",
            unit="cm2",
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
        ),
    ] = None
