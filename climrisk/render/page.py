"""Self-contained HTML: opens from a file, asks for nothing, prints on one sheet."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from climrisk.core.typed_text import READER
from climrisk.render import charts as draw
from climrisk.render.charts.chart import Chart, plotly_json
from climrisk.render.display_units import sheet_for
from climrisk.render.document import Caution, WeatherInfo
from climrisk.render.summary import Summary

if TYPE_CHECKING:
    from markupsafe import Markup

#: More rows than this would be a page of cards too long to read on a phone.
_LONG_ROWS = 40


@dataclass(frozen=True)
class Table:
    """A table of text and numbers; None prints as unknown."""

    caption: str
    header: Sequence[str]
    rows: Sequence[Sequence[object]]
    kind: str = ""
    folded: bool = False

    @property
    def long(self) -> bool:
        """Whether a phone scrolls across its rows, instead of a card for each."""
        return not self.kind and len(self.rows) > _LONG_ROWS

    @cached_property
    def numeric(self) -> list[bool]:
        """Which columns hold numbers only."""
        return [
            bool(self.rows)
            and all(isinstance(r[i], int | float) or r[i] == "?" for r in self.rows)
            for i in range(len(self.header))
        ]


@dataclass(frozen=True)
class Picture:
    """A figure with its id and caption; an extra one is left out in print.

    `source` is the figure, or what draws it when it is looked at first: the page shows
    a chart of its own in place of some, until a reader zooms.
    """

    id: str
    source: Chart | Callable[[], Chart]
    caption: str
    extra: bool = False

    @cached_property
    def figure(self) -> Chart:
        """The figure, drawn once."""
        return self.source() if callable(self.source) else self.source

    @cached_property
    def still(self) -> Markup:
        """As SVG, for a wide place and for a phone; the style sheet shows one."""
        from markupsafe import Markup

        wide = draw.svg(self.figure, self.id)
        return Markup(wide + draw.svg(self.figure, self.id, narrow=True))

    @property
    def height(self) -> int:
        """In pixels."""
        return int(self.figure.layout.get("height") or 400)


@dataclass(frozen=True)
class Section:
    """Sentence first, then picture, then table.

    Parameters
    ----------
    heading, lead, reasons, figures, tables
        In the order in which they are read.
    word : str
        A verdict, with its shape.
    may_be : str
        The verdict that the uncertainty leaves open, shown beside it.
    beside : sequence of str
        What else limits the verdict, such as a typical year.
    """

    heading: str
    lead: str = ""
    word: str = ""
    reasons: Sequence[str] = ()
    figures: Sequence[Picture] = ()
    tables: Sequence[Table] = ()
    may_be: str = ""
    beside: Sequence[str] = ()


@dataclass(frozen=True)
class Page:
    """A report."""

    title: str
    subtitle: str
    sections: Sequence[Section]
    cautions: Sequence[Caution] = ()
    footer: Sequence[str] = field(default=())
    summary: Summary | None = None


def page_of(
    result: Any, title: str, subtitle: str, sections: Sequence[Section]
) -> Page:
    """Return the page of a result, with its cautions and the credit of its weather."""
    return Page(
        title,
        subtitle,
        sections,
        getattr(result, "cautions", ()),
        weather_footer(result.weather, result.version),
    )


def render(page: Page) -> str:
    """Return a page as HTML for its reader, with everything it needs inside.

    Text is escaped by the template engine; the scripts are named by their hashes, so
    that no other script can run.
    """
    page = sheet_for(READER.get(), page)
    pictures = [p for section in page.sections for p in section.figures]
    library = starter = data = ""
    hashes = "'none'"
    if pictures:
        library = _static("plotly-cartesian.min.js").replace("</script", "<\\/script")
        starter = _static("starter.js")
        hashes = f"{_hash(library)} {_hash(starter)}"
        data = _figures(pictures)
    return str(
        _template().render(
            page=page,
            style=_static("pieces.css"),
            figures=data,
            library=library,
            starter=starter,
            hashes=hashes,
        )
    )


def _figures(pictures: Sequence[Picture]) -> str:
    held: dict[str, Any] = {
        "config": draw.CONFIG,
        "figures": {p.id: plotly_json(p.figure) for p in pictures},
    }
    text = json.dumps(held, separators=(",", ":"))
    # Inside a script element only "<" could end it early.
    return text.replace("<", "\\u003c")


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode()}'"


@lru_cache(maxsize=4)
def _static(name: str) -> str:
    return (
        resources.files("climrisk.render").joinpath(f"static/{name}").read_text("utf-8")
    )


@lru_cache(maxsize=1)
def _template() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    engine = Environment(
        loader=PackageLoader("climrisk.render"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        auto_reload=False,
    )
    return engine.get_template("report.html")


def weather_footer(weather: WeatherInfo, version: str) -> list[str]:
    """Return the lines that say what the weather is worth and whom to credit."""
    from climrisk.render.text import weather_text

    return [*weather_text(weather).split("\n"), f"Made with climrisk {version}."]
