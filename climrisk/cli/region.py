"""``climrisk region``."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from climrisk.cli.options import (
    Crocking,
    CsvFile,
    HtmlFile,
    JsonFlag,
    PngFile,
    PotColor,
    Risk,
    Setup,
    SiteWords,
    Spot,
    SpringRisk,
    StandsOn,
    State,
    TopDressing,
)


def region(
    source: Annotated[
        list[Path],
        typer.Argument(
            metavar="INPUT...",
            help="Hourly weather on a grid, NetCDF or Zarr; several files are joined. "
            "Maps that an earlier run wrote are read again.",
        ),
    ],
    plant: Annotated[
        list[str] | None,
        typer.Option(help="Name, synonym or trade name; may be repeated."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Where the maps go: NAME.nc or NAME.zarr.")
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(
            help="LAT,LON: pick out the cell there; may be repeated. Without --out "
            "only these cells are computed."
        ),
    ] = None,
    spot: Spot = None,
    site: SiteWords = None,
    pot_diameter: Annotated[
        float | None,
        typer.Option(help="Inner diameter of the pot in cm. [default: 12]"),
    ] = None,
    pot: Annotated[
        str | None, typer.Option(help="Kind of pot. [default: thin-plastic]")
    ] = None,
    medium: Annotated[
        str | None, typer.Option(help="Medium or mix. [default: pine-bark-fine]")
    ] = None,
    wetness: Annotated[
        str | None, typer.Option(help="Wetness of the medium: wet damp dry.")
    ] = None,
    crocking: Crocking = None,
    top_dressing: TopDressing = None,
    stands_on: StandsOn = None,
    pot_color: PotColor = None,
    state: State = None,
    risk: Risk = None,
    spring_risk: SpringRisk = None,
    setup: Setup = None,
    variable: Annotated[
        list[str] | None,
        typer.Option(
            help="OURS=NAME where a variable has an unusual name, such as "
            "air_temp_c=TMP; may be repeated."
        ),
    ] = None,
    workers: Annotated[
        int | None,
        typer.Option(help="Processes of a cluster made on this machine."),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(help="HOST:PORT of a running dask scheduler, to join it."),
    ] = None,
    threads: Annotated[
        int | None,
        typer.Option(help="Threads of this process. [default: one a processor]"),
    ] = None,
    rechunk: Annotated[
        bool,
        typer.Option(
            "--rechunk",
            help="First write a copy of the input cut by cells beside the output; it "
            "is removed afterwards.",
        ),
    ] = False,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """Maps: what would this spot do to this plant in every cell of a grid?"""
    from climrisk.cli.show import show
    from climrisk.commands.region.compute import region as compute
    from climrisk.commands.region.files import region_files
    from climrisk.commands.region.text import region_answer, region_text
    from climrisk.commands.shared.parse import PotWords

    with _progress() as (progress, say):
        result = compute(
            source,
            plant or (),
            spot=spot,
            site=site or (),
            pot=PotWords(
                *(pot, pot_diameter, medium, wetness, crocking, top_dressing),
                *(stands_on, None, pot_color),
            ),
            state=state,
            risk=risk,
            spring_risk=spring_risk,
            setup=setup,
            variables=variable or (),
            out=out,
            at=at or (),
            workers=workers,
            scheduler=scheduler,
            threads=threads,
            rechunk=rechunk,
            progress=progress,
            say=say,
        )
    files = region_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": [*result.files, *files]})
    show(result, json, lambda: region_answer(result), lambda: region_text(result))


@contextmanager
def _progress() -> Iterator[tuple[Callable[[int, int], None], Callable[[str], None]]]:
    """Show blocks as a bar on a terminal, else as a line each tenth."""
    if not sys.stderr.isatty():
        yield _lines(), lambda text: typer.echo(text, err=True)
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("blocks"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("blocks", total=None)

        def moved(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        yield moved, lambda text: bar.console.print(text, markup=False)


def _lines() -> Callable[[int, int], None]:
    told = -1

    def moved(done: int, total: int) -> None:
        nonlocal told
        tenth = 10 * done // max(total, 1)
        if tenth > told:
            told = tenth
            typer.echo(f"{done} of {total} blocks", err=True)

    return moved
