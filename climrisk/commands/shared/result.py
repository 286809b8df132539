"""What every result offers in Python beside its numbers."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.core.errors import InputError
from climrisk.core.typed_text import READER
from climrisk.render.document import Result

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr
    from plotly.graph_objects import Figure

    from climrisk.render.answer import Answer
    from climrisk.render.exports import Exports


def output_of(path: Path) -> dict[str, Path | None]:
    """Return what a path is to hold, by its ending."""
    kind = path.suffix.lstrip(".").lower()
    if kind not in ("html", "png", "csv"):
        raise InputError(
            "an ending that is not known", value=path, allowed=".html .png .csv"
        )
    return {kind: path}


class CommandResult(Result):
    """A result that can be read in a terminal or a notebook.

    Examples
    --------
    >>> from climrisk import Weather, hours_beyond
    >>> hours_beyond(Weather.demo(years=2), below=[5.0])
    <ExposureResult: Lowest -1.4 °C on 21 February 2024, highest 34.0 °C>
    """

    def summary(self) -> str:
        """Return the short answer, as the command prints it."""
        lines = self._answer().lines(READER.get().text)
        return "\n".join(line.text for line in lines)

    def _answer(self) -> Answer:
        from climrisk.render.display_units import shown

        text = self._module("text")
        answer: Answer = getattr(text, f"{self.command}_answer")(shown(self))
        return answer

    def _module(self, name: str) -> Any:
        return import_module(f"climrisk.commands.{self.command}.{name}")

    def __repr__(self) -> str:
        headline = READER.get().text(self._answer().headline)
        return f"<{type(self).__name__}: {headline}>"

    def __str__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        """Return the short answer for a notebook."""
        from html import escape

        return f"<pre>{escape(self.summary())}</pre>"


class ExportedResult(CommandResult):
    """A result with a page, a chart and a table."""

    def _exports(self) -> Exports:
        from climrisk.render.display_units import shown

        exports: Exports = self._module("page").exports(shown(self))
        return exports

    def save(self, path: str | Path) -> str:
        """Write page, chart or table by the ending of a name; return the path.

        Parameters
        ----------
        path : str or Path
            Ends in ``.html``, ``.png`` (extra: image) or ``.csv``.

        Raises
        ------
        InputError
            Another ending, or a place that cannot be written.
        """
        return self._write(**output_of(Path(path)))[0]

    def _write(self, **outputs: Path | None) -> list[str]:
        return self._exports().write(**outputs)

    def to_html(self) -> str:
        """Return the page that opens without network."""
        return self._exports().page()

    def figure(self) -> Figure:
        """Return the chart, a plotly figure."""
        from climrisk.render.charts.chart import to_plotly
        from climrisk.render.charts.units import for_viewer

        return to_plotly(for_viewer(self._exports().figure(), READER.get()))

    def to_frame(self) -> pd.DataFrame:
        """Return the table that ``--csv`` writes; NaN is missing.

        Column names end in their units.
        """
        import pandas as pd

        exports = self._exports()
        return pd.DataFrame(list(exports.rows()), columns=list(exports.header))

    def to_dataset(self) -> xr.Dataset:
        """Return the same table as a dataset along its rows."""
        frame = self.to_frame()
        frame.index.name = "row"
        data: xr.Dataset = frame.to_xarray()
        data.attrs = {"command": self.command, "version": self.version}
        return data
