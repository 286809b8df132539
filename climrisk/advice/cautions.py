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

UNROOTED = CautionText(
    "unrooted plant",
    "The limits are those of rooted plants. Keep it shaded and out of wind for 6 to 8 "
    "weeks, and feed it only once it has roots (growers' reports).",
)
NEW_IMPORT = CautionText(
    "newly imported plant",
    "The limits are those of settled plants, and a heated house may be where it comes "
    "from. Hold it apart and look for pests; protected species need their papers.",
)

_DUSTY = ("perlite", "pumice", "lava", "akadama", "sphagnum", "bark", "coir", "peat")
#: From this diameter, and in any reservoir or fired pot, weight is worth a word
#: (our estimate: about 15 kg wet).
_HEAVY_CM = 28.0
_HEAVY_POTS = ("self-watering", "terracotta", "glazed-ceramic")
_HEAVY_POT_CM = 22.0


@dataclass(frozen=True)
class Setting:
    """What an answer about one plant is about, as far as cautions need it.

    Parameters
    ----------
    toxic_note : str or None
        From the profile.
    state : str
        Of the plant.
    medium, pot : str
    pot_diameter_cm : float
    outdoors : bool
        The spot stands in the open or on a balcony.
    glazed : bool
        The spot is a glazed balcony or a glasshouse, which people heat.
    moves : bool
        The advice is to carry the plant in or out.
    """

    toxic_note: str | None
    state: str
    medium: str
    pot: str
    pot_diameter_cm: float
    outdoors: bool
    glazed: bool
    moves: bool

    @property
    def heavy(self) -> bool:
        """Whether pots of this kind add up on a balcony."""
        least = _HEAVY_POT_CM if self.pot in _HEAVY_POTS else _HEAVY_CM
        return self.pot_diameter_cm >= least


def for_plant(about: Setting) -> list[CautionText]:
    """Return the cautions of an answer about one plant."""
    out = [ESTIMATE]
    if about.state == "unrooted":
        out.append(UNROOTED)
    elif about.state == "new-import":
        out.append(NEW_IMPORT)
    if about.toxic_note:
        out.append(CautionText(TOXIC.topic, TOXIC.text.format(note=about.toxic_note)))
    elif about.moves:
        out.append(NOT_LISTED)
    if about.outdoors:
        out.append(WIND)
    if about.outdoors and about.heavy:
        out.append(LOAD)
    if about.glazed:
        out.append(HEAT)
    if about.moves:
        out += [LIFTING, PESTS]
    if any(word in about.medium for word in _DUSTY):
        out.append(DUST)
    return out
