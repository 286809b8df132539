"""The hours behind a result, as an xarray Dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.core import validation
from climrisk.core.defaults import (
    DEFAULT_DIAMETER_CM,
    DEFAULT_MEDIUM,
    DEFAULT_MEMBERS,
    DEFAULT_POT,
)
from climrisk.core.references import field
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import root_zone
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    import xarray as xr

_DESCRIBED = {
    "spot_air_temp_c": ("degC", "air_temperature", "air at the plant"),
    "spot_dew_point_c": ("degC", "dew_point_temperature", "dew point at the plant"),
    "spot_wind_speed_m_s": ("m s-1", "wind_speed", "wind at the plant"),
    "leaf_temp_c": ("degC", None, "leaf"),
    "root_zone_temp_c": ("degC", None, "volume mean of the medium"),
}


def spot_series(
    weather: WeatherSeries,
    *,
    spot: str,
    pot: str = DEFAULT_POT,
    pot_diameter: float = DEFAULT_DIAMETER_CM,
    medium: str = DEFAULT_MEDIUM,
    members: int = DEFAULT_MEMBERS,
    elevation: float | None = None,
) -> xr.Dataset:
    """Return hourly air, dew point, wind, leaf and root zone at a spot.

    Parameters
    ----------
    weather : WeatherSeries
    spot, pot, medium : str
        As the options of ``climrisk assess``.
    pot_diameter : float
        [cm]
    members : int
        Members of the spread.
    elevation : float, optional
        Height of the home. [m]

    Returns
    -------
    xarray.Dataset
        Dimensions ``time`` (UTC start of each hour) and ``case`` (member); NaN is
        unknown; units and CF standard names stand in the attributes.
    """
    import xarray as xr

    kind = spot_kind(spot)
    if elevation is not None:
        validation.elevation(elevation, where=field("elevation"))
    prepared = prepare(
        weather, ensemble(validation.members(members)), spot_elevation_m=elevation
    )
    climate = spot_climate(prepared, kind)
    root = root_zone(climate, FilledPot.named(pot, pot_diameter, medium))
    values = {
        "spot_air_temp_c": climate.air_c,
        "spot_dew_point_c": climate.dew_point_c,
        "spot_wind_speed_m_s": climate.wind_m_s,
        "leaf_temp_c": climate.leaf_c,
        "root_zone_temp_c": root.mean_c,
    }
    data = {}
    for name, array in values.items():
        unit, standard, label = _DESCRIBED[name]
        about = {"units": unit, "long_name": label}
        if standard is not None:
            about["standard_name"] = standard
        data[name] = (("time", "case"), array, about)
    return xr.Dataset(
        data,
        coords={"time": climate.time.astype("datetime64[s]")},
        attrs={
            "source": weather.source.label,
            "credit": weather.source.credit,
            "spot": kind.name,
            "pot": f"{pot_diameter:g} cm {pot}, {medium}",
        },
    )
