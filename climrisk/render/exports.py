"""The faces of a result in files: page, picture and table, each where it is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict

from climrisk.render.charts import png
from climrisk.render.document import WeatherInfo
from climrisk.render.text import weather_line
from climrisk.render.write import csv_text, write_file

if TYPE_CHECKING:
    from plotly.graph_objects import Figure


class Asked(TypedDict, total=False):
    """Where files go; None, or absent, is not asked for."""

    html: Path | None
    png: Path | None
    csv: Path | None


@dataclass(frozen=True)
class Faces:
    """What a result looks like; nothing is drawn before it is asked for.

    Parameters
    ----------
    page : callable
        Returns the page that opens without network.
    figure : callable
        Returns the picture.
    title, words : str
        Above the picture, and what its marks mean below it.
    header : sequence of str
    rows : callable
        Returns the rows of the table.
    weather : WeatherInfo
        Named below the picture and in every row.
    """

    page: Callable[[], str]
    figure: Callable[[], Figure]
    title: str
    words: str
    header: Sequence[str]
    rows: Callable[[], Sequence[Sequence[object]]]
    weather: WeatherInfo

    def write(self, asked: Asked) -> list[str]:
        """Write the files that are asked for and return their paths."""
        out = []
        if (path := asked.get("html")) is not None:
            out.append(write_file(path, self.page(), option="--html"))
        if (path := asked.get("png")) is not None:
            lines = [self.words] if self.words else []
            foot = "\n".join([*lines, weather_line(self.weather)])
            picture = png(self.figure(), title=self.title, foot=foot)
            out.append(write_file(path, picture, option="--png"))
        if (path := asked.get("csv")) is not None:
            text = csv_text(self.header, self.rows(), self.weather)
            out.append(write_file(path, text, option="--csv"))
        return out
