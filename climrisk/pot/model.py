"""A pot: its kind, size, medium and what follows for its heat balance."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from climrisk.core import validation
from climrisk.core.defaults import (
    DEFAULT_DIAMETER_CM,
    DEFAULT_MEDIUM,
    DEFAULT_POT,
    POT_DIAMETER_CM,
    WATERED_EVERY_D,
)
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.pot.layers import Layer, dry_layer, layer_of, reservoir, through_dry_layer
from climrisk.pot.media import Medium, Wetness, medium, read_table

#: Film between a coarse medium and the wall: 0.005-0.02 m2K/W (estimate).
CONTACT_M2K_W = 0.01
Stand = Literal["floor", "bench", "feet"]
#: Bottom of a pot, and whether it meets the floor or the air: on a floor 5-10 W/m2K, on
#: a bench 3-5, on feet or wire like a wall (estimates).
STANDS: dict[Stand, tuple[float, bool]] = {
    "floor": (7.5, False),
    "bench": (4.0, True),
    "feet": (8.0, True),
}
#: Fill height over diameter of usual pots (common practice, no source).
HEIGHT_OVER_DIAMETER = 0.9
#: A self-watering pot keeps its medium near drained, and its top wetter (fitted to one
#: grower's measurement of a reservoir pot of expanded clay).
_RESERVOIR_TOP_WETNESS = 0.7
_TOP_EMISSIVITY = 0.95  # moist media (estimate)
_TOP_ABSORPTANCE = 0.75  # moist media (estimate)
#: Crocking, dressing and reservoir take no more of the fill height.
_MOST_LAYERS = 0.6


@dataclass(frozen=True)
class Wall:
    """A row of the table of pots."""

    name: str
    resistance_m2k_w: float
    absorptance: float
    emissivity: float
    wetness: float
    heat_capacity_j_m2k: float
    basis: str
    sources: tuple[str, ...]


#: What people call pots, and the kind it is.
EVERYDAY = {
    "plastic": "thin-plastic",
    "clay": "terracotta",
    "clay-pot": "terracotta",
    "unglazed-clay": "terracotta",
    "ceramic": "glazed-ceramic",
    "glazed": "glazed-ceramic",
    "basket": "slat-basket",
    "wooden-basket": "slat-basket",
    "net": "net-pot",
    "clear": "clear-plastic",
    "self-watering-pot": "self-watering",
    "fabric-pot": "fabric",
}


@lru_cache(maxsize=1)
def walls() -> dict[str, Wall]:
    """Return the kinds of pots by the name a user types."""
    out = {}
    for row in read_table("pots.csv"):
        thick = float(row["wall_mm"]) / 1000
        out[row["name"]] = Wall(
            row["name"],
            thick / float(row["wall_conductivity_w_mk"]),
            float(row["absorptance"]),
            float(row["emissivity"]),
            float(row["wall_wetness"]),
            thick
            * float(row["wall_density_kg_m3"])
            * float(row["wall_specific_heat_j_kgk"]),
            row["basis"],
            tuple(s for s in row["sources"].split(";") if s),
        )
    return out


@lru_cache(maxsize=1)
def colors() -> dict[str, float]:
    """Return the share of sunlight that walls of a color absorb, by name."""
    return {r["name"]: float(r["absorptance"]) for r in read_table("colors.csv")}


@dataclass(frozen=True)
class PotNumbers:
    """All that the heat balance knows of a pot.

    Parameters
    ----------
    radius_m, fill_m : float
    conductivity_w_mk, heat_capacity_j_m3k : float
        Of the moist medium.
    wall_resistance_m2k_w : float
        Of the wall, without the contact to the medium.
    wall_absorptance, wall_emissivity, wall_wetness : float
    top_absorptance, top_emissivity, top_wetness : float
        Wetness is the evaporating share of a surface.
    water_m3_m3 : float
        Water of the medium, which can freeze.
    wall_heat_capacity_j_m2k : float
        Of the wall.
    below, above : tuple of Layer
        Layers under and over the medium, from the bottom up, within `fill_m`.
    contact_m2k_w : float
        Between medium and wall.
    bottom_w_m2k : float
        From the bottom to floor or air.
    bottom_in_air : bool
    watered_every_h : float
        Hours between waterings; 0 where the medium is kept as wet as it is.
    """

    radius_m: float
    fill_m: float
    conductivity_w_mk: float
    heat_capacity_j_m3k: float
    wall_resistance_m2k_w: float
    wall_absorptance: float
    wall_emissivity: float
    wall_wetness: float
    top_absorptance: float
    top_emissivity: float
    top_wetness: float
    water_m3_m3: float = 0.0
    wall_heat_capacity_j_m2k: float = 0.0
    below: tuple[Layer, ...] = ()
    above: tuple[Layer, ...] = ()
    contact_m2k_w: float = CONTACT_M2K_W
    bottom_w_m2k: float = STANDS["floor"][0]
    bottom_in_air: bool = False
    watered_every_h: float = 0.0


@dataclass(frozen=True)
class FilledPot:
    """A pot with its medium.

    Parameters
    ----------
    kind : str
        A name of `walls`.
    diameter_cm : float
        Inner diameter, 4 to 50 cm.
    medium : Medium
    wetness : {"wet", "damp", "dry"}
    height_cm : float, optional
        Fill height; 0.9 of the diameter where not given.
    crocking, dressing : (float, Medium), optional
        A layer under and on the medium and its thickness, within the fill height. [cm]
    stand : {"floor", "bench", "feet"}
    watered_every_d : float, optional
        Days between waterings, each until it drains; without it the medium is kept as
        wet as it is.
    color : str, optional
        Of the wall, a name of `colors`; else as usual for the kind.
    """

    kind: str
    diameter_cm: float
    medium: Medium
    wetness: Wetness = "damp"
    height_cm: float | None = None
    crocking: tuple[float, Medium] | None = None
    dressing: tuple[float, Medium] | None = None
    stand: Stand = "floor"
    watered_every_d: float | None = None
    color: str | None = None

    @classmethod
    def named(
        cls,
        kind: str,
        diameter_cm: float,
        medium_text: str,
        *,
        wetness: Wetness = "damp",
        height_cm: float | None = None,
        stand: str | None = None,
        watered_every_d: float | None = None,
        color: str | None = None,
    ) -> FilledPot:
        """Return a pot without layers from what a user types.

        Raises
        ------
        InputError
            An unknown kind or medium, or a size out of range.
        """
        key = validation.named(
            kind, walls(), what="pot", where=field("pot"), everyday=EVERYDAY
        )
        validation.number_in(
            diameter_cm,
            *POT_DIAMETER_CM,
            what="pot diameter",
            where=field("pot_diameter"),
            unit="cm",
        )
        pot = cls(
            *(key, float(diameter_cm), medium(medium_text), wetness, height_cm),
            stand=_stand(stand),
            watered_every_d=watered_every_d,
            color=None
            if color is None
            else validation.named(
                color, colors(), what="color", where=field("pot_color")
            ),
        )
        if watered_every_d is not None:
            pot.check_watering()
        return pot.with_layers(None, None)

    def with_layers(self, crocking: str | None, dressing: str | None) -> FilledPot:
        """Return it with a layer under and on the medium, as a user types them.

        Raises
        ------
        InputError
            A layer that is not understood, or layers that leave no room for roots.
        """
        pot = replace(
            self,
            crocking=layer_of(crocking, field("crocking")) if crocking else None,
            dressing=layer_of(dressing, field("top_dressing")) if dressing else None,
        )
        layers = sum(x.thickness_m for x in (*pot.below, *pot.above))
        if layers > _MOST_LAYERS * pot.fill_m:
            raise InputError(
                "layers leave too little room for roots",
                where=f"{field('crocking')}, {field('top_dressing')}",
                value=f"{100 * layers:g} cm of {100 * pot.fill_m:.3g} cm",
                allowed=f"at most {_MOST_LAYERS:.0%} of the fill height",
            )
        return pot

    def check_watering(self) -> None:
        """Raise InputError where the days between waterings make no sense."""
        where = field("watered_every")
        days = self.watered_every_d or 0.0
        validation.number_in(
            days,
            *WATERED_EVERY_D,
            what="days between waterings",
            where=where,
            unit="days",
        )
        if self.kind == "self-watering":
            raise InputError(
                "a self-watering pot waters itself",
                where=where,
                value=f"{days:g}",
                next_step="leave the option out",
            )

    @property
    def medium_name(self) -> str:
        """Name of the medium as the user types it."""
        return self.medium.name

    @property
    def radius_m(self) -> float:
        """Inner radius. [m]"""
        return self.diameter_cm / 200

    @property
    def fill_m(self) -> float:
        """Fill height. [m]"""
        height = self.height_cm or HEIGHT_OVER_DIAMETER * self.diameter_cm
        return height / 100

    @property
    def wall(self) -> Wall:
        """Its wall."""
        return walls()[self.kind]

    @property
    def water(self) -> Wetness:
        """Wetness of the medium; a reservoir keeps it wet."""
        return "wet" if self.kind == "self-watering" else self.wetness

    @property
    def conductivity_w_mk(self) -> float:
        """Of the moist medium. [W/m/K]"""
        return self.medium.conductivity_w_mk(self.water)

    @property
    def heat_capacity_j_m3k(self) -> float:
        """Of the moist medium. [J/m3/K]"""
        return self.medium.heat_capacity_j_m3k(self.water)

    @property
    def top_wetness(self) -> float:
        """Evaporating share of the top."""
        top = self.medium.wetness_of_top(self.water)
        if self.kind == "self-watering":
            top = max(top, _RESERVOIR_TOP_WETNESS)
        if self.dressing is None:
            return top
        return min(top, through_dry_layer(self.dressing[0] / 100, self.dressing[1]))

    @property
    def below(self) -> tuple[Layer, ...]:
        """Layers under the medium: the water of a reservoir, then crocking."""
        out = []
        if self.kind == "self-watering":
            out.append(reservoir(self.medium, self.fill_m))
        if self.crocking is not None:
            out.append(dry_layer("crocking", *self.crocking))
        return tuple(out)

    @property
    def above(self) -> tuple[Layer, ...]:
        """Layers on the medium: a top dressing."""
        return () if self.dressing is None else (dry_layer("dressing", *self.dressing),)

    @property
    def wall_wetness(self) -> float:
        """Evaporating share of the wall: no wetter than the medium can keep it."""
        return min(self.wall.wetness, self.medium.wetness_of_top(self.water))

    @property
    def top_emissivity(self) -> float:
        """Of the medium's surface."""
        return _TOP_EMISSIVITY

    @property
    def top_absorptance(self) -> float:
        """Of the medium's surface, for sunlight."""
        return _TOP_ABSORPTANCE

    @property
    def numbers(self) -> PotNumbers:
        """All that the heat balance knows of it."""
        wall = self.wall
        return PotNumbers(
            radius_m=self.radius_m,
            fill_m=self.fill_m,
            conductivity_w_mk=self.conductivity_w_mk,
            heat_capacity_j_m3k=self.heat_capacity_j_m3k,
            wall_resistance_m2k_w=wall.resistance_m2k_w,
            wall_absorptance=wall.absorptance
            if self.color is None
            else colors()[self.color],
            wall_emissivity=wall.emissivity,
            wall_wetness=self.wall_wetness,
            top_absorptance=self.top_absorptance,
            top_emissivity=self.top_emissivity,
            top_wetness=self.top_wetness,
            water_m3_m3=self.medium.water(self.water),
            wall_heat_capacity_j_m2k=wall.heat_capacity_j_m2k,
            below=self.below,
            above=self.above,
            bottom_w_m2k=STANDS[self.stand][0],
            bottom_in_air=STANDS[self.stand][1],
            watered_every_h=24.0 * (self.watered_every_d or 0.0),
        )


def _stand(word: str | None) -> Stand:
    for stand in STANDS:
        if stand == (word or "floor"):
            return stand
    raise InputError(
        "unknown stand", where=field("stands_on"), value=word, allowed=" ".join(STANDS)
    )


def reference_pot() -> FilledPot:
    """Return the reference pot: 12 cm, thin plastic, fine pine bark."""
    return FilledPot.named(DEFAULT_POT, DEFAULT_DIAMETER_CM, DEFAULT_MEDIUM)
