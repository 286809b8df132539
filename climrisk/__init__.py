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

__version__ = "0.1.0"

if TYPE_CHECKING:
    from climrisk.errors import ClimriskError as ClimriskError
    from climrisk.errors import InputError as InputError
    from climrisk.errors import WeatherUnavailable as WeatherUnavailable
    from climrisk.plants.registry import find as find_plant
    from climrisk.regions.call import region as region
    from climrisk.regions.lazy import region_dataset as region_dataset
    from climrisk.simulate.arrive import arrive as arrive
    from climrisk.simulate.calls import assess as assess
    from climrisk.simulate.calls import calendar as calendar
    from climrisk.simulate.calls import exposure as hours_beyond
    from climrisk.simulate.calls import pots as pots
    from climrisk.simulate.calls import weather as load_weather
    from climrisk.simulate.calls import winter as winter
    from climrisk.simulate.helps import remedies as remedies
    from climrisk.simulate.keeper import event as event
    from climrisk.simulate.keeper import review as review
    from climrisk.simulate.keeper import tonight as tonight
    from climrisk.simulate.lesson import lesson as learn
    from climrisk.simulate.ranked import ranked as rank_spots
    from climrisk.simulate.series import spot_series as spot_series

_PUBLIC = {
    "ClimriskError": ("climrisk.errors", "ClimriskError"),
    "InputError": ("climrisk.errors", "InputError"),
    "WeatherUnavailable": ("climrisk.errors", "WeatherUnavailable"),
    "arrive": ("climrisk.simulate.arrive", "arrive"),
    "assess": ("climrisk.simulate.calls", "assess"),
    "calendar": ("climrisk.simulate.calls", "calendar"),
    "event": ("climrisk.simulate.keeper", "event"),
    "find_plant": ("climrisk.plants.registry", "find"),
    "hours_beyond": ("climrisk.simulate.calls", "exposure"),
    "learn": ("climrisk.simulate.lesson", "lesson"),
    "load_weather": ("climrisk.simulate.calls", "weather"),
    "pots": ("climrisk.simulate.calls", "pots"),
    "rank_spots": ("climrisk.simulate.ranked", "ranked"),
    "region": ("climrisk.regions.call", "region"),
    "region_dataset": ("climrisk.regions.lazy", "region_dataset"),
    "remedies": ("climrisk.simulate.helps", "remedies"),
    "spot_series": ("climrisk.simulate.series", "spot_series"),
    "review": ("climrisk.simulate.keeper", "review"),
    "tonight": ("climrisk.simulate.keeper", "tonight"),
    "winter": ("climrisk.simulate.calls", "winter"),
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
