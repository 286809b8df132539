"""Made plants: only the limits that a test names."""

from __future__ import annotations

from climrisk.plants.model import Profile

_MEANING = {
    "preferred": "advised_night_low",
    "tolerated": "tolerated_limit",
    "ceiling": "ceiling",
    "advised_top": "advised_top",
    "warm_night": "suffers_above",
    "light_floor": "advised_light",
}


def plant(
    preferred=10.0,
    *,
    basis="yours",
    rest="none",
    drop=None,
    name="Made plant",
    **limits,
):
    """Return a made plant.

    Parameters
    ----------
    preferred : float
    basis : str
        Of every limit.
    drop : float, optional
        Fall of temperature that it should have at night.
    limits
        ``tolerated ceiling advised_top warm_night light_floor`` as values, or as rows.
    """

    def row(kind, value):
        if isinstance(value, list):
            return value
        return [{"value": value, "meaning": _MEANING[kind], **source}]

    source = {"basis": basis}
    if basis == "published":
        source["sources"] = ["made"]
    rows = {k: row(k, v) for k, v in {"preferred": preferred, **limits}.items()}
    if drop is not None:
        own = {"value": drop, "meaning": "advised_fall", "high": drop + 3, **source}
        rows["night_drop"] = [own]
    return Profile.model_validate(
        {"name": name, "label": "intermediate", "rest": rest, "limits": rows}
    )
