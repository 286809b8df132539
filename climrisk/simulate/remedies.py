"""What helps most: each remedy alone, in hours below the plant's night minimum."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from climrisk import __version__
from climrisk.advice.cautions import ESTIMATE, HEAT, LIFTING, LOAD, WIND
from climrisk.advice.verdict import RANK
from climrisk.bands import Band
from climrisk.pot.media import Wetness
from climrisk.result.remedies import RemediesResult, Remedy, RemedyKind
from climrisk.seasons import day_of_season
from climrisk.simulate.asked import Question
from climrisk.simulate.describe import (
    assumed_info,
    caution_info,
    only_known,
    weather_info,
)
from climrisk.simulate.judge import sweep
from climrisk.simulate.judgements import Judgement, Judgements
from climrisk.simulate.named_spots import NamedSpot
from climrisk.simulate.place import pot_info, spot_info
from climrisk.simulate.planted import limit_info
from climrisk.simulate.serving import SPOTS
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.members import worlds
from climrisk.spot.site import Site
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.pot.model import Pot

Float = NDArray[np.floating]
Bool = NDArray[np.bool_]

#: Pots and media tried in place of the asked one.
_POTS = ("thick-plastic", "glazed-ceramic", "polystyrene")
_MEDIA = ("pine-bark-fine", "pumice", "sphagnum")
_WIDER_CM, _WIDEST_CM = 5.0, 50.0
#: Spots shown at most: the best by air.
_BEST_SPOTS = 3
#: Open share of the wind screen tried.
_SCREEN = 0.5
#: What is not known of a pot, in its root zone (our estimate; `climrisk pots` measures
#: it for the pots it compares). [K]
_POT_K = 0.15
_OF_POT = ("pot", "medium", "drier", "stand")
#: A cover is put on when the night would come so near the minimum. [K]
_NEAR_K = 2.0
_DRIER: dict[str, Wetness] = {"wet": "damp", "damp": "dry"}


@dataclass(frozen=True)
class _Felt:
    """Whether air and root zone are too cold, hour by hour, (time, member).

    `near` are the hours in which the roots are so near the limit that what is not
    known of a pot decides, by the mean world.
    """

    air: Bool
    root: Bool
    near: float = 0.0


def remedies(
    weather: WeatherSeries,
    asked: Question,
) -> RemediesResult:
    """Return remedies for a plant at a spot, the one that helps most first.

    Parameters
    ----------
    weather : WeatherSeries
    asked : Question
        With the rooms and spots of its home; the usual kinds where it names none.

    Raises
    ------
    InputError
        A plant without a night minimum.
    """
    only_known(weather.air_temp_c, weather)
    limits = asked.limits
    prepared = prepare(
        weather, worlds(asked.members), spot_elevation_m=asked.elevation_m
    )
    tried = _Tried(Judgements(prepared, asked.rooms, asked.spots, [limits]), asked)
    rows = [
        *tried.spots(),
        *tried.pots(),
        *tried.media(),
        *tried.drier(),
        *tried.covers(),
        *tried.screen(),
        *tried.stand(),
        *tried.months(),
    ]
    rows.sort(key=lambda r: -(r.saved_per_year.mid or 0.0) if r.saved_per_year else 0.0)
    rows += tried.tie()
    assumed = assumed_info(prepared.assumed)
    return RemediesResult(
        command="remedies",
        version=__version__,
        plant=asked.plant.name,
        preferred=limit_info(limits.preferred),
        verdict=tried.here.verdict.word,
        state=asked.state,
        weather=weather_info(weather, assumed),
        spot=spot_info(tried.kind, weather, asked.members),
        pot=pot_info(asked.pot, asked.setup),
        members=asked.members,
        years=round(tried.years, 2),
        air_hours_per_year=_hours(tried.base.air, tried.years),
        root_hours_per_year=_hours(tried.base.root, tried.years),
        remedies=rows,
        sentence=_sentence(tried, rows),
        cautions=caution_info(_cautions(tried.kind)),
        files=[],
    )


def _cautions(kind: SpotKind) -> list[Any]:
    rows = [ESTIMATE, LIFTING]
    if not kind.indoors:
        rows += [WIND, LOAD]
    if kind.group == "glazed":
        rows.append(HEAT)
    return rows


class _Tried:
    """Remedies tried one by one against the plant as it stands."""

    def __init__(self, home: Judgements, asked: Question) -> None:
        self.home, self.asked = home, asked
        prepared = self.prepared = home.prepared
        self.limit_c = asked.limits.preferred_c
        self.kind = asked.kind(prepared.weather)
        self.climate = spot_climate(prepared, self.kind)
        self.here = self._judgement(self.kind)
        self.base = self._felt(self.climate, asked.pot)
        known = np.isfinite(self.climate.air_c).all(axis=1)
        self.known = known
        self.years = max(float(known.sum()) / 8766, 1e-9)

    def _judgement(self, kind: SpotKind) -> Judgement:
        asked = self.asked
        return self.home.at(kind, asked.plant, asked.limits, asked.risks)

    def spots(self) -> list[Remedy]:
        """Other spots outdoors: the best three whose verdict is no worse."""
        if self.prepared.weather.source.measured_at == "spot" or self.kind.indoors:
            return []
        named = [s for s in self.asked.spots if s.kind != self.kind]
        if not named:
            kinds = [spot_kind(n) for n in SPOTS if n != self.kind.name]
            named = [NamedSpot(k.words, k) for k in kinds]
        found = [(self._judgement(s.kind), s) for s in named]
        most = RANK[self.here.verdict.word]
        better = [(j, s) for j, s in found if RANK[j.verdict.word] <= most]
        better.sort(
            key=lambda pair: (
                RANK[pair[0].verdict.word],
                *_nights_below(pair[0]),
            )
        )
        rows = []
        for _, spot in better[:_BEST_SPOTS]:
            felt = self._felt(spot_climate(self.prepared, spot.kind), self.asked.pot)
            rows.append(
                self._row("spot", f"move it to {spot.name}", spot.kind.basis, felt)
            )
        return rows

    def pots(self) -> list[Remedy]:
        """Other pots, and a wider one."""
        pot = self.asked.pot
        rows = [
            self._in_pot("pot", f"a {k} pot", replace(pot, kind=k, color=None))
            for k in _POTS
            if k != pot.kind and pot.watered_every_d is None
        ]
        if pot.diameter_cm + _WIDER_CM <= _WIDEST_CM:
            wider = replace(pot, diameter_cm=pot.diameter_cm + _WIDER_CM)
            rows.append(self._in_pot("pot", f"a pot {_WIDER_CM:g} cm wider", wider))
        return rows

    def media(self) -> list[Remedy]:
        """Other media, as wet as the plant's own."""
        from climrisk.pot.media import medium

        pot = self.asked.pot
        return [
            self._in_pot("medium", f"{m} as medium", replace(pot, medium=medium(m)))
            for m in _MEDIA
            if m != pot.medium_name
        ]

    def drier(self) -> list[Remedy]:
        """Drier by night."""
        pot = self.asked.pot
        word = _DRIER.get(pot.wetness)
        if word is None or pot.kind == "self-watering" or pot.watered_every_d:
            return []
        name = f"drier by night: {word} instead of {pot.wetness}"
        return [self._in_pot("drier", name, replace(pot, wetness=word))]

    def covers(self) -> list[Remedy]:
        """A cover on the nights that come near the minimum."""
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
            gain = self.prepared.worlds.value("evening", (mean, sd))
            lift = np.maximum(gain, 0.0) * weight * near
            warmer = self.climate.air_c + (dark * lift[index]).astype(np.float32)
            felt = self._felt(replace(self.climate, air_c=warmer), self.asked.pot)
            name = f"{row['name']} on cold nights"
            rows.append(self._row("fleece", name, row["basis"], felt))
        return rows

    def screen(self) -> list[Remedy]:
        """A wind screen before the plant."""
        if self.kind.indoors or self.kind.site.screen_open_frac is not None:
            return []
        kind = self.kind.told(Site(screen_open_frac=_SCREEN))
        felt = self._felt(spot_climate(self.prepared, kind), self.asked.pot)
        name = f"a wind screen {_SCREEN:.0%} open"
        return [self._row("wind screen", name, "measured nets", felt)]

    def stand(self) -> list[Remedy]:
        """Off the floor."""
        if self.asked.pot.stand == "bench":
            return []
        pot = replace(self.asked.pot, stand="bench")
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
        felt = self._felt(spot_climate(self.prepared, room.kind), self.asked.pot)
        day = day_of_season(self.prepared.seasons.night, north=self.home.north)
        inside = ((day >= into) & (day < out))[:, None]
        moved = _Felt(
            np.where(inside, felt.air, self.base.air),
            np.where(inside, felt.root, self.base.root),
        )
        name = f"indoors between its two dates, in {room.name}"
        return [self._row("indoor months", name, "by its dates", moved)]

    def tie(self) -> list[Remedy]:
        """A tie: no hour is warmer, but the pot stands."""
        if self.kind.indoors:
            return []
        words = (
            "it warms no hour; it keeps the pot from falling in wind (see wind in "
            "climrisk assess)"
        )
        return [
            Remedy(
                kind="tie",
                name="tie it, or stand it in a rack",
                basis="common practice, no source",
                air_hours_per_year=None,
                root_hours_per_year=None,
                air_saved_per_year=None,
                saved_per_year=None,
                clear=None,
                words=words,
            )
        ]

    def _in_pot(self, kind: RemedyKind, name: str, pot: Pot) -> Remedy:
        return self._row(
            kind, name, "computed", self._felt(self.climate, pot, air=self.base.air)
        )

    def _felt(
        self, climate: SpotClimate, pot: Pot, *, air: Bool | None = None
    ) -> _Felt:
        from climrisk.pot.root_zone import root_zone

        root = root_zone(climate, pot, setup=self.asked.setup).mean_c
        cold = climate.air_c < self.limit_c if air is None else air
        near = np.abs(root - self.limit_c) < _POT_K
        return _Felt(cold, root < self.limit_c, float(near.mean(axis=1).sum()))

    def _row(self, kind: RemedyKind, name: str, basis: str, felt: _Felt) -> Remedy:
        def saved(get: Callable[[_Felt], Bool]) -> Band:
            before, after = (get(f)[self.known] for f in (self.base, felt))
            hours = before.sum(axis=0, dtype=float) - after.sum(axis=0, dtype=float)
            return Band.of(hours / self.years)

        roots = saved(lambda f: f.root)
        low, high = roots.low or 0.0, roots.high or 0.0
        if kind in _OF_POT:
            # Half of the hours that lie so near the limit may fall on either side.
            unsure = 0.5 * felt.near / self.years
            low, high = low - unsure, high + unsure
        clear = low > 0 or high < 0
        word = "helps" if low > 0 else "harms"
        return Remedy(
            kind=kind,
            name=name,
            basis=basis,
            air_hours_per_year=_hours(felt.air[self.known], self.years),
            root_hours_per_year=_hours(felt.root[self.known], self.years),
            air_saved_per_year=saved(lambda f: f.air).rounded(1),
            saved_per_year=Band(low, roots.mid, high).rounded(1),
            clear=clear,
            words=word if clear else "no clear difference",
        )


def _nights_below(found: Judgement) -> tuple[float, float]:
    """Return the harmful and the cold nights of a median member."""
    lowest, limits = found.nights.lowest_c, found.limits
    return tuple(
        float(np.median((lowest < c).sum(axis=0)))
        for c in (limits.tolerated_c, limits.preferred_c)
    )  # type: ignore[return-value]


def _hours(cold: Bool, years: float) -> Band:
    return Band.of(cold.sum(axis=0, dtype=float) / years).rounded(1)


def _sentence(tried: _Tried, rows: list[Remedy]) -> str:
    plant, at = tried.asked.plant.name, tried.kind.at
    hours = _hours(tried.base.root, tried.years).mid or 0.0
    lead = (
        f"{plant} {at}: its roots are below {tried.limit_c:g} °C for {hours:.0f} hours "
        "a year"
    )
    best = [r for r in rows if r.clear and r.saved_per_year and r.words == "helps"]
    if not best:
        return f"{lead}; no remedy tried makes a clear difference."
    told = [
        f"{r.name} ({r.saved_per_year.mid:.0f} hours fewer)"
        for r in best[:3]
        if r.saved_per_year is not None
    ]
    return f"{lead}. What helps most: {'; '.join(told)}."


@lru_cache(maxsize=1)
def _covers() -> list[dict[str, Any]]:
    file = resources.files("climrisk.advice").joinpath("data/covers.toml")
    rows: list[dict[str, Any]] = tomllib.loads(file.read_text("utf-8"))["cover"]
    return rows
