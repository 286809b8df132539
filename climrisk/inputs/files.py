"""The home file that is read, and the files that are written."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from climrisk.inputs.option import Inputs, Option


@dataclass(frozen=True, kw_only=True)
class HomeInput(Inputs):
    """A home file."""

    home: Annotated[
        Path | None, Option("A home file; replaces all weather options.", page=False)
    ] = None


@dataclass(frozen=True, kw_only=True)
class HtmlOutput(Inputs):
    """A page in a file."""

    html: Annotated[
        Path | None, Option("Write a page that opens without network.", writes=True)
    ] = None


@dataclass(frozen=True, kw_only=True)
class PngOutput(Inputs):
    """A picture in a file."""

    png: Annotated[
        Path | None, Option("Write the picture (extra: image).", writes=True)
    ] = None


@dataclass(frozen=True, kw_only=True)
class CsvOutput(Inputs):
    """A table in a file."""

    csv: Annotated[Path | None, Option("Write the table.", writes=True)] = None


@dataclass(frozen=True, kw_only=True)
class NightsOutput(Inputs):
    """Every night in a file."""

    nights: Annotated[
        Path | None,
        Option("Write every night of every ensemble member as CSV.", writes=True),
    ] = None


@dataclass(frozen=True, kw_only=True)
class PageOutputs(HtmlOutput, PngOutput, CsvOutput):
    """Page, picture and table in files."""

    @property
    def outputs(self) -> dict[str, Path | None]:
        """Where each is to be written."""
        return {"html": self.html, "png": self.png, "csv": self.csv}
