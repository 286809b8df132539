"""Where the plant is."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.core.defaults import DEFAULT_SPOT, HEIGHT_M
from climrisk.core.quantities import HEIGHT, unit
from climrisk.inputs.option import Inputs, Option

_SITE = Option(
    "KEY=VALUE about the spot, such as facing=SE or floor=3; may be repeated. Keys: "
    "facing floor eaves eaves_above horizon walls house hollow shade vents screen "
    "wet_floor insulation glass from_glass curtain set_point set_back heating "
    "heating_months."
)


@dataclass(frozen=True, kw_only=True)
class SpotInput(Inputs):
    """A spot and its particulars."""

    spot: Annotated[
        str | None,
        Option(
            "Kind of spot, or a spot of the home; of a record of the spot itself it "
            "gives sky, wind and sun, not the air.",
            default=DEFAULT_SPOT,
            listed="spots",
        ),
    ] = None
    site: Annotated[tuple[str, ...], _SITE] = ()


@dataclass(frozen=True, kw_only=True)
class SpotsInput(Inputs):
    """Several spots, and particulars that they share."""

    spot: Annotated[
        tuple[str, ...],
        Option(
            "Kind, or spot of the home; may be repeated.",
            default="all of the home, else all kinds",
            listed="spots",
        ),
    ] = ()
    site: Annotated[tuple[str, ...], _SITE] = ()


@dataclass(frozen=True, kw_only=True)
class ElevationInput(Inputs):
    """How high the home is."""

    elevation: Annotated[
        float | None,
        Option(
            f"Height of the home in {unit(HEIGHT)}, where it is not the station's.",
            label="Height of the home",
            unit="m",
            bounds=HEIGHT_M,
        ),
    ] = None
