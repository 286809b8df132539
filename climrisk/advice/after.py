"""After the cold: when to look again, and what not to do.

Nothing here promises anything. Signs of cold come late, and most of what is done in the
first days does more harm than the waiting.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


@dataclass(frozen=True)
class Rule:
    """A piece of advice and what it rests on.

    Parameters
    ----------
    text : str
    basis : str
        ``published``, with sources, or what else it is, in words.
    sources : tuple of str
        Keys of the sources of the profiles.
    """

    text: str
    basis: str
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Look:
    """A day on which to look, for what, and why then."""

    day: date
    after_d: int
    what: str
    rule: Rule


_SOCIETY = ("published", ("AOS_DAMAGE",))
_GROWERS = ("growers' reports", ())
_USUAL = ("common practice, no source", ())

#: What helps: shade, moist moving air, no heat, time.
DO = (
    Rule(
        "Keep the plants shaded, moderately warm, in moist and moving air.", *_SOCIETY
    ),
    Rule(
        "Look after wet pots first: let the medium dry once, then water sparingly "
        "until new growth shows.",
        *_USUAL,
    ),
    Rule(
        "Plants without pseudobulbs, tubers or succulent leaves must not dry out: "
        "water them lightly once the top of the medium is dry.",
        *_USUAL,
    ),
    Rule("Wait for new growth and new root tips before judging a plant.", *_GROWERS),
    Rule("Write down how cold it was: damage shows when that is forgotten.", *_USUAL),
)
DO_NOT = (
    Rule("Throw no plant away yet: marks come days later, root harm later.", *_SOCIETY),
    Rule("No bright light, dry air or heat now: they make chilling worse.", *_SOCIETY),
    Rule("Do not feed a chilled plant until it grows again.", *_GROWERS),
    Rule("Do not soak it, and do not pour warm water on it.", *_USUAL),
    Rule("Do not cut leaves before the marks have stopped spreading.", *_USUAL),
    Rule("Do not set it over a heater.", *_USUAL),
)

#: Orchids that grow from one stem, slippers and others without pseudobulbs, by the
#: first word of the profile's name (textbook botany, from memory).
_NO_STORE = frozenset(
    {
        *("Aerangis", "Aerides", "Angraecum", "Disa", "Dracula", "Ludisia"),
        *("Masdevallia", "Paphiopedilum", "Phalaenopsis", "Phragmipedium"),
        *("Pleurothallis", "Rhynchostylis", "Sarcochilus", "Tolumnia", "Vanda"),
        *("Vanilla", "Nepenthes"),
    }
)
#: Families of succulents (textbook botany, from memory).
_SUCCULENT = frozenset({"Aizoaceae", "Cactaceae", "Crassulaceae"})


def must_not_dry(plant: Profile) -> bool:
    """Whether a plant is known to have little to live on when its medium dries out.

    So are plants that take no drier rest, and orchids without pseudobulbs; not those
    that rest dry, nor succulents. False is "not known", not "may dry out".
    """
    if plant.rest in ("dry", "cool_dry") or plant.family in _SUCCULENT:
        return False
    return plant.rest == "none" or plant.name.split(" ")[0].strip(",") in _NO_STORE


def looks(ended: date, *, north: bool) -> list[Look]:
    """Return the days on which to look at plants after a cold event.

    Parameters
    ----------
    ended : date
        The last cold day.
    north : bool
        Roots are looked at on 1 April in the north, on 1 October in the south.
    """
    spring = date(ended.year, 4 if north else 10, 1)
    if spring <= ended + timedelta(days=7):
        spring = spring.replace(year=spring.year + 1)
    return [
        Look(
            ended + timedelta(days=3),
            3,
            "leaves and buds: glassy, sunken or darkening patches, buds that yellow",
            Rule("marks are seen days after the cold, not in it", *_SOCIETY),
        ),
        Look(
            ended + timedelta(days=7),
            7,
            "the same again, and the crown and the newest growth",
            Rule("about a week on, most marks on leaves have shown", *_GROWERS),
        ),
        Look(
            spring,
            (spring - ended).days,
            "roots: tip the plant out when new tips should show",
            Rule("harm to roots may show only in spring", *_GROWERS),
        ),
    ]
