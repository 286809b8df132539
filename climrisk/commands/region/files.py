"""The files of ``climrisk region`` beside its maps: page, picture and table."""

from __future__ import annotations

import csv as table
import io
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from climrisk.advice.places import VERDICTS
from climrisk.commands.region.chart import (
    HOURS,
    MONTHS,
    VERDICT,
    MapScale,
    Panels,
    maps_figure,
)
from climrisk.commands.region.chart_svg import maps_svg
from climrisk.commands.region.result import RegionResult
from climrisk.commands.region.text import (
    CELL_HEADER,
    PLANT_HEADER,
    cell_line,
    cell_row,
    plant_rows,
    sentence,
    weather_lines,
    year_lines,
)
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.render import charts as draw
from climrisk.render.display_units import temperature
from climrisk.render.page import Page, Picture, Section, Table, render
from climrisk.render.write import write_file

if TYPE_CHECKING:
    import xarray as xr
    from markupsafe import Markup

_MARKS = " Letters show the chosen cells."


@dataclass(frozen=True)
class MapPicture(Picture):
    """Maps with their still picture, which shows cells as dots."""

    panels: Panels | None = None

    @cached_property
    def still(self) -> Markup:
        """As SVG, for a wide place and for a phone."""
        from markupsafe import Markup

        assert self.panels is not None
        return Markup(maps_svg(self.panels))


def region_files(
    result: RegionResult,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files and return their paths.

    Raises
    ------
    InputError
        A picture where only single cells were computed.
    """
    out = []
    if html is not None or png is not None:
        option = field("png") if html is None else field("html")
        panels = _panels(result, option)
        if html is not None:
            page = render(region_sheet(result, panels))
            out.append(write_file(html, page, option=field("html")))
        if png is not None:
            foot = f"{_how(panels[-1])}\n{weather_lines(result).split(chr(10))[0]}"
            picture = draw.png(maps_figure(panels[-1]), title=_title(result), foot=foot)
            out.append(write_file(png, picture, option=field("png")))
    if csv is not None:
        out.append(write_file(csv, _csv(result), option=field("csv")))
    return out


def _title(result: RegionResult) -> str:
    which = "this plant" if len(result.plants) == 1 else "these plants"
    return f"Where {which} can live {result.spot_at}"


def _how(panels: Panels) -> str:
    """Return how a map is read."""
    scale = panels.scale
    marks = _MARKS if panels.marks else ""
    return f"{scale.reading}; gray: {scale.missing}.{marks}"


def region_sheet(result: RegionResult, panels: list[Panels]) -> Page:
    """Return maps as a page.

    Parameters
    ----------
    result : RegionResult
    panels : list of Panels
    """
    pictures = [
        MapPicture(
            f"map{i}",
            maps_figure(one),
            f"{one.scale.words[0].upper()}{one.scale.words[1:]}. {_how(one)}",
            panels=one,
        )
        for i, one in enumerate(panels)
    ]
    tables = [Table("How the maps vary over the cells", PLANT_HEADER,
                    plant_rows(result))]  # fmt: skip
    tables += [
        Table(
            f"{_LETTERS[i % 26]}. {cell_line(cell)}",
            CELL_HEADER,
            [cell_row(p) for p in cell.plants],
        )
        for i, cell in enumerate(result.at)
    ]
    return Page(
        _title(result),
        f"{result.pot}, {result.medium}; {result.input}",
        [
            Section(
                "; ".join(p.name for p in result.plants),
                " ".join([sentence(result), *(f"{x}." for x in year_lines(result))]),
                figures=pictures,
                tables=tables,
            )
        ],
        result.cautions,
        [*weather_lines(result).split("\n"), f"Made with climrisk {result.version}."],
    )


_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _panels(result: RegionResult, option: str) -> list[Panels]:
    """Return the maps to draw: hours, and months where years are enough."""
    if result.out is None:
        raise InputError(
            "a picture needs maps",
            where=option,
            next_step=f"write them with {field('out', 'FILE.nc')}",
        )
    data = _opened(Path(result.out))
    latitude = data["latitude"].values
    longitude = (data["longitude"].values + 180.0) % 360.0 - 180.0
    y, x = np.argsort(latitude), np.argsort(longitude)
    marks = tuple(
        (_LETTERS[i % 26], c.latitude_deg, c.longitude_deg)
        for i, c in enumerate(result.at)
    )
    titles = tuple(f"{p.name}, {temperature(p.preferred_c)}" for p in result.plants)
    held = [str(n) for n in data["plant"].values]
    which = [held.index(p.name) for p in result.plants]

    def of(values: list[np.ndarray], scale: MapScale) -> Panels:
        turned = tuple(v[np.ix_(y, x)] for v in values)
        return Panels(latitude[y], longitude[x], titles, turned, scale, marks)

    hours = data["hours_below_preferred_per_year"].values[which]
    out = [of(list(hours), HOURS)]
    inside = data["months_indoors"].values[which]
    verdict = data["verdict_at_spot"].values[which].astype(float)
    verdict[verdict == VERDICTS.index("cannot say")] = np.nan
    for values, scale in ((inside, MONTHS), (verdict, VERDICT)):
        if np.isfinite(values).any():
            out.append(of(list(values), scale))
    data.close()
    return out


def _opened(path: Path) -> xr.Dataset:
    import xarray as xr

    if path.is_dir():
        return xr.open_dataset(path, engine="zarr", chunks=None, consolidated=False)
    return xr.open_dataset(path, engine="h5netcdf")


def _csv(result: RegionResult) -> str:
    """Return picked cells as a table, else how the maps spread."""
    text = io.StringIO()
    writer = table.writer(text, lineterminator="\n")
    rows: list[dict[str, Any]]
    if result.at:
        rows = [
            {
                "latitude_deg": cell.latitude_deg,
                "longitude_deg": cell.longitude_deg,
                "known_hours": cell.known_hours,
                "lowest_air_temperature_c": cell.lowest_air_temperature_c,
                "lowest_root_zone_temperature_c": cell.lowest_root_zone_temperature_c,
                **{k: v for k, v in plant.model_dump().items() if k != "months"},
                **{f"month_{m}": state for m, state in plant.months.items()},
            }
            for cell in result.at
            for plant in cell.plants
        ]
    else:
        rows = [
            {k: v for k, v in p.model_dump().items() if k != "unknown_because"}
            for p in result.plants
        ]
    if rows:
        writer.writerow([*rows[0], "weather"])
    line = weather_lines(result).split("\n")[0]
    writer.writerows([*row.values(), line] for row in rows)
    return text.getvalue()
