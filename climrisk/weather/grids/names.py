"""Variables of a grid by their CF or usual names, and their units as ours."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from climrisk.core.constants import ZERO_CELSIUS_K
from climrisk.core.errors import InputError
from climrisk.core.references import field

#: What a number of a flux stands for: a mean, or a sum since the last hour or since
#: midnight UTC.
Sum = Literal["", "hour", "day"]


@dataclass(frozen=True)
class Known:
    """Names under which a variable is met.

    Parameters
    ----------
    standard : tuple of str
        CF standard names.
    usual : tuple of str
        Names that archives of reanalyses use, in small letters.
    """

    standard: tuple[str, ...]
    usual: tuple[str, ...]


#: By our name, and by what ours are made of. CF standard name table; the usual names
#: are those of the large reanalysis archives (common practice, no source).
KNOWN: dict[str, Known] = {
    ours: Known(tuple(standard.split()), tuple(usual.split()))
    for ours, standard, usual in (
        (
            "air_temp_c",
            "air_temperature",
            "t2m 2t tas t_2m t2 temperature_2m 2m_temperature air_temperature "
            "air_temp_c air_temp temperature temp",
        ),
        (
            "dew_point_c",
            "dew_point_temperature",
            "d2m 2d td2m td_2m dewpoint_2m 2m_dewpoint_temperature "
            "dew_point_temperature dew_point_c dew_point dewpoint",
        ),
        (
            "rel_humidity_pct",
            "relative_humidity",
            "hurs rh2m r2 2r rh relative_humidity rel_humidity_pct",
        ),
        (
            "specific_humidity",
            "specific_humidity",
            "huss q2m qv2m sh2 2sh specific_humidity",
        ),
        ("surface_pressure", "surface_air_pressure", "sp ps surface_pressure"),
        (
            "wind_speed_m_s",
            "wind_speed",
            "sfcwind si10 10si ws10 wind_speed wind_speed_m_s ws",
        ),
        (
            "wind_east",
            "eastward_wind x_wind",
            "u10 10u uas u10m u_10m 10m_u_component_of_wind",
        ),
        (
            "wind_north",
            "northward_wind y_wind",
            "v10 10v vas v10m v_10m 10m_v_component_of_wind",
        ),
        (
            "cloud_cover_frac",
            "cloud_area_fraction",
            "tcc clt cldtot clct total_cloud_cover cloud_cover cloud_area_fraction "
            "cloud_cover_frac",
        ),
        (
            "ghi_w_m2",
            "surface_downwelling_shortwave_flux_in_air "
            "surface_downwelling_shortwave_flux "
            "integral_wrt_time_of_surface_downwelling_shortwave_flux_in_air",
            "ssrd rsds swgdn swdown avg_sdswrf msdwswrf ghi ghi_w_m2 "
            "surface_solar_radiation_downwards",
        ),
    )
}


def find_names(
    found: Mapping[str, Mapping[str, Any]], specified: Mapping[str, str], *, where: str
) -> dict[str, str]:
    """Return which variable of a file is which of ours.

    Parameters
    ----------
    found : mapping of str to mapping
        Attributes of every variable of the file, by its name.
    specified : mapping of str to str
        What the user said: our name to the file's.
    where : str
        The file, for messages.

    Raises
    ------
    InputError
        Two variables that could be the same, or a told one that is not there.
    """
    out = {}
    for ours, known in KNOWN.items():
        if ours in specified:
            if specified[ours] in found:
                out[ours] = specified[ours]
            continue
        taken = set(specified.values())
        names = [n for n in found if n.lower() in known.usual and n not in taken]
        if not names:
            names = [
                n
                for n, attrs in found.items()
                if attrs.get("standard_name") in known.standard and n not in taken
            ]
        if len(names) > 1:
            raise InputError(
                f"two variables could be {ours}",
                where=where,
                value=" ".join(names),
                next_step="say which: " + field("variable", f"{ours}={names[0]}"),
            )
        if names:
            out[ours] = names[0]
    return out


def named_variables(words: tuple[str, ...]) -> dict[str, str]:
    """Return what ``--variable OURS=NAME`` says, checked.

    Raises
    ------
    InputError
        A word that is not of this form, or not one of our names.
    """
    out = {}
    for word in words:
        ours, equals, theirs = word.partition("=")
        if not equals or not theirs or ours not in KNOWN:
            raise InputError(
                "not a name of a variable",
                where=field("variable"),
                value=word,
                allowed=" ".join(KNOWN),
                next_step="write it as air_temp_c=NAME_IN_THE_FILE",
            )
        out[ours] = theirs
    return out


_WIND = {"ms-1": 1.0, "m/s": 1.0, "kmh-1": 1 / 3.6, "km/h": 1 / 3.6, "kn": 0.514444}
_SHARE = {"1": 1.0, "": 1.0, "(0-1)": 1.0, "fraction": 1.0, "%": 0.01, "percent": 0.01}
_FLUX = {"wm-2": 1.0, "w/m2": 1.0}
_ENERGY = {"jm-2": 1.0, "j/m2": 1.0, "kjm-2": 1e3, "mjm-2": 1e6, "whm-2": 3600.0}
#: Factor and added number that make ours of a unit.
_UNITS: dict[str, dict[str, tuple[float, float]]] = {
    "temperature": {
        **dict.fromkeys(("k", "kelvin", "degk"), (1.0, -ZERO_CELSIUS_K)),
        **dict.fromkeys(("degc", "c", "celsius", "degreecelsius"), (1.0, 0.0)),
        **dict.fromkeys(("degreescelsius", "degreec", "°c"), (1.0, 0.0)),
        **dict.fromkeys(("degf", "f", "fahrenheit"), (5 / 9, -160 / 9)),
    },
    "wind": {k: (v, 0.0) for k, v in _WIND.items()},
    "share": {**{k: (v, 0.0) for k, v in _SHARE.items()}, "octas": (0.125, 0.0)},
    "humidity": {k: (100 * v, 0.0) for k, v in _SHARE.items()},
    "flux": {
        **{k: (v, 0.0) for k, v in _FLUX.items()},
        **{k: (v / 3600, 0.0) for k, v in _ENERGY.items()},
    },
    "mass": {"kgkg-1": (1.0, 0.0), "1": (1.0, 0.0), "gkg-1": (1e-3, 0.0)},
    "pressure": {"pa": (1.0, 0.0), "hpa": (100.0, 0.0), "mbar": (100.0, 0.0)},
}
_KIND = {
    "air_temp_c": "temperature",
    "dew_point_c": "temperature",
    "rel_humidity_pct": "humidity",
    "specific_humidity": "mass",
    "surface_pressure": "pressure",
    "wind_speed_m_s": "wind",
    "wind_east": "wind",
    "wind_north": "wind",
    "cloud_cover_frac": "share",
    "ghi_w_m2": "flux",
}


def unit_of(ours: str, unit: str | None, *, where: str) -> tuple[float, float]:
    """Return the factor and the added number that make our unit of a file's.

    Raises
    ------
    InputError
        A unit that is not known for the variable, or none where it must be told.
    """
    units = _UNITS[_KIND[ours]]
    key = _plain(unit or "")
    if key in units:
        return units[key]
    raise InputError(
        f"no known unit of {ours}",
        where=where,
        value=unit if unit else "none given",
        allowed=" ".join(k for k in units if k),
        next_step="set the variable's attribute units",
    )


def is_energy(unit: str | None) -> bool:
    """Whether a unit of sunlight is a sum and not a mean."""
    return _plain(unit or "") in _ENERGY


def _plain(unit: str) -> str:
    """Return a unit without blanks and signs: ``W m**-2`` is ``wm-2``."""
    text = unit.strip().lower().replace("**", "").replace("^", "").replace(".", "")
    return re.sub(r"[\s_]+", "", text).replace("m2s", "m2").replace("m²", "m2")
