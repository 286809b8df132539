"""The templates: the page's own, and the pieces that it shares with reports."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from climrisk.core.days import day
from climrisk.core.quantities import DISTANCE, HEIGHT, MASS, Kind, quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from jinja2 import Environment

    from climrisk.commands.tonight.result import PlantTonight


def _measured(kind: Kind, value: float) -> str:
    """Return a number with its unit, to be written as its reader's."""
    return quantity(kind, value, 0)


def carried_ways(
    plants: Sequence[PlantTonight],
) -> list[tuple[str, list[PlantTonight]]]:
    """Return plants by where they stand and where they go, in their order."""
    ways: dict[str, list[PlantTonight]] = {}
    for plant in plants:
        way = f"{plant.spot} to {plant.to}" if plant.to else plant.spot
        ways.setdefault(way[:1].upper() + way[1:], []).append(plant)
    return list(ways.items())


def load_templates() -> None:
    """Load what the first page would wait for: templates and lists."""
    from climrisk.render.charts.drawings import drawn_kinds
    from climrisk.web.choices import fixed_choices

    made = engine()
    for name in made.list_templates(extensions=["html"]):
        made.get_template(name)
    fixed_choices()
    for table in ("spot", "pot", "medium", "eaves"):
        drawn_kinds(table)


@lru_cache(maxsize=1)
def engine() -> Environment:
    """Return the template engine; everything that a template shows is escaped."""
    from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

    from climrisk.commands.shared.facts import on_spot
    from climrisk.plants.registry import short_name
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
    made.globals["on_spot"] = on_spot
    made.filters["words"] = lambda name: (name, name.replace("-", " "))
    made.filters["year_list"] = year_list
    made.filters["ways"] = carried_ways
    made.filters["short"] = short_name
    made.filters["day"] = day
    made.filters["param"] = lambda query, name: dict(parse_qsl(query)).get(name, "")
    made.filters["same"] = lambda name: (name, name)
    for name, kind in (("km", DISTANCE), ("meters", HEIGHT), ("kg", MASS)):
        made.filters[name] = partial(_measured, kind)
    made.filters["short_caption"] = lambda caption: caption.partition(" (")[0]
    return made
