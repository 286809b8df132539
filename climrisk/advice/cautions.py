"""The short cautions that an output must carry; each where it matters."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CautionText:
    """A topic and one or two sentences."""

    topic: str
    text: str


ESTIMATE = CautionText(
    "limits of this estimate",
    "An estimate from past weather, not a frost warning and no guarantee: follow the "
    "official weather warnings.",
)
WIND = CautionText(
    "falling pots",
    "Keep nothing on or outside a rail before wind, take down hanging pots when gusts "
    "above about 50 km/h are forecast, and think of the people below; local by-laws "
    "and house rules decide what may stand there.",
)
LOAD = CautionText(
    "load",
    "Wet media, water reservoirs and clay are heavy: ask the owner, the manager or an "
    "engineer what a balcony may carry, and keep heavy pots near the wall.",
)
LIFTING = CautionText(
    "lifting",
    "Carry in two trips or use a trolley, the heavy ones first; never in wind or on "
    "wet steps.",
)
HEAT = CautionText(
    "heating",
    "Never burn fuel to warm a closed balcony, porch or room with people in it: carbon "
    "monoxide kills. Electric heat outdoors needs weatherproof fittings and residual-"
    "current protection by a qualified electrician, under local wiring rules.",
)
TOXIC = CautionText(
    "pets and children",
    "Noted as toxic: {note}. Keep it out of reach indoors; the local poison "
    "service advises.",
)
NOT_LISTED = CautionText(
    "pets and children",
    "No toxic note in this profile; that does not mean that it is safe.",
)
DUST = CautionText(
    "dust",
    "Pour dry medium outdoors, damped and with a mask: its dust irritates and may "
    "carry crystalline silica or mold spores.",
)
PESTS = CautionText(
    "pests",
    "Look for pests a week or two before moving in; treat outdoors, the mildest means "
    "first, and only with products registered for that plant and place, by the label.",
)

_DUSTY = ("perlite", "pumice", "lava", "akadama", "sphagnum", "bark", "coir", "peat")


def for_plant(
    toxic_note: str | None, *, medium: str, outdoors: bool, moves: bool
) -> list[CautionText]:
    """Return the cautions of an answer about one plant.

    Parameters
    ----------
    toxic_note : str or None
        From the profile.
    medium : str
    outdoors : bool
        The spot stands in the open or on a balcony.
    moves : bool
        The advice is to carry the plant in or out.
    """
    out = [ESTIMATE]
    if toxic_note:
        out.append(CautionText(TOXIC.topic, TOXIC.text.format(note=toxic_note)))
    elif moves:
        out.append(NOT_LISTED)
    if outdoors:
        out.append(WIND)
    if moves:
        out += [LIFTING, PESTS]
    if any(word in medium for word in _DUSTY):
        out.append(DUST)
    return out
