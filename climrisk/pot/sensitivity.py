"""What is uncertain about a pot, as a few pots to be marched beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from climrisk.pot.model import PotNumbers

#: Moist conductivity and evaporating share are known to about so much either way (our
#: estimates from the spread of the published values in ``data/media.csv``).
CONDUCTIVITY_FACTOR, WETNESS_FACTOR = 1.3, 1.5
#: Contact of a medium with the wall: 0.005 to 0.02 m2K/W (estimate).
CONTACT_FACTOR = 2.0


@dataclass(frozen=True)
class Variant:
    """A pot as it may also be."""

    name: str
    numbers: PotNumbers


def variants(pot: PotNumbers) -> tuple[Variant, ...]:
    """Return the pot as given, drier and less conducting, and wetter and more so.

    Water raises all: what evaporates more also conducts more and touches better.
    """
    factors = (CONDUCTIVITY_FACTOR, WETNESS_FACTOR, CONTACT_FACTOR)
    return (
        Variant("as given", pot),
        Variant("drier", _changed(pot, *(1 / f for f in factors))),
        Variant("wetter", _changed(pot, *factors)),
    )


def _changed(
    pot: PotNumbers, conductivity: float, wetness: float, contact: float
) -> PotNumbers:
    return replace(
        pot,
        conductivity_w_mk=pot.conductivity_w_mk * conductivity,
        contact_m2k_w=pot.contact_m2k_w / contact,
        wall_wetness=min(1.0, pot.wall_wetness * wetness),
        top_wetness=min(1.0, pot.top_wetness * wetness),
    )


#: What makes two pots differ, and the numbers that stand for it.
EFFECTS: dict[str, tuple[str, ...]] = {
    "evaporation": ("wall_wetness", "top_wetness", "watered_every_h"),
    "radiation": (
        *("wall_absorptance", "wall_emissivity"),
        *("top_absorptance", "top_emissivity"),
    ),
    "heat capacity": (
        *("heat_capacity_j_m3k", "wall_heat_capacity_j_m2k", "water_m3_m3"),
        *("below", "above"),
    ),
    "insulation": (
        *("conductivity_w_mk", "wall_resistance_m2k_w", "contact_m2k_w"),
        *("bottom_w_m2k", "bottom_in_air"),
    ),
    "size": ("radius_m", "fill_m"),
}


def without(pot: PotNumbers, effect: str, reference: PotNumbers) -> PotNumbers:
    """Return a pot with one effect switched off: its numbers are the reference's."""
    same = {name: getattr(reference, name) for name in EFFECTS[effect]}
    return replace(pot, **same)
