"""Spot kinds and their priors, read from ``data/priors.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from difflib import get_close_matches
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

from climrisk.core import references, validation
from climrisk.core.errors import InputError
from climrisk.spot.learned import Learned
from climrisk.spot.site import Site

Pair = tuple[float, float]

#: Names that a user types, in the order from open to sheltered.
KINDS = (
    "as-measured",
    "open-rail",
    "yard-floor",
    "roofed-walkway",
    "roofed-balcony",
    "recessed-balcony",
    "wall-shelf",
    "glazed-balcony",
    "glasshouse",
    "window-sill",
    "unheated-room",
    "heated-room",
)


@dataclass(frozen=True)
class SpotKind:
    """A kind of spot with its prior; see the head of ``data/priors.toml``.

    A pair is (mean, standard deviation), but of `night_noise_sd` the deviation on clear
    still and on windy nights. None where a kind has no such effect.
    """

    name: str
    group: Literal["as-measured", "open-air", "glazed", "room", "sill"]
    words: str
    wind_mean: float
    wind_sd: float
    sky_wall: float
    sky_top: float
    beam_frac: float
    diffuse_frac: float
    rain: bool
    basis: str
    source: tuple[str, ...]
    still_winter: Pair | None = None
    still_summer: Pair | None = None
    windy: Pair | None = None
    evening_k: Pair | None = None
    day_k: Pair | None = None
    lag_h: float = 0.0
    damping_frac: float = 0.0
    sun_heat_k_per_w_m2: float = 0.0
    vent_temp_c: float = 0.0
    vent_share: Pair = (1.0, 0.0)
    shading_above_w_m2: float = 0.0
    shading_frac: float = 0.0
    leak_k: float = 0.0
    glass_wall: float = 0.0
    glass_top: float = 0.0
    glass_sky: float = 0.0
    massive_frac: float = 1.0
    night_noise_sd: Pair = (0.0, 0.0)
    mean_hours: int = 36
    winter_gain_k: Pair | None = None
    summer_gain_k: Pair | None = None
    set_point_c: Pair | None = None
    set_back_c: Pair | None = None
    u_value: float | None = None
    from_glass_cm: float | None = None
    open_share: Pair = (1.0, 0.0)
    dew_k: Pair = (0.0, 0.0)
    moist_pa: Pair | None = None
    height_m: float | None = None
    walls: int = 0
    house_m: float | None = None
    source_texts: tuple[str, ...] = field(default=())
    site: Site = field(default_factory=Site)
    #: Whether the record was measured at the spot itself: its air and humidity are then
    #: taken as they are, and only sky, wind and sun are those of the kind.
    measured_here: bool = False
    learned: Learned | None = None

    @property
    def at(self) -> str:
        """Where it is, as part of a sentence: on a shelf, in a room."""
        inside = self.group == "room" or self.name == "glasshouse"
        place = "at" if self.group == "as-measured" else ("in" if inside else "on")
        return f"{place} {self.words}"

    @property
    def as_recorded(self) -> bool:
        """Whether the spot's air is that of the record."""
        return self.measured_here or self.group == "as-measured"

    def with_site(self, site: Site | None) -> SpotKind:
        """Return the kind with further particulars, which go before its own."""
        if site is None:
            return self
        return replace(self, site=site.over(self.site))

    @property
    def heated(self) -> bool:
        """Whether it is in a heated room, a sill there included."""
        return self.set_back_c is not None

    @property
    def indoors(self) -> bool:
        """Whether the spot stands behind closed walls."""
        return self.group in ("room", "sill")

    @property
    def cloth_passes(self) -> float:
        """Share of the light that a shade cloth named by the owner lets through."""
        return 1.0 - (self.site.shade_frac or 0.0)

    @property
    def shading(self) -> tuple[float, float]:
        """Sunlight outdoors above which the usual shading is drawn, and its share.

        A shade that the owner states, 0 included, stands in its place.
        """
        usual = self.site.shade_frac is None
        return self.shading_above_w_m2, self.shading_frac if usual else 0.0

    @property
    def vents(self) -> Pair:
        """Share of the sun's warmth left with open vents; 1 where they stay closed."""
        return (1.0, 0.0) if self.site.vents == "closed" else self.vent_share


def measured_somewhere() -> SpotKind:
    """Return ``as-measured`` for a record of a spot of which nothing else is told."""
    return replace(spot_kind("as-measured"), measured_here=True, **_unknown_place())


def spot_kind(name: str, *, also: Sequence[str] = ()) -> SpotKind:
    """Return the kind of a spot by the name a user types.

    Parameters
    ----------
    name : str
    also : sequence of str, optional
        Other names that would have been accepted, such as the spots of a home; the
        error lists them first.

    Raises
    ------
    InputError
        With all names, and the nearest one.
    """
    try:
        return _read()[
            validation.named(name, KINDS, what="spot", where=references.field("spot"))
        ]
    except InputError as error:
        if not also:
            raise
        near = get_close_matches(name, also, n=1)
        raise InputError(
            error.what,
            where=error.where,
            value=error.value,
            allowed=f"{', '.join(also)} of the home; or {error.allowed}",
            next_step=f"did you mean {near[0]}?" if near else error.next_step,
        ) from None


@lru_cache(maxsize=1)
def _priors() -> dict[str, Any]:
    text = resources.files("climrisk.spot").joinpath("data/priors.toml")
    return tomllib.loads(text.read_text("utf-8"))


def _unknown_place() -> dict[str, Any]:
    row = _priors()["unknown_place"]
    keys = ("open_share", "wind_mean", "wind_sd")
    return {k: tuple(row[k]) if isinstance(row[k], list) else row[k] for k in keys}


@lru_cache(maxsize=1)
def _read() -> dict[str, SpotKind]:
    data = _priors()
    return {
        name: _kind(name, row, data["open_air"], data["sources"])
        for name, row in data["kind"].items()
    }


def _kind(
    name: str, row: dict[str, Any], shared: dict[str, Any], sources: dict[str, str]
) -> SpotKind:
    known = {f.name for f in fields(SpotKind)}
    if unknown := set(row) - known:
        msg = f"priors.toml: {name} has unknown keys {sorted(unknown)}"
        raise ValueError(msg)
    values: dict[str, Any] = {
        k: tuple(v) if isinstance(v, list) else v for k, v in row.items()
    }
    values["source_texts"] = tuple(sources[key] for key in row["source"])
    if row["group"] == "open-air":
        values.setdefault("windy", (shared["windy_mean"], shared["windy_sd"]))
    if row["group"] in ("open-air", "glazed"):
        values["night_noise_sd"] = tuple(shared["night_noise_sd"])
        values.setdefault("dew_k", tuple(shared["dew_k"]))
    return SpotKind(name=name, **values)
