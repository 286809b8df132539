"""What is asked about a plant."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from climrisk.advice.dates import spring_risk
from climrisk.advice.limits import PlantLimits, limits_of
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.core.defaults import DEFAULT_MEMBERS, DEFAULT_RISK, DEFAULT_SPOT
from climrisk.exposure.toppling import Standing
from climrisk.pot.grid_shape import Setup
from climrisk.spot.kinds import SpotKind, measured_somewhere, spot_kind
from climrisk.spot.site import Site
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile
    from climrisk.pot.model import FilledPot


@dataclass(frozen=True)
class AssessRequest:
    """What is asked about a plant.

    Parameters
    ----------
    plant : Profile
    typed : str
        The name as the user wrote it.
    read_as : str, optional
        Name of the profile, where what was written is none of its names.
    spot : SpotKind
    pot : FilledPot
    state : str
        ``established in-spike unrooted new-import``.
    risk : float
        Of autumn: accepted share of years with a harmful night before moving in.
    spring : float, optional
        Of spring; twice that of autumn up to 25 % where not said.
    members : int
        Ensemble members; 1 is the median alone.
    today : date
    elevation_m : float, optional
        Height of the home.
    rooms, spots : tuple of NamedSpot
        Rooms and outdoor spots of the home; without rooms, the usual ones are tried.
    strict : bool
        Treat every night below the preferred minimum as harmful.
    site : Site, optional
        Particulars of the spot.
    setup : {"screening", "full"}
        How the pot is cut.
    plant_height_cm, leaf_area_cm2 : float, optional
        Size of the plant, for the wind; as usual for its pot where not said.
    """

    plant: Profile
    typed: str
    spot: SpotKind | None
    pot: FilledPot
    today: date
    state: str = "established"
    risk: float = DEFAULT_RISK
    spring: float | None = None
    members: int = DEFAULT_MEMBERS
    elevation_m: float | None = None
    rooms: tuple[NamedSpot, ...] = ()
    spots: tuple[NamedSpot, ...] = ()
    strict: bool = False
    site: Site | None = None
    setup: Setup = "screening"
    plant_height_cm: float | None = None
    leaf_area_cm2: float | None = None
    read_as: str | None = None

    @property
    def limits(self) -> PlantLimits:
        """Limits of the plant in its state."""
        return limits_of(self.plant, self.state, strict=self.strict)

    @property
    def risks(self) -> tuple[float, float]:
        """Risks of autumn and spring."""
        return self.risk, self.spring_risk

    @property
    def standing(self) -> Standing:
        """Pot and plant as the wind meets them."""
        return Standing(self.pot, self.plant_height_cm, self.leaf_area_cm2)

    @property
    def spring_risk(self) -> float:
        """Risk of the spring date."""
        return spring_risk(self.risk, self.spring)

    def at_default_spot(self, weather: WeatherSeries) -> AssessRequest:
        """Return the question with the usual spot where none was named.

        A record measured at the spot needs no offset; else a roofed balcony.
        """
        return replace(self, spot=self.kind(weather))

    def kind(self, weather: WeatherSeries) -> SpotKind:
        """Return the spot, or the usual one where none was named."""
        return at_record(self.spot, weather, len(self.spots)).with_site(self.site)


def at_record(
    kind: SpotKind | None, weather: WeatherSeries, spots: int = 0
) -> SpotKind:
    """Return the spot that is asked about, or the usual one, in a record.

    A record measured at a spot was measured at this one, and its air is taken as it is,
    unless the home has several `spots` outdoors: then none is known to be the place.
    """
    at_spot = weather.source.measured_at == "spot"
    if at_spot and (kind is None or kind.name == "as-measured"):
        somewhere = measured_somewhere()
        return somewhere.with_site(None if kind is None else kind.site)
    if kind is None:
        kind = spot_kind(DEFAULT_SPOT)
    return replace(kind, measured_here=at_spot and spots < 2)
