"""The templates: the page's own, and the pieces that it shares with reports."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

if TYPE_CHECKING:
    from jinja2 import Environment


@lru_cache(maxsize=1)
def engine() -> Environment:
    """Return the template engine; everything that a template shows is escaped."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

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
    made.filters["words"] = lambda name: (name, name.replace("-", " "))
    made.filters["year_list"] = year_list
    made.filters["param"] = lambda query, name: dict(parse_qsl(query)).get(name, "")
    made.filters["same"] = lambda name: (name, name)
    made.filters["short_caption"] = lambda caption: caption.partition(" (")[0]
    return made
