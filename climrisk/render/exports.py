"""What a result can be exported as: page, chart and table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.typed_text import READER
from climrisk.render.charts import png as as_png
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.units import for_viewer
from climrisk.render.document import WeatherInfo
from climrisk.render.page import Page, render
from climrisk.render.text import weather_line
from climrisk.render.write import csv_text, write_file


@dataclass(frozen=True)
class Exports:
    """Page, chart and table of a result; nothing is made before it is asked for.

    Parameters
    ----------
    sheet : callable
        Returns the page.
    figure : callable
        Returns the picture.
    title, words : str
        Above the picture, and what its marks mean below it.
    header : sequence of str
    rows : callable
        Returns the rows of the table.
    weather : WeatherInfo, optional
        Named below the picture and in every row; without it there is only a page.
    """

    sheet: Callable[[], Page]
    figure: Callable[[], Chart]
    title: str
    words: str
    header: Sequence[str]
    rows: Callable[[], Sequence[Sequence[object]]]
    weather: WeatherInfo | None

    def page(self) -> str:
        """Return the page that opens without network."""
        return render(self.sheet())

    def write(
        self,
        *,
        html: Path | None = None,
        png: Path | None = None,
        csv: Path | None = None,
    ) -> list[str]:
        """Write the files that are asked for and return their paths.

        Raises
        ------
        InputError
            A picture or a table of what has no hours.
        """
        weather = self.weather
        if weather is None:
            for option, path in ((field("png"), png), (field("csv"), csv)):
                if path is not None:
                    raise InputError(
                        "words hold no hours to draw or list",
                        where=option,
                        allowed=f"a record; {field('html')} shows what was told",
                    )
        out = []
        if html is not None:
            out.append(write_file(html, self.page(), option=field("html")))
        if png is not None and weather is not None:
            lines = [self.words] if self.words else []
            foot = "\n".join([*lines, weather_line(weather)])
            reader = READER.get()
            picture = as_png(
                for_viewer(self.figure(), reader),
                title=reader.text(self.title),
                foot=reader.text(foot),
            )
            out.append(write_file(png, picture, option=field("png")))
        if csv is not None and weather is not None:
            text = csv_text(self.header, self.rows(), weather)
            out.append(write_file(csv, text, option=field("csv")))
        return out
