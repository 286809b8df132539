"""What helps most: each remedy alone, in hours below the plant's night minimum."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np

from climrisk.advice.after import must_not_dry
from climrisk.advice.cautions import (
    ESTIMATE,
    HEAT,
    LIFTING,
    LOAD,
    WIND,
    CautionText,
    wet_and_cold,
    winter_rain,
)
from climrisk.commands.remedies.result import Cost, RemediesResult, Remedy, RemedyKind
from climrisk.commands.shared.exposure_info import yearly_hours
from climrisk.commands.shared.exposures import sweep, sweep_heat
from climrisk.commands.shared.judgements import Judgement, Judgements, order_of
from climrisk.commands.shared.named_spots import SPOTS, NamedSpot
from climrisk.commands.shared.plant_limits import limit_info
from climrisk.commands.shared.request import AssessRequest
from climrisk.commands.shared.spot_and_pot import pot_info, spot_info
from climrisk.commands.shared.weather_info import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.core.arrays import Bool, Float
from climrisk.core.calendar import (
    WINTER_MONTHS,
    YEAR_H,
    day_of_season,
    month_day,
)
from climrisk.core.days import day_in_words
from climrisk.core.quantities import LENGTH, quantity, temperature
from climrisk.core.ranges import Band
from climrisk.core.typed_text import typed
from climrisk.core.version import __version__
from climrisk.exposure.hours import Exposure
from climrisk.pot.media import Wetness
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.site import Site
from climrisk.spot.transfer import prepare, spot_air_c, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.pot.model import FilledPot
    from climrisk.pot.root_zone import RootZones


#: Pots and media tried in place of the asked one.
_POTS = ("thick-plastic", "glazed-ceramic", "polystyrene")
_MEDIA = ("pine-bark-fine", "pumice", "sphagnum")
#: Spots shown at most: the best by air.
_BEST_SPOTS = 3
#: Open share of the wind screen tried.
_SCREEN = 0.5
#: What is not known of a pot, in its root zone (our estimate; `climrisk pots` measures
#: it for the pots it compares). [K]
_POT_K = 0.15
_OF_POT = ("pot", "medium", "drier", "stand")
#: What each kind of remedy takes, and the order in which they are listed.
_COST: dict[RemedyKind, Cost] = {
    "spot": "free",
    "curtain": "free",
    "distance": "free",
    "room": "free",
    "drier": "free",
    "stand": "free",
    "tie": "free",
    "pot": "cheap",
    "medium": "cheap",
    "fleece": "cheap",
    "wind screen": "cheap",
    "indoor months": "move",
}
_COSTS: tuple[Cost, ...] = ("free", "cheap", "move")
#: Distance from the pane that is tried, at which little of its cold is left. [cm]
_BACK_CM = 40.0
#: Less is no difference between two pots by night (our estimate, as in `pots`). [K]
_LEAST_K = 0.2
#: A cover is put on when the night would come so near the minimum. [K]
_NEAR_K = 2.0
_DRIER: dict[str, Wetness] = {"wet": "damp", "damp": "dry"}


@dataclass(frozen=True)
class _Felt:
    """Whether air and root zone are too cold, hour by hour, (time, member).

    `near` are the hours in which the roots are so near the limit that what is not
    known of a pot decides, by the mean member. `night_c` is the mean winter night low
    of the root zone by member, `root_year` its cold hours of a growing year.
    """

    air: Bool
    root: Bool
    near: float = 0.0
    night_c: Float | None = None
    root_year: Band | None = None


def remedies(
    weather: WeatherSeries,
    request: AssessRequest,
) -> RemediesResult:
    """Return remedies for a plant at a spot, free ones first, by hours saved.

    Parameters
    ----------
    weather : WeatherSeries
    request : AssessRequest
        With the rooms and spots of its home; the usual kinds where it names none.

    Raises
    ------
    InputError
        A plant without a night minimum.
    """
    only_known(weather.air_temp_c, weather)
    limits = request.limits
    prepared = prepare(
        weather, ensemble(request.members), spot_elevation_m=request.elevation_m
    )
    tried = _Tried(
        Judgements(prepared, request.rooms, request.spots, [limits]), request
    )
    rows = [
        *tried.spots(),
        *tried.inside(),
        *tried.pots(),
        *tried.media(),
        *tried.drier(),
        *tried.covers(),
        *tried.screen(),
        *tried.stand(),
        *tried.months(),
    ]
    rows += tried.tie()
    rows.sort(key=_order)
    assumed = assumed_info(prepared.assumed, [tried.kind])
    return RemediesResult(
        command="remedies",
        version=__version__,
        plant=request.plant.name,
        preferred=limit_info(limits.preferred),
        verdict=tried.here.verdict.word,
        state=request.state,
        weather=weather_info(weather, assumed),
        spot=spot_info(tried.kind, weather, request.members),
        pot=pot_info(request.pot, request.setup),
        members=request.members,
        years=round(tried.years, 2),
        air_hours_typical_year=tried.air_year,
        root_hours_typical_year=tried.root_year,
        air_hours_per_year=_hours(tried.base.air, tried.years),
        root_hours_per_year=_hours(tried.base.root, tried.years),
        remedies=rows,
        sentence=_sentence(tried, rows),
        cautions=caution_info(_cautions(tried)),
        files=[],
    )


def _cautions(tried: _Tried) -> list[CautionText]:
    kind, pot = tried.kind, tried.request.pot
    rows = [
        ESTIMATE,
        *winter_rain(tried.request.plant.rest, rain=kind.rain),
        *wet_and_cold(pot.kind, pot.medium_name, pot.water, tried.limit_c),
        LIFTING,
    ]
    if not kind.indoors:
        rows += [WIND, LOAD]
    if kind.group == "glazed":
        rows.append(HEAT)
    return rows


class _Tried:
    """Remedies tried one by one against the plant as it stands."""

    def __init__(self, home: Judgements, request: AssessRequest) -> None:
        self.home, self.request = home, request
        prepared = self.prepared = home.prepared
        self.limit_c = request.limits.preferred_c
        self.kind = request.kind(prepared.weather)
        self.zones = self._zones(self.kind)
        self.climate = self.zones.climate
        self.here, air = self._judgement(self.kind, self.climate.air_c)
        self.place = order_of(self.here, air)
        self.base = self._felt(self.zones, request.pot, nights=True)
        assert self.base.root_year is not None
        self.air_year, self.root_year = yearly_hours(air, 0), self.base.root_year
        known = np.isfinite(self.climate.air_c).all(axis=1)
        self.known = slice(None) if known.all() else known
        self.years = max(float(known.sum()) / YEAR_H, 1e-9)
        self.base_h = self._cold_h(self.base)

    def _judgement(self, kind: SpotKind, air_c: Float) -> tuple[Judgement, Exposure]:
        request = self.request
        air = sweep(self.prepared, air_c, [self.limit_c])
        hot = sweep_heat(self.prepared, air_c, request.limits)
        self.home.share(kind, air.nights, hot)
        return self.home.at(kind, request.plant, request.limits, request.risks), air

    def _better(self, places: Sequence[NamedSpot]) -> list[NamedSpot]:
        """Return the places that `spots` ranks above the present one, best first."""
        found = [
            order_of(*self._judgement(p.kind, spot_air_c(self.prepared, p.kind)))
            for p in places
        ]
        ranked = sorted(zip(found, places, strict=True), key=lambda pair: pair[0])
        return [place for rank, place in ranked if rank < self.place]

    def spots(self) -> list[Remedy]:
        """Other spots outdoors: the best three that rank above the present one."""
        if self.prepared.weather.source.measured_at == "spot" or self.kind.indoors:
            return []
        named = [s for s in self.request.spots if s.kind != self.kind]
        if not named:
            kinds = [spot_kind(n) for n in SPOTS if n != self.kind.name]
            named = [NamedSpot(k.words, k) for k in kinds]
        rows = []
        for spot in self._better(named)[:_BEST_SPOTS]:
            felt = self._felt(self._zones(spot.kind), self.request.pot)
            rows.append(
                self._row("spot", f"move it to {spot.name}", spot.kind.basis, felt)
            )
        return rows

    def inside(self) -> list[Remedy]:
        """For a plant indoors: a curtain, distance from the pane, another room."""
        kind = self.kind
        if not kind.indoors:
            return []
        tried: list[tuple[RemedyKind, str, SpotKind]] = []
        if kind.group == "sill":
            if kind.site.curtain != "glass-side":
                drawn = kind.with_site(Site(curtain="glass-side"))
                name = "a curtain drawn by night between plant and pane"
                tried.append(("curtain", name, drawn))
            if (kind.site.from_glass_cm or 0.0) < _BACK_CM:
                back = kind.with_site(Site(from_glass_cm=_BACK_CM))
                name = (
                    f"{quantity(LENGTH, _BACK_CM)} back from the pane (it is "
                    "darker there)"
                )
                tried.append(("distance", name, back))
        tried += [("room", f"in {room.name}", room.kind) for room in self._rooms()]
        return [
            self._row(what, name, k.basis, self._felt(self._zones(k), self.request.pot))
            for what, name, k in tried
        ]

    def _rooms(self) -> list[NamedSpot]:
        return self._better([r for r in self.home.rooms if r.kind != self.kind])

    def _zones(self, kind: SpotKind) -> RootZones:
        from climrisk.pot.root_zone import RootZones

        return RootZones(spot_climate(self.prepared, kind, only_pot=True))

    def pots(self) -> list[Remedy]:
        """Other pots of the same size; a wider one stays wet and cold for longer."""
        pot = self.request.pot
        return [
            self._in_pot("pot", f"a {k} pot", replace(pot, kind=k, color=None))
            for k in _POTS
            if k != pot.kind and pot.watered_every_d is None
        ]

    def media(self) -> list[Remedy]:
        """Other media, as wet as the plant's own."""
        from climrisk.pot.media import medium

        pot = self.request.pot
        return [
            self._in_pot("medium", f"{m} as medium", replace(pot, medium=medium(m)))
            for m in _MEDIA
            if m != pot.medium_name
        ]

    def drier(self) -> list[Remedy]:
        """Drier by night."""
        pot = self.request.pot
        if pot.kind == "self-watering":
            empty = replace(pot, kind="thin-plastic", wetness="damp")
            name = "empty the reservoir on cold nights and water from above"
            return [self._in_pot("drier", name, empty)]
        word = _DRIER.get(pot.wetness)
        if word is None or pot.watered_every_d:
            return []
        if word == "dry" and must_not_dry(self.request.plant):
            return []
        name = f"drier by night: {word} instead of {pot.wetness}"
        return [self._in_pot("drier", name, replace(pot, wetness=word))]

    def covers(self) -> list[Remedy]:
        """A cover on the nights that come near the minimum."""
        from climrisk.pot.root_zone import RootZones

        if self.kind.indoors:
            return []
        regimes, index = self.prepared.regimes.weight, self.prepared.nightly.index
        weight = np.asarray(regimes).reshape(len(regimes), -1)
        lowest = sweep(self.prepared, self.climate.air_c, []).nights.lowest_c
        near = np.nan_to_num(lowest, nan=np.inf) < self.limit_c + _NEAR_K
        dark = self.prepared.dark[:, None]
        rows = []
        for row in _covers():
            mean, sd = row["still_k"]
            gain = self.prepared.ensemble.value("evening", (mean, sd))
            lift = np.maximum(gain, 0.0) * weight * near
            warmer = self.climate.air_c + (dark * lift[index]).astype(np.float32)
            covered = replace(self.climate, air_c=warmer)
            felt = self._felt(RootZones(covered), self.request.pot)
            name = f"{row['name']} on cold nights"
            rows.append(self._row("fleece", name, row["basis"], felt))
        return rows

    def screen(self) -> list[Remedy]:
        """A wind screen before the plant."""
        if self.kind.indoors or self.kind.site.screen_open_frac is not None:
            return []
        kind = self.kind.with_site(Site(screen_open_frac=_SCREEN))
        felt = self._felt(self._zones(kind), self.request.pot)
        name = f"a wind screen {_SCREEN:.0%} open"
        return [self._row("wind screen", name, "measured nets", felt)]

    def stand(self) -> list[Remedy]:
        """Off the floor."""
        if self.request.pot.stand == "bench":
            return []
        pot = replace(self.request.pot, stand="bench")
        return [self._in_pot("stand", "stand it on a bench, off the floor", pot)]

    def months(self) -> list[Remedy]:
        """Indoors between its dates."""
        if self.kind.indoors or self.prepared.weather.typical:
            return []
        dates = self.here.dates
        into, out = dates.move_in.day, dates.move_out.day
        choice = self.here.room()
        if into is None or out is None or into >= out or choice is None:
            return []
        if not choice.serves:
            return []
        room = next(r for r in self.home.rooms if r.name == choice.room)
        felt = self._felt(self._zones(room.kind), self.request.pot)
        day = day_of_season(self.prepared.seasons.night, north=self.home.north)
        inside = ((day >= into) & (day < out))[:, None]
        moved = _Felt(
            np.where(inside, felt.air, self.base.air),
            np.where(inside, felt.root, self.base.root),
        )
        first, last = (
            day_in_words(month_day(d, north=self.home.north) or "01-01")
            for d in (into, out)
        )
        name = f"indoors from {first} to {last} ({room.name})"
        return [self._row("indoor months", name, "by its dates", moved)]

    def tie(self) -> list[Remedy]:
        """A tie: no hour is warmer, but the pot stands."""
        if self.kind.indoors:
            return []
        words = "it warms no hour; it keeps the pot from falling in wind"
        return [
            Remedy(
                kind="tie",
                cost=_COST["tie"],
                name="tie it, or stand it in a rack",
                basis="common practice, no source",
                air_hours_per_year=None,
                root_hours_per_year=None,
                air_saved_per_year=None,
                saved_per_year=None,
                warmer_by_night_k=None,
                clear=None,
                words=words,
            )
        ]

    def _in_pot(self, kind: RemedyKind, name: str, pot: FilledPot) -> Remedy:
        felt = self._felt(self.zones, pot, air=self.base.air, nights=True)
        return self._row(kind, name, "computed", felt)

    def _felt(
        self,
        zones: RootZones,
        pot: FilledPot,
        *,
        air: Bool | None = None,
        nights: bool = False,
    ) -> _Felt:
        root = zones.of(pot, setup=self.request.setup).mean_c
        cold = zones.climate.air_c < self.limit_c if air is None else air
        near = np.abs(root - self.limit_c) < _POT_K
        night = year = None
        if nights:
            swept = sweep(self.prepared, root, [self.limit_c])
            found, year = swept.nights, yearly_hours(swept, 0)
            winter = np.isin(found.month, WINTER_MONTHS[found.north])
            night = np.asarray(np.nanmean(found.lowest_c[winter], axis=0))
        unsure = float(near.mean(axis=1).sum())
        return _Felt(cold, root < self.limit_c, unsure, night, year)

    def _cold_h(self, felt: _Felt) -> list[Float]:
        """Return the cold hours of air and root zone where the air is known."""
        return [
            cold[self.known].sum(axis=0, dtype=float) for cold in (felt.air, felt.root)
        ]

    def _row(self, kind: RemedyKind, name: str, basis: str, felt: _Felt) -> Remedy:
        cold_h = self._cold_h(felt)
        air, roots = (
            Band.of((before - after) / self.years)
            for before, after in zip(self.base_h, cold_h, strict=True)
        )
        low, high = roots.low or 0.0, roots.high or 0.0
        if kind in _OF_POT:
            # Half of the hours that lie so near the limit may fall on either side.
            unsure = 0.5 * felt.near / self.years
            low, high = low - unsure, high + unsure
        clear = low > 0 or high < 0
        word = "helps" if low > 0 else "harms"
        night = None
        if felt.night_c is not None and self.base.night_c is not None:
            night = Band.of(felt.night_c - self.base.night_c).rounded(2)
        if not clear:
            word = "no clear difference"
        elif night is not None and _disagree(low > 0, night.mid):
            clear, word = False, _BY_NIGHT[low < 0]
        return Remedy(
            kind=kind,
            cost=_COST[kind],
            name=name,
            basis=basis,
            air_hours_per_year=Band.of(cold_h[0] / self.years).rounded(1),
            root_hours_per_year=Band.of(cold_h[1] / self.years).rounded(1),
            air_saved_per_year=air.rounded(1),
            saved_per_year=Band(low, roots.mid, high).rounded(1),
            warmer_by_night_k=night,
            clear=clear,
            words=word,
        )


#: Words for a pot that is warmer (True) or colder by night, and the other way by day.
_BY_NIGHT = {
    True: "warmer by night, but it warms less in the sun",
    False: "colder by night, but it warms more in the sun",
}


def _disagree(helps: bool, warmer_k: float | None) -> bool:  # noqa: FBT001
    """Whether hours saved and night lows point in opposite directions."""
    if warmer_k is None or abs(warmer_k) < _LEAST_K:
        return False
    return helps != (warmer_k > 0)


def _order(row: Remedy) -> tuple[int, float]:
    saved = row.saved_per_year
    # What saves no hours by its nature stands last among its kind of cost.
    hours = -(saved.mid or 0.0) if saved is not None else np.inf
    return _COSTS.index(row.cost), hours


def _hours(cold: Bool, years: float) -> Band:
    return Band.of(cold.sum(axis=0, dtype=float) / years).rounded(1)


def _sentence(tried: _Tried, rows: list[Remedy]) -> str:
    plant, at = tried.request.plant.name, tried.kind.at
    hours = tried.root_year.mid or 0.0
    lead = (
        f"{plant} {at}: its roots are below {temperature(tried.limit_c)} for "
        f"{hours:,.0f} "
        "hours of a typical year"
    )
    best = [
        (cost, next((r for r in rows if r.cost == cost and r.words == "helps"), None))
        for cost in _COSTS
    ]
    clauses = [
        f"{cost}: {typed(r.name)} (on average {r.saved_per_year.mid:,.0f} hours a year "
        "fewer)"
        for cost, r in best
        if r is not None and r.saved_per_year is not None
    ]
    if not clauses:
        return f"{lead}; no remedy tried makes a clear difference."
    return f"{lead}. What helps most: {'; '.join(clauses)}."


@lru_cache(maxsize=1)
def _covers() -> list[dict[str, Any]]:
    file = resources.files("climrisk.advice").joinpath("data/covers.toml")
    rows: list[dict[str, Any]] = tomllib.loads(file.read_text("utf-8"))["cover"]
    return rows
