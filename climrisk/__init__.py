"""climrisk: what would this place do to this plant, in this pot, in this spot?

>>> import climrisk
>>> hours = climrisk.load_weather(demo=True, years=12)
>>> told = climrisk.assess("Phalaenopsis hybrids", hours, spot="roofed-balcony")
>>> told.verdict.word
'indoors in winter'

Functions stand for the commands of the same name and return the same frozen results:
`assess`, `arrive`, `winter`, `calendar`, `tonight`, `event`, `review`, `pots`,
`remedies`, `learn`, `rank_spots` (command ``spots``), `hours_beyond` (command
``exposure``), `find_plant` (command ``plants``), and `load_weather` (the weather
options). `spot_series` gives the hours behind a result as an xarray Dataset; `region`
makes maps of a grid, and `region_dataset` does so lazily for one that is opened in
xarray.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from climrisk.core.version import __version__ as __version__

if TYPE_CHECKING:
    from climrisk.commands.api import assess as assess
    from climrisk.commands.api import calendar as calendar
    from climrisk.commands.api import exposure as hours_beyond
    from climrisk.commands.api import pots as pots
    from climrisk.commands.api import weather as load_weather
    from climrisk.commands.api import winter as winter
    from climrisk.commands.arrive.compute import arrive as arrive
    from climrisk.commands.home_api import event as event
    from climrisk.commands.home_api import review as review
    from climrisk.commands.home_api import tonight as tonight
    from climrisk.commands.learn.calibration import lesson as learn
    from climrisk.commands.region.compute import region as region
    from climrisk.commands.region.dataset import region_dataset as region_dataset
    from climrisk.commands.remedies.request import remedies as remedies
    from climrisk.commands.series import spot_series as spot_series
    from climrisk.commands.spots.request import ranked as rank_spots
    from climrisk.core.errors import ClimriskError as ClimriskError
    from climrisk.core.errors import InputError as InputError
    from climrisk.core.errors import WeatherUnavailable as WeatherUnavailable
    from climrisk.plants.registry import find as find_plant

_PUBLIC = {
    "ClimriskError": ("climrisk.core.errors", "ClimriskError"),
    "InputError": ("climrisk.core.errors", "InputError"),
    "WeatherUnavailable": ("climrisk.core.errors", "WeatherUnavailable"),
    "arrive": ("climrisk.commands.arrive.compute", "arrive"),
    "assess": ("climrisk.commands.api", "assess"),
    "calendar": ("climrisk.commands.api", "calendar"),
    "event": ("climrisk.commands.home_api", "event"),
    "find_plant": ("climrisk.plants.registry", "find"),
    "hours_beyond": ("climrisk.commands.api", "exposure"),
    "learn": ("climrisk.commands.learn.calibration", "lesson"),
    "load_weather": ("climrisk.commands.api", "weather"),
    "pots": ("climrisk.commands.api", "pots"),
    "rank_spots": ("climrisk.commands.spots.request", "ranked"),
    "region": ("climrisk.commands.region.compute", "region"),
    "region_dataset": ("climrisk.commands.region.dataset", "region_dataset"),
    "remedies": ("climrisk.commands.remedies.request", "remedies"),
    "spot_series": ("climrisk.commands.series", "spot_series"),
    "review": ("climrisk.commands.home_api", "review"),
    "tonight": ("climrisk.commands.home_api", "tonight"),
    "winter": ("climrisk.commands.api", "winter"),
}
__all__ = [
    "ClimriskError",
    "InputError",
    "WeatherUnavailable",
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
