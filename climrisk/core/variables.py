"""One table of the variables that enter: our name, CF name, unit and valid range."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Variable:
    """An hourly variable.

    Parameters
    ----------
    name : str
        Our name; the unit is its ending.
    standard_name : str
        CF standard name.
    unit : str
        Unit, as CF writes it.
    lowest, highest : float
        Values outside are no weather on Earth's surface and are refused.
    label : str
        Words for people.
    """

    name: str
    standard_name: str
    unit: str
    lowest: float
    highest: float
    label: str


# The ranges are gross-error limits: air temperature and wind follow the world records
# kept by WMO (-89.2 to 56.7 C, 113 m/s gust); the rest are physical bounds.
VARIABLES: Final = {
    v.name: v
    for v in (
        Variable("air_temp_c", "air_temperature", "degC", -90, 60, "air temperature"),
        Variable("dew_point_c", "dew_point_temperature", "degC", -100, 40, "dew point"),
        Variable("rel_humidity_pct", "relative_humidity", "%", 0, 105, "humidity"),
        Variable("wind_speed_m_s", "wind_speed", "m s-1", 0, 75, "wind"),
        Variable("wind_gust_m_s", "wind_speed_of_gust", "m s-1", 0, 113, "gusts"),
        Variable("cloud_cover_frac", "cloud_area_fraction", "1", 0, 1, "cloud"),
        Variable(
            "ghi_w_m2",
            "surface_downwelling_shortwave_flux_in_air",
            "W m-2",
            0,
            1500,
            "sunlight",
        ),
    )
}
