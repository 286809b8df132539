"""Pots and media compared at a spot: which keeps the roots warmer by night, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from climrisk.advice.cautions import (
    DUST,
    ESTIMATE,
    LOAD,
    WIND,
    CautionText,
    wet_and_cold,
)
from climrisk.advice.limits import limits_of
from climrisk.commands.pots.result import NightCase, PotRow, PotsResult
from climrisk.commands.pots.water import PotWater, watered_every_d
from climrisk.commands.shared.exposures import sweep
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.commands.shared.wind import falls_band_km_h
from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.calendar import WINTER_MONTHS, as_date
from climrisk.core.errors import InputError
from climrisk.core.quantities import LENGTH, difference, quantity, temperature
from climrisk.core.ranges import Band
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.exposure.nights import Nights
from climrisk.exposure.toppling import Standing
from climrisk.pot.daily import daily_response
from climrisk.pot.grid import mean_capacity
from climrisk.pot.grid_shape import Setup
from climrisk.pot.model import FilledPot, PotNumbers
from climrisk.pot.root_zone import (
    REFERENCE_POT,
    USUAL_FILM_W_M2K,
    RootZones,
    time_constant_h,
)
from climrisk.pot.sensitivity import EFFECTS, variants, without
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.regimes import NightKind, of_kind
from climrisk.spot.transfer import Prepared, prepare, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


_MEMBERS = 5
#: Compared where none is named: three walls and three media that differ most.
#: A low counts as higher, and hours as more, from these on (our estimates).
_HIGHER_K, _MORE_HOURS = 0.02, 1.01
USUAL_POTS = ("thin-plastic", "terracotta", "self-watering")
USUAL_MEDIA = ("pine-bark-fine", "expanded-clay", "sphagnum")
USUAL_BELOW = (10.0, 5.0)
_MOST_ROWS = 30
#: Less than this is no difference that a root would notice (our estimate). [K]
_LEAST_K = 0.2
PotWord = Literal["warmer", "colder", "no clear difference", "reference"]


@dataclass(frozen=True)
class _Nights:
    """Night lows of a pot by member, its hours below thresholds and cold by season."""

    lowest_c: Float
    hours: Float
    cold: Float


@dataclass(frozen=True)
class PotsRequest:
    """Which pots are compared, where and for which plant.

    Parameters
    ----------
    spot : NamedSpot
    pots : sequence of FilledPot
    plant : Profile, optional
        Its preferred minimum is counted.
    state : str
    below : sequence of float
        Further thresholds; 10 and 5 °C where none is named. [°C]
    elevation_m : float, optional
    members : int
        Members of the spot; each pot is marched three times, as it may also be.
    setup : {"screening", "full"}
        How the pots are cut.
    plant_size : (float or None, float or None)
        Height above the rim and one-sided leaf area of the plant, for the wind; as
        usual for the narrowest pot where not said. [cm, cm²]
    usual_set : bool
        Whether the pots are a selection that nobody named.
    """

    spot: NamedSpot
    pots: Sequence[FilledPot]
    plant: Profile | None = None
    state: str = "established"
    below: Sequence[float] = ()
    elevation_m: float | None = None
    members: int = _MEMBERS
    setup: Setup = "screening"
    plant_size: tuple[float | None, float | None] = (None, None)
    usual_set: bool = False

    def preferred_c(self) -> float | None:
        """Return the night minimum that the plant prefers; None without a plant.

        Raises
        ------
        InputError
            A profile without one.
        """
        if self.plant is None:
            return None
        preferred_c = limits_of(self.plant, self.state).preferred_c
        if preferred_c is None:
            raise InputError(
                "the profile has no night minimum to judge by", where=self.plant.name
            )
        return preferred_c


def pots(weather: WeatherSeries, request: PotsRequest) -> PotsResult:
    """Return pots and media compared at a spot.

    Raises
    ------
    InputError
        No pot or too many, or a threshold out of range.
    """
    (spot, kind), compared = request.spot, request.pots
    validation.number_in(
        len(compared),
        1,
        _MOST_ROWS,
        what="number of pots",
        where=f"{field('pot')}, {field('medium')}",
    )
    for value in request.below:
        validation.threshold_c(value, where=field("below"))
    only_known(weather.air_temp_c, weather)
    members = validation.members(request.members)
    preferred = request.preferred_c()
    limits = sorted({*request.below, *([] if preferred is None else [preferred])})
    limits = limits or sorted(USUAL_BELOW)
    prepared = prepare(weather, ensemble(members), spot_elevation_m=request.elevation_m)
    reference = replace(REFERENCE_POT, stand=compared[0].stand)
    climate = spot_climate(prepared, kind, only_pot=True)
    water = PotWater(prepared, climate, max(limits) if preferred is None else preferred)
    table = _PotsTable(prepared, climate, limits, request.setup, reference, water)
    plant_stands = _planted(compared, request.plant_size)
    rows = [table.row(pot, preferred, plant_stands) for pot in compared]
    rows.sort(key=lambda r: -(r.warmer_k.mid or 0.0))
    assumed = assumed_info(prepared.assumed, [kind])
    return PotsResult(
        command="pots",
        version=__version__,
        plant=None if request.plant is None else request.plant.name,
        preferred_c=preferred,
        wet_and_cold_below_c=water.below_c,
        spot=spot,
        spot_kind=kind.name,
        spot_at=kind.at,
        members=members,
        weather=weather_info(weather, assumed),
        reference=_name(REFERENCE_POT),
        setup=request.setup,
        usual_set=request.usual_set,
        pots=rows,
        sentence=_sentence(rows, kind),
        nights_against_hours=_nights_against_hours(rows, max(limits)),
        cautions=caution_info(
            (ESTIMATE, *_wet(compared, preferred), *_outdoors(kind), DUST)
        ),
        files=[],
    )


class _PotsTable:
    """Pots at one spot; the reference is marched once."""

    def __init__(
        self,
        prepared: Prepared,
        climate: SpotClimate,
        limits: list[float],
        setup: Setup,
        reference: FilledPot,
        water: PotWater,
    ) -> None:
        self.water = water
        self.setup: Setup = setup
        self.usual = reference
        self.prepared, self.climate, self.limits = prepared, climate, limits
        swept = sweep(prepared, climate.air_c, [])
        self.air: Nights = swept.nights
        self.middle = climate.air_c.shape[1] // 2
        self.zones = RootZones(climate)
        self.reference = self._lowest_c(reference.numbers)
        months = WINTER_MONTHS[self.air.north]
        self.winter = np.isin(self.air.month, months)

    def _lowest_c(self, pot: PotNumbers) -> Float:
        """Return each night's lowest root zone of a pot, shape (night, member)."""
        root_c = self.zones.of(pot, setup=self.setup).mean_c
        return sweep(self.prepared, root_c, []).nights.lowest_c

    def _nights(self, pot: PotNumbers) -> _Nights:
        root_c = self.zones.of(pot, setup=self.setup).mean_c
        swept = sweep(self.prepared, root_c, self.limits)
        cold = self.water.cold_hours(root_c)
        return _Nights(swept.nights.lowest_c, swept.total_hours, cold)

    def row(self, pot: FilledPot, preferred: float | None, plant: Standing) -> PotRow:
        """Return the row of one pot."""
        numbers = pot.numbers
        many = [self._nights(v.numbers) for v in variants(numbers)]
        lowest = np.concatenate([n.lowest_c for n in many], axis=1)
        hours = np.concatenate([n.hours for n in many], axis=1)
        warmer = np.concatenate([self._warmer(n.lowest_c) for n in many])
        band = Band.of(warmer).rounded(2)
        word: PotWord = "reference" if pot == self.usual else _word(band)
        # The first variant is the pot as given.
        effects = (
            {} if word == "reference" else self._effects(numbers, many[0].lowest_c)
        )
        reason = _reason(word, effects)
        below = {
            f"{limit:g}": Band.of(hours[k]).rounded(0)
            for k, limit in enumerate(self.limits)
        }
        wave = daily_response(
            numbers.radius_m,
            numbers.conductivity_w_mk,
            mean_capacity(numbers),
            _through_wall(numbers),
        ).mean
        dried = self.water.dried(pot)
        stands = plant.repotted(pot)
        falls_m_s, falls_km_h = falls_band_km_h(stands)
        return PotRow(
            pot=pot.kind,
            medium=pot.medium_name,
            diameter_cm=pot.diameter_cm,
            time_constant_h=round(time_constant_h(pot), 2),
            daily_amplitude_ratio=round(wave.amplitude_ratio, 3),
            daily_lag_h=round(wave.lag_h, 2),
            lowest_c=Band.of(np.nanmin(lowest, axis=0)).rounded(1),
            hours_below=below,
            hours_below_preferred=None
            if preferred is None
            else below[f"{preferred:g}"],
            warmer_k=band,
            differs=word,
            effects_k=effects,
            reason=reason,
            worst_still_night=self._worst(lowest, "still"),
            worst_windy_night=self._worst(lowest, "windy"),
            reservoir=pot.kind == "self-watering",
            watered_every_d=watered_every_d(pot),
            dry_after_d=self.water.dry_after_d(dried),
            wet_and_cold_hours_per_year=None
            if not dried
            else self.water.wet_and_cold(pot, dried, [n.cold for n in many]),
            mass_kg=round(stands.mass_kg(), 2),
            falls_at_m_s=falls_m_s,
            falls_at_km_h=falls_km_h,
        )

    def _warmer(self, lowest_c: Float) -> Float:
        """Return the mean winter night low above the reference's, by member. [K]"""
        difference = (lowest_c - self.reference)[self.winter]
        return np.asarray(np.nanmean(difference, axis=0))

    def _effects(self, pot: PotNumbers, lowest_c: Float) -> dict[str, float]:
        """Return what each effect adds, found by switching it off in turn.

        The difference with all effects, less the difference without the one. Effects
        work on each other, so they need not add up.

        Parameters
        ----------
        pot : PotNumbers
        lowest_c : ndarray, shape (night, member)
            Of that pot.
        """
        whole = float(np.median(self._warmer(lowest_c)))
        out = {}
        for effect in EFFECTS:
            other = without(pot, effect, self.usual.numbers)
            if other == pot:
                continue
            rest = float(np.median(self._warmer(self._lowest_c(other))))
            out[effect] = round(whole - rest, 2)
        return out

    def _worst(self, lowest: Float, kind: NightKind) -> NightCase | None:
        """Return the coldest winter night of a kind by spot air."""
        which = of_kind(self.prepared.regimes.weight, kind)
        air = self.air.lowest_c[:, self.middle]
        rows = np.flatnonzero(which & self.winter & np.isfinite(air))
        if not len(rows):
            return None
        night = int(rows[np.argmin(air[rows])])
        return NightCase(
            evening=as_date(int(self.air.evening[night])).isoformat(),
            air_c=round(float(air[night]), 1),
            root_zone_c=Band.of(lowest[night]).rounded(1),
        )


def _wet(compared: Sequence[FilledPot], limit_c: float | None) -> list[CautionText]:
    """Return the cautions of pots that stay wet in the cold, each once."""
    lines = [
        text
        for pot in compared
        for text in wet_and_cold(pot.kind, pot.medium_name, pot.water, limit_c)
    ]
    return list(dict.fromkeys(lines))


def _outdoors(kind: SpotKind) -> tuple[CautionText, ...]:
    return () if kind.indoors else (WIND, LOAD)


def _planted(
    compared: Sequence[FilledPot], size: tuple[float | None, float | None]
) -> Standing:
    """Return the plant that all pots hold, in the narrowest of them."""
    narrowest = min(compared, key=lambda p: p.diameter_cm)
    return Standing(narrowest, *size, fits_cm=narrowest.diameter_cm)


def _through_wall(pot: PotNumbers) -> float:
    return 1 / (1 / USUAL_FILM_W_M2K + pot.wall_resistance_m2k_w + pot.contact_m2k_w)


def _word(band: Band) -> PotWord:
    if band.low is None or band.mid is None or band.high is None:
        return "no clear difference"
    if band.low > 0 and band.mid >= _LEAST_K:
        return "warmer"
    if band.high < 0 and band.mid <= -_LEAST_K:
        return "colder"
    return "no clear difference"


_BECAUSE = {
    ("evaporation", True): "it evaporates less",
    ("evaporation", False): "it evaporates more",
    ("radiation", True): "it takes up more sun or gives off less heat",
    ("radiation", False): "it takes up less sun",
    ("heat capacity", True): "it stores more of the day's heat",
    ("heat capacity", False): "it stores less heat",
    ("insulation", True): "its wall or medium lets the warmth out more slowly",
    ("insulation", False): "its wall or medium lets the warmth out faster",
    ("size", True): "it is bigger",
    ("size", False): "it is smaller",
}


def _reason(word: PotWord, effects: dict[str, float]) -> str:
    """Return the largest effects that push the way the pot differs."""
    if word == "reference":
        return "published minima are of plants in pots like this one"
    if word == "no clear difference":
        return "what speaks for it and against it lies within what is not known"
    sign = 1 if word == "warmer" else -1
    pushing = sorted(
        (e for e in effects.items() if sign * e[1] >= 0.1), key=lambda e: -sign * e[1]
    )
    if not pushing:
        return "several small effects together"
    causes = [_BECAUSE[name, value > 0] for name, value in pushing[:2]]
    return " and ".join(causes)


def _name(pot: FilledPot) -> str:
    return f"{quantity(LENGTH, pot.diameter_cm)} {pot.kind}, {pot.medium_name}"


def _nights_against_hours(rows: list[PotRow], limit_c: float) -> str | None:
    """Return why night lows and hours below a limit rank pots differently, if so.

    Lows are those of nights alone; hours count the day too.
    """
    slow = [
        f"{r.pot} with {r.medium}"
        for r in rows
        if any(_warmer_by_night_only(r, other, limit_c) for other in rows)
    ]
    if not slow:
        return None
    named = slow[0] if len(slow) == 1 else f"{', '.join(slow[:-1])} and {slow[-1]}"
    return (
        f"Night lows and hours below {temperature(limit_c)} rank these pots "
        "differently: an "
        "insulating wall, a reservoir or a wet medium cools less by night and warms "
        f"less by day, so the roots in {named} reach higher lows but spend more hours "
        "in the cold."
    )


def _warmer_by_night_only(pot: PotRow, other: PotRow, limit_c: float) -> bool:
    warmer, others_warmer = pot.warmer_k.mid, other.warmer_k.mid
    hours, others_hours = (r.hours_below[f"{limit_c:g}"].mid for r in (pot, other))
    if warmer is None or others_warmer is None or hours is None or others_hours is None:
        return False
    return warmer >= others_warmer + _HIGHER_K and hours > _MORE_HOURS * others_hours


def _sentence(rows: list[PotRow], kind: SpotKind) -> str:
    best, worst = rows[0], rows[-1]
    clear = [r for r in rows if r.differs in ("warmer", "colder")]
    if not clear or len(rows) == 1:
        return (
            f"On winter nights {kind.at} there is no clear difference: choose by how "
            "fast you want the medium to dry."
        )
    spread = (best.warmer_k.mid or 0.0) - (worst.warmer_k.mid or 0.0)
    return (
        f"On winter nights {kind.at} the roots are warmest in {best.pot} with "
        f"{best.medium} and coldest in {worst.pot} with {worst.medium}, "
        f"{difference(spread, 1)} colder on average."
    )
