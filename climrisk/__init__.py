"""climrisk: what would this place do to this plant, in this pot, in this spot?

>>> from climrisk import Pot, Spot, Weather, assess
>>> hours = Weather.demo(years=12)
>>> result = assess(hours, "Phalaenopsis hybrids", spot=Spot("roofed-balcony"))
>>> result.verdict.word
'indoors in winter'

`Weather` reads files, data frames, datasets and stations. `Plant`, `Spot`, `Pot` and
`Risk` say more than a name does. Functions stand for the commands of the same name,
take the weather first and return frozen results: `assess`, `arrive`, `winter`,
`calendar`, `tonight`, `event`, `review`, `pots`, `remedies`, `learn`, `rank_spots`
(command ``spots``), `hours_beyond` (command ``exposure``), `find_plant` (command
``plants``). `load_weather` takes the weather options of the command line.
`spot_series` gives the hours behind a result as an xarray Dataset; `region` makes maps
of a grid, and `region_dataset` does so lazily for one that is opened in xarray.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from climrisk.core.version import __version__ as __version__

if TYPE_CHECKING:
    from climrisk.commands.api import arrive as arrive
    from climrisk.commands.api import assess as assess
    from climrisk.commands.api import calendar as calendar
    from climrisk.commands.api import event as event
    from climrisk.commands.api import hours_beyond as hours_beyond
    from climrisk.commands.api import learn as learn
    from climrisk.commands.api import pots as pots
    from climrisk.commands.api import rank_spots as rank_spots
    from climrisk.commands.api import region as region
    from climrisk.commands.api import region_dataset as region_dataset
    from climrisk.commands.api import remedies as remedies
    from climrisk.commands.api import review as review
    from climrisk.commands.api import tonight as tonight
    from climrisk.commands.api import winter as winter
    from climrisk.commands.series import spot_series as spot_series
    from climrisk.core.errors import ClimriskError as ClimriskError
    from climrisk.core.errors import InputError as InputError
    from climrisk.core.errors import WeatherUnavailableError as WeatherUnavailableError
    from climrisk.inputs.values import Plant as Plant
    from climrisk.inputs.values import Pot as Pot
    from climrisk.inputs.values import Risk as Risk
    from climrisk.inputs.values import Spot as Spot
    from climrisk.plants.registry import find as find_plant
    from climrisk.weather.given import Weather as Weather
    from climrisk.weather.given import chosen_weather as load_weather
    from climrisk.weather.series import WeatherSeries as WeatherSeries

_PUBLIC = {
    "ClimriskError": ("climrisk.core.errors", "ClimriskError"),
    "InputError": ("climrisk.core.errors", "InputError"),
    "Plant": ("climrisk.inputs.values", "Plant"),
    "Pot": ("climrisk.inputs.values", "Pot"),
    "Risk": ("climrisk.inputs.values", "Risk"),
    "Spot": ("climrisk.inputs.values", "Spot"),
    "Weather": ("climrisk.weather.given", "Weather"),
    "WeatherSeries": ("climrisk.weather.series", "WeatherSeries"),
    "WeatherUnavailableError": ("climrisk.core.errors", "WeatherUnavailableError"),
    "arrive": ("climrisk.commands.api", "arrive"),
    "assess": ("climrisk.commands.api", "assess"),
    "calendar": ("climrisk.commands.api", "calendar"),
    "event": ("climrisk.commands.api", "event"),
    "find_plant": ("climrisk.plants.registry", "find"),
    "hours_beyond": ("climrisk.commands.api", "hours_beyond"),
    "learn": ("climrisk.commands.api", "learn"),
    "load_weather": ("climrisk.weather.given", "chosen_weather"),
    "pots": ("climrisk.commands.api", "pots"),
    "rank_spots": ("climrisk.commands.api", "rank_spots"),
    "region": ("climrisk.commands.api", "region"),
    "region_dataset": ("climrisk.commands.api", "region_dataset"),
    "remedies": ("climrisk.commands.api", "remedies"),
    "review": ("climrisk.commands.api", "review"),
    "spot_series": ("climrisk.commands.series", "spot_series"),
    "tonight": ("climrisk.commands.api", "tonight"),
    "winter": ("climrisk.commands.api", "winter"),
}
__all__ = [
    "ClimriskError",
    "InputError",
    "Plant",
    "Pot",
    "Risk",
    "Spot",
    "Weather",
    "WeatherSeries",
    "WeatherUnavailableError",
    "arrive",
    "assess",
    "calendar",
    "event",
    "find_plant",
    "hours_beyond",
    "learn",
    "load_weather",
    "pots",
    "rank_spots",
    "region",
    "region_dataset",
    "remedies",
    "review",
    "spot_series",
    "tonight",
    "winter",
]


def __getattr__(name: str) -> Any:
    """Load public names on first use: importing the package costs nothing."""
    if name not in _PUBLIC:
        msg = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(msg)
    from importlib import import_module

    module, attribute = _PUBLIC[name]
    return getattr(import_module(module), attribute)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
