"""From what a user types to a question."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from climrisk.commands.shared.own_limits import OwnLimits
from climrisk.commands.shared.plants import places_of
from climrisk.commands.shared.request import AssessRequest
from climrisk.core import validation
from climrisk.core.defaults import (
    DEFAULT_DIAMETER_CM,
    DEFAULT_MEDIUM,
    DEFAULT_POT,
    DEFAULT_RISK,
)
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.exposure.toppling import checked_plant
from climrisk.home import Home, HomePlant
from climrisk.inputs.option import Inputs
from climrisk.inputs.plant import STATES
from climrisk.plants.model import Profile
from climrisk.plants.names import read_as
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError, find
from climrisk.pot.grid_shape import SETUPS, Setup
from climrisk.pot.media import WETNESSES, Wetness
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.site import parse_site


@dataclass(frozen=True)
class PotWords:
    """A pot as typed; None takes the home's, else the reference pot's."""

    kind: str | None = None
    diameter_cm: float | None = None
    medium: str | None = None
    wetness: str | None = None
    crocking: str | None = None
    dressing: str | None = None
    stand: str | None = None
    watered_every_d: float | None = None
    color: str | None = None


def request_of(
    given: Inputs, home: Home | None, today: date, *, plant: str | Profile | None = None
) -> AssessRequest:
    """Return the request that a command's inputs make, checked before weather is read.

    What is not given comes from the home's entry of the plant, then from the home, then
    from the usual values.

    Parameters
    ----------
    given : Inputs
        Of a command about one plant; what it does not offer is left at the usual.
    home : Home, optional
    today : date
    plant : str or Profile, optional
        In place of the one given.

    Raises
    ------
    InputError
        A name that is not known or a number out of range, with what is allowed.
    """
    said = defaultdict(lambda: None, vars(given))
    limits = OwnLimits(
        *(said[n] for n in ("preferred", "tolerated", "hot_limit", "limit_source"))
    )
    typed, row, profile, other_name = _named(plant or said["plant"], home, limits)
    usual_risk = DEFAULT_RISK if home is None else home.risk
    if home is not None and row is not None:
        usual_risk = home.risk_of(row)
    state = plant_state(said["state"] or (row.state if row else None))
    risk = usual_risk if said["risk"] is None else said["risk"]
    height = said["elevation"]
    if height is not None:
        validation.elevation(height, where=field("elevation"))
    elif home is not None:
        height = home.height_m
    words, setup, members = pot_words(given), said["setup"], said["members"]
    checked_plant(said["plant_height"], said["leaf_area"])
    # A command that compares several spots has none of its own.
    spot, site = said["spot"], said["site"]
    if isinstance(spot, tuple):
        spot, site = None, ()
    return AssessRequest(
        plant=profile,
        typed=typed,
        spot=_spot(spot or (row.spot if row else None), home),
        pot=_pot(words, row, setup),
        today=today,
        state=state,
        risk=validation.risk(risk, where=field("risk")),
        spring=checked_spring(said["spring_risk"]),
        members=validation.members(1 if members is None else members),
        elevation_m=height,
        rooms=places_of(home, indoors=True),
        spots=places_of(home, indoors=False),
        strict=bool(said["strict"]),
        setup=pot_setup(setup, _watered(words, row, setup)),
        site=parse_site(site) if site else None,
        plant_height_cm=said["plant_height"] or (row.plant_height_cm if row else None),
        leaf_area_cm2=said["leaf_area"] or (row.leaf_area_cm2 if row else None),
        read_as=other_name,
    )


def pot_words(given: Inputs) -> PotWords:
    """Return a pot as given; what a command does not offer is left open."""
    return PotWords(
        *(
            vars(given).get(name)
            for name in ("pot", "pot_diameter", "medium", "wetness", "crocking")
        ),
        *(
            vars(given).get(name)
            for name in ("top_dressing", "stands_on", "watered_every", "pot_color")
        ),
    )


def profile_of(plant: str | None, home: Home | None) -> Profile | None:
    """Return the profile of a plant, as a home's answers mean it; None without one."""
    if plant is None:
        return None
    return find(plant) if home is None else home.profile(plant)


def _named(
    plant: str | Profile, home: Home | None, limits: OwnLimits | None
) -> tuple[str, HomePlant | None, Profile, str | None]:
    """Return the name as asked, the home's plant, if any, the profile, and its name.

    The last is None where what was asked is one of the profile's names.
    """
    if isinstance(plant, Profile):
        return plant.name, None, plant, None
    own = None if limits is None else limits.checked()
    entry = _labelled(home, plant)
    known = find if home is None else home.profile
    typed = plant if entry is None else entry.name
    try:
        profile = known(typed)
    except (AmbiguousPlantError, UnknownPlantError) as error:
        if own is None or not own.given or not error.unlisted:
            raise
        return plant, None, own.profile(plant, None), None
    other_name = read_as(profile, typed)
    entry = entry or _entry_of(home, profile)
    if own is not None and own.given:
        profile = own.profile(plant, profile)
    return plant, entry, profile, other_name


def checked_spring(spring_risk: float | None) -> float | None:
    """Return the risk of spring as said; None follows from that of autumn."""
    if spring_risk is None:
        return None
    return validation.risk(spring_risk, where=field("spring_risk"))


def plant_state(state: str | None) -> str:
    """Return the state of a plant; settled where it is not said."""
    state = state or "established"
    _word(state, STATES, what="unknown plant state", where=field("state"))
    return state


def pot_wetness(wetness: str | None) -> Wetness:
    """Return the wetness of a medium; damp where it is not said."""
    word = wetness or "damp"
    _word(word, WETNESSES, what="unknown wetness", where=field("wetness"))
    return WETNESSES[word]


def pot_setup(setup: str | None, watered_every_d: float | None = None) -> Setup:
    """Return how a pot is cut; screening where it is not said.

    The water of a pot needs the full one.
    """
    usual = "screening" if watered_every_d is None else "full"
    word = setup or usual
    _word(word, SETUPS, what="unknown set-up", where=field("setup"))
    if watered_every_d is not None and word != "full":
        raise InputError(
            "drying between waterings needs the full set-up",
            where=field("watered_every"),
            value=field("setup", word),
            allowed=field("setup", "full"),
            next_step=f"leave {field('setup')} out",
        )
    return "full" if word == "full" else "screening"


def _labelled(home: Home | None, typed: str) -> HomePlant | None:
    """Return the home's plant that its keeper calls so."""
    rows = home.plant if home else ()
    wanted = typed.strip().lower()
    return next((r for r in rows if r.label and r.label.lower() == wanted), None)


def _entry_of(home: Home | None, profile: Profile) -> HomePlant | None:
    """Return the home's first entry of a plant."""
    rows = home.entries() if home else ()
    return next((row for row, found in rows if found.name == profile.name), None)


def _spot(spot: str | None, home: Home | None) -> SpotKind | None:
    if spot is None:
        return None
    if home is not None and home.knows_spot(spot):
        return home.spot_named(spot).as_kind
    return spot_kind(spot)


def _pot(words: PotWords, entry: HomePlant | None, setup: str | None) -> FilledPot:
    wetness = words.wetness or (entry.wetness if entry else None)
    own_cm = entry.pot_diameter_cm if entry else DEFAULT_DIAMETER_CM
    return FilledPot.named(
        words.kind or (entry.pot if entry else DEFAULT_POT),
        own_cm if words.diameter_cm is None else words.diameter_cm,
        words.medium or (entry.medium if entry else DEFAULT_MEDIUM),
        wetness=pot_wetness(wetness),
        stand=words.stand or (entry.stands_on if entry else None),
        watered_every_d=_watered(words, entry, setup),
        color=words.color or (entry.pot_color if entry else None),
    ).with_layers(
        words.crocking or (entry.crocking if entry else None),
        words.dressing or (entry.top_dressing if entry else None),
    )


def _watered(
    words: PotWords, entry: HomePlant | None, setup: str | None
) -> float | None:
    """Return the days between waterings; the quick set-up leaves the home's out."""
    if words.watered_every_d is None and entry is not None and setup != "screening":
        return entry.watered_every_days
    return words.watered_every_d


def _word(value: str, allowed: Iterable[str], *, what: str, where: str) -> None:
    words = tuple(allowed)
    if value not in words:
        raise InputError(what, where=where, value=value, allowed=" ".join(words))
