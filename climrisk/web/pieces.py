"""The templates: the page's own, and the pieces that it shares with reports."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from climrisk.core.quantities import DISTANCE, HEIGHT, MASS, Kind, quantity

if TYPE_CHECKING:
    from jinja2 import Environment


def _measured(kind: Kind, value: float) -> str:
    """Return a number with its unit, to be written as its reader's."""
    return quantity(kind, value, 0)


@lru_cache(maxsize=1)
def engine() -> Environment:
    """Return the template engine; everything that a template shows is escaped."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    from climrisk.render.charts.drawings import drawn_kinds
    from climrisk.web.plants_view import year_list

    made = Environment(
        loader=ChoiceLoader(
            [PackageLoader("climrisk.web"), PackageLoader("climrisk.render")]
        ),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["drawings"] = drawn_kinds
    made.filters["words"] = lambda name: (name, name.replace("-", " "))
    made.filters["year_list"] = year_list
    made.filters["param"] = lambda query, name: dict(parse_qsl(query)).get(name, "")
    made.filters["same"] = lambda name: (name, name)
    for name, kind in (("km", DISTANCE), ("meters", HEIGHT), ("kg", MASS)):
        made.filters[name] = partial(_measured, kind)
    made.filters["short_caption"] = lambda caption: caption.partition(" (")[0]
    return made
