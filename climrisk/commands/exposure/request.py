"""From what was given to hours beyond thresholds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.exposure.compute import exposure as _exposure
from climrisk.commands.shared.exposures import USUAL_THRESHOLDS
from climrisk.commands.shared.sources import Weather, home_of, hours_of

if TYPE_CHECKING:
    from climrisk.commands.exposure.command import ExposureInput
    from climrisk.commands.exposure.result import ExposureResult


def exposure(weather: Weather, given: ExposureInput) -> ExposureResult:
    """Return hours beyond thresholds of the record; below the usual ones by default.

    Raises
    ------
    InputError
        A threshold out of range, or of a variable that the record lacks.
    """
    _, _, source = home_of(weather, given.home)
    thresholds = {
        "below": given.below,
        "above": given.above,
        "humidity_below": given.humidity_below,
        "vpd_above": given.vpd_above,
        "wind_above": given.wind_above,
    }
    if not any(thresholds.values()) and not given.inclusive:
        thresholds["below"] = USUAL_THRESHOLDS
    return _exposure(hours_of(source), **thresholds, inclusive=given.inclusive)
