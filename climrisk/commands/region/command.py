"""``climrisk region``: its inputs, and what it runs."""

from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.references import field
from climrisk.inputs.files import PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import StateInput
from climrisk.inputs.pot import (
    ColorInput,
    LayersInput,
    PotInput,
    SetupInput,
    StandInput,
    WetnessInput,
)
from climrisk.inputs.risk import RiskInput, SpringRiskInput
from climrisk.inputs.spot import SpotInput

Progress = Callable[[int, int], None]
Say = Callable[[str], None]
#: Told of finished blocks, and of what the user should know meanwhile.
REPORT: ContextVar[tuple[Progress | None, Say | None]] = ContextVar(
    "report", default=(None, None)
)


@dataclass(frozen=True, kw_only=True)
class RegionInput(
    SpotInput,
    PotInput,
    WetnessInput,
    LayersInput,
    StandInput,
    ColorInput,
    StateInput,
    RiskInput,
    SpringRiskInput,
    SetupInput,
    PageOutputs,
):
    """Inputs of ``climrisk region``."""

    source: Annotated[
        tuple[Path, ...],
        Option(
            "Hourly weather on a grid, NetCDF or Zarr; several files are joined. Maps "
            "that an earlier run wrote are read again.",
            argument=True,
            metavar="INPUT...",
        ),
    ]
    plant: Annotated[
        tuple[str, ...], Option("Name, synonym or trade name; may be repeated.")
    ] = ()
    out: Annotated[
        Path | None, Option("Where the maps go: NAME.nc or NAME.zarr.", writes=True)
    ] = None
    at: Annotated[
        tuple[str, ...],
        Option(
            "LAT,LON: pick out the cell there; may be repeated. Without "
            f"{field('out')} only "
            "these cells are computed."
        ),
    ] = ()
    variable: Annotated[
        tuple[str, ...],
        Option(
            "OURS=NAME where a variable has an unusual name, such as air_temp_c=TMP; "
            "may be repeated."
        ),
    ] = ()
    workers: Annotated[
        int | None,
        Option("Worker processes on this machine.", default="one a processor of many"),
    ] = None
    scheduler: Annotated[
        str | None, Option("HOST:PORT of a running dask scheduler, to join it.")
    ] = None
    threads: Annotated[
        int | None,
        Option("Threads of this process.", default="one a processor, up to 4"),
    ] = None
    rechunk: Annotated[
        bool,
        Option(
            "First write a copy of the input cut by cells beside the output; it is "
            "removed afterwards."
        ),
    ] = False


def run(given: RegionInput) -> Shown:
    """Where on a map does this plant suit?"""
    from climrisk.commands.region.compute import region
    from climrisk.commands.region.files import region_files
    from climrisk.commands.region.text import region_answer, region_text
    from climrisk.render.display_units import shown

    result = region(given)
    files = region_files(shown(result), html=given.html, png=given.png, csv=given.csv)
    result = result.model_copy(update={"files": [*result.files, *files]})
    return Shown(result, region_answer, region_text)


COMMAND = Command("region", RegionInput, run)
