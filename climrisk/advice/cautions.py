"""The short cautions that an output must carry; each where it matters."""

from __future__ import annotations

from dataclasses import dataclass

from climrisk.core.quantities import SPEED, quantity, temperature


@dataclass(frozen=True)
class CautionText:
    """A topic, one or two sentences, and the same in a few words."""

    topic: str
    text: str
    short: str = ""


ESTIMATE = CautionText(
    "limits of this estimate",
    "An estimate from past weather, not a frost warning and no guarantee: follow the "
    "official weather warnings.",
)
WIND = CautionText(
    "falling pots",
    "Keep nothing on or outside a rail before wind, take down hanging pots when gusts "
    f"above about {quantity(SPEED, 50)} are forecast, and think of the people below; "
    "local by-laws "
    "and house rules decide what may stand there.",
    "secure pots before wind",
)
LOAD = CautionText(
    "load",
    "Wet media, water reservoirs and clay are heavy: ask the owner, the manager or an "
    "engineer what a balcony may carry, and keep heavy pots near the wall.",
    "heavy for a balcony",
)
LIFTING = CautionText(
    "lifting",
    "Carry in two trips or use a trolley, the heavy ones first; never in wind or on "
    "wet steps.",
    "lift in two trips",
)
HEAT = CautionText(
    "heating",
    "Never burn fuel to warm a closed balcony, porch or room with people in it: carbon "
    "monoxide kills. Electric heat outdoors needs weatherproof fittings and residual-"
    "current protection by a qualified electrician, under local wiring rules.",
    "never burn fuel to heat a porch",
)
TOXIC = CautionText(
    "pets and children",
    "Noted as toxic: {note}. Keep it out of reach indoors; the local poison "
    "service advises.",
    "toxic to pets and children",
)
NOT_LISTED = CautionText(
    "pets and children",
    "No toxic note in this profile; that does not mean that it is safe.",
    "not known to be safe for pets",
)
DUST = CautionText(
    "dust",
    "Pour dry medium outdoors, damped and with a mask: its dust irritates and may "
    "carry crystalline silica or mold spores.",
    "dusty medium",
)
PESTS = CautionText(
    "pests",
    "Look for pests a week or two before moving in; treat outdoors, the mildest means "
    "first, and only with products registered for that plant and place, by the label.",
    "check for pests",
)

UNROOTED = CautionText(
    "unrooted plant",
    "The limits are those of rooted plants. Keep it shaded and out of wind for 6 to 8 "
    "weeks, and feed it only once it has roots (growers' reports).",
    "shade unrooted plants",
)
NEW_IMPORT = CautionText(
    "newly imported plant",
    "The limits are those of settled plants, and a heated house may be where it comes "
    "from. Hold it apart and look for pests; protected species need their papers.",
    "hold new imports apart",
)

RESERVOIR = CautionText(
    "reservoir in the cold",
    "Empty the reservoir of a self-watering pot as long as nights stay below {limit}, "
    "and water sparingly from above: roots that stand wet and cold rot.",
    "empty reservoirs in the cold",
)
WET_COLD = CautionText(
    "wet, cold medium",
    "As long as nights stay below {limit}, water only in the morning and only once the "
    "medium has dried: a medium that stays wet and cold rots the roots.",
    "let wet media dry in the cold",
)
WINTER_RAIN = CautionText(
    "winter rain",
    "Rain reaches this spot, and the plant rests {rest} in winter: keep winter rain "
    "off it, under a roof or eaves, from autumn until new growth shows.",
    "keep winter rain off",
)
_SHORT = {
    text.topic: text.short
    for text in (
        *(HEAT, TOXIC, WIND, LOAD, LIFTING, UNROOTED, NEW_IMPORT),
        *(RESERVOIR, WET_COLD, WINTER_RAIN, PESTS, DUST),
    )
}
_RANKED = list(_SHORT)
_RESTS = {"dry": "dry", "cool_dry": "cool and dry"}

_DUSTY = ("perlite", "pumice", "lava", "akadama", "sphagnum", "bark", "coir", "peat")
#: From this diameter, and in any reservoir or fired pot, weight is worth a word
#: (our estimate: about 15 kg wet).
_HEAVY_CM = 28.0
#: Media that stay wet for weeks in the cold (`climrisk pots` gives the days).
_WET_MEDIA = ("sphagnum", "peat", "coir", "mineral-wool")
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
    wetness : str
        Of the medium: wet, damp or dry.
    rain : bool
        Rain falls on the pot.
    rest : str
        How the plant winters: none, drier, dry, cool or cool_dry.
    preferred_c : float, optional
        Night minimum it prefers. [°C]
    """

    toxic_note: str | None
    state: str
    medium: str
    pot: str
    pot_diameter_cm: float
    outdoors: bool
    glazed: bool
    moves: bool
    wetness: str = "damp"
    rain: bool = False
    rest: str = "none"
    preferred_c: float | None = None

    @property
    def heavy(self) -> bool:
        """Whether pots of this kind add up on a balcony."""
        least = _HEAVY_POT_CM if self.pot in _HEAVY_POTS else _HEAVY_CM
        return self.pot_diameter_cm >= least


def wet_and_cold(
    pot: str, medium: str, wetness: str, preferred_c: float | None = None
) -> list[CautionText]:
    """Return the caution of a pot that stays wet in the cold, or nothing.

    Parameters
    ----------
    pot, medium, wetness : str
    preferred_c : float, optional
        Night minimum that its plant prefers. [°C]
    """
    limit = "the minimum the plant prefers"
    if preferred_c is not None:
        limit = temperature(preferred_c)
    if pot == "self-watering":
        caution = RESERVOIR
    elif wetness == "wet" or any(word in medium for word in _WET_MEDIA):
        caution = WET_COLD
    else:
        return []
    return [CautionText(caution.topic, caution.text.format(limit=limit))]


def winter_rain(rest: str, *, rain: bool) -> list[CautionText]:
    """Return the caution of a plant that rests dry where rain reaches it, or nothing.

    Parameters
    ----------
    rest : str
        How the plant winters: none, drier, dry, cool or cool_dry.
    rain : bool
        Rain falls on the pot (`SpotKind.rain`).
    """
    if not rain or rest not in _RESTS:
        return []
    text = WINTER_RAIN.text.format(rest=_RESTS[rest])
    return [CautionText(WINTER_RAIN.topic, text)]


def short_caution(topic: str, text: str) -> tuple[int, str]:
    """Return how grave a caution is, 0 first, and a few words for it, or none.

    Parameters
    ----------
    topic, text : str
        Of a caution as printed in full.
    """
    if (topic, text) == (NOT_LISTED.topic, NOT_LISTED.text):
        return _RANKED.index(NOT_LISTED.topic), NOT_LISTED.short
    if topic not in _SHORT:
        return len(_RANKED), ""
    return _RANKED.index(topic), _SHORT[topic]


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
    out += winter_rain(about.rest, rain=about.rain)
    out += wet_and_cold(about.pot, about.medium, about.wetness, about.preferred_c)
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
