"""After a cold event: what each plant met, from a record or from words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, cast

import numpy as np
from numpy.typing import NDArray

from climrisk.advice import after
from climrisk.advice import cautions as caution
from climrisk.advice.cold_dose import Grade, graded, signs_of
from climrisk.advice.limits import limits_of
from climrisk.commands.event.cold import Cold, band_of, lowest_of
from climrisk.commands.event.result import (
    DoseMet,
    EventResult,
    EventSource,
    LimitMet,
    LookRow,
    Outlook,
    PlantMet,
    ReportRow,
    RuleRow,
    SignsRow,
    SpotMet,
)
from climrisk.commands.shared.exposure_info import middle_member
from climrisk.commands.shared.facts import on_spot
from climrisk.commands.shared.standing import StandingPlant
from climrisk.commands.shared.weather_info import caution_info
from climrisk.core.days import day, day_in_words
from climrisk.core.quantities import temperature
from climrisk.core.ranges import Band
from climrisk.core.version import __version__
from climrisk.plants.registry import sources
from climrisk.render.document import WeatherInfo
from climrisk.weather.typed.event_text import TypedCold

if TYPE_CHECKING:
    from climrisk.advice.limits import PlantLimits


#: What a grade says in two words.
_OUTLOOK: dict[Grade, Outlook] = {
    "harm": "expect damage",
    "beyond": "expect damage",
    "conflict": "watch",
    "open": "watch",
    "effect": "no damage reported",
    "endured": "no damage reported",
    "within": "not too cold",
    "unknown": "cannot say",
}
#: Plants to worry about first; of an unknown dose more than of one others came through.
_ORDER = ("expect damage", "watch", "cannot say", "no damage reported", "not too cold")
_WET = {"wet": 0, "damp": 1, "dry": 2, None: 1}
_NO_RECORD = "typed words give only bounds"


def event(
    colds: Sequence[Cold],
    standing: Sequence[StandingPlant],
    *,
    source: EventSource,
    ended: date,
    north: bool,
    home: str = "home",
    weather: WeatherInfo | None = None,
) -> EventResult:
    """Return what each plant met and when to look again.

    Parameters
    ----------
    colds : sequence of Cold
        The spots that were asked about.
    standing : sequence of StandingPlant
        Plants on them.
    source : EventSource
    ended : date
        The last cold day.
    north : bool
    home : str
    weather : WeatherInfo, optional
    """
    by_name = {c.name: c for c in colds}
    plants = [_plant(one, by_name[one.potted.spot], ended) for one in standing]
    plants.sort(
        key=lambda p: (
            _WET[p.wetness],
            _ORDER.index(p.outlook),
            -(p.preferred.hours.low or 0.0) if p.preferred else 0.0,
            p.label,
        )
    )
    watch = [
        LookRow(
            date=look.day.isoformat(),
            after_d=look.after_d,
            what=look.what,
            why=look.rule.text,
            basis=look.rule.basis,
            sources=list(look.rule.sources),
        )
        for look in after.looks(ended, north=north)
    ]
    texts = [caution.ESTIMATE]
    if any(c.kind.indoors or c.kind.group == "glazed" for c in colds):
        texts.append(caution.HEAT)
    do_not, do = _rules(after.DO_NOT), _rules(after.DO) + _keep_moist(plants)
    return EventResult(
        command="event",
        version=__version__,
        home=home,
        told=source,
        weather=weather,
        ended=ended.isoformat(),
        spots=[c.row for c in colds],
        hours=[hour for c in colds for hour in c.hours()],
        plants=plants,
        watch=watch,
        do_not=do_not,
        do=do,
        sentence=_sentence(source, colds, plants, watch),
        sources=_sources(plants, [*watch, *do_not, *do]),
        cautions=caution_info(texts),
        files=[],
    )


def _plant(one: StandingPlant, cold: Cold, ended: date) -> PlantMet:
    potted = one.potted
    limits = limits_of(potted.plant, potted.state)
    dose = graded(
        potted.plant, cold.met(), limits.preferred_c, potted.state, limits.tolerated_c
    )
    lowest = cold.row.lowest_c.mid
    root, because = Band(None, None, None), "typed words hold no hours for the pot"
    if cold.words is None:
        because = "no pot was named"
    if one.pot is not None and repr(one.pot) in cold.roots:
        root = band_of(lowest_of(cold.roots[repr(one.pot)]), 1)
        because = "" if root.mid is not None else "the pot's hours are not known yet"
    row = PlantMet(
        plant=potted.plant.name,
        label=potted.label,
        count=potted.count,
        state=potted.state,
        spot=cold.name,
        wetness=None if one.pot is None else one.pot.water,
        preferred=_limit_met(limits.preferred_c, cold),
        tolerated=_limit_met(limits.tolerated_c, cold),
        lowest_c=cold.row.lowest_c,
        root_lowest_c=root,
        root_unknown_because=because or None,
        outlook=_OUTLOOK[dose.grade],
        frost=lowest is not None and lowest < 0.0 < limits.tolerated_c,
        must_not_dry=after.must_not_dry(potted.plant),
        dose=DoseMet(
            grade=dose.grade,
            words=dose.words,
            reports=[
                ReportRow(
                    outcome=r.outcome,
                    at_or_below_c=r.at_or_below_c,
                    hours=r.hours,
                    nights=r.nights,
                    told=r.wording,
                    basis=r.basis,
                    sources=list(r.sources),
                )
                for r in dose.reports
            ],
        ),
        signs=[
            SignsRow(
                first=(ended + timedelta(days=float(s.first_d))).isoformat(),
                last=(ended + timedelta(days=float(s.last_d))).isoformat(),
                told=s.wording,
                basis=s.basis,
                sources=list(s.sources),
            )
            for s in signs_of(potted.plant)
        ],
        sentence="",
    )
    return row.model_copy(update={"sentence": _plant_words(row, limits)})


def _limit_met(limit_c: float | None, cold: Cold) -> LimitMet | None:
    if limit_c is None:
        return None
    if cold.words is not None:
        return _limit_from_words(limit_c, cold.words)
    assert cold.air_c is not None
    below = cold.air_c < limit_c
    deep = np.where(below, limit_c - cold.air_c, 0.0)
    unknown = int(np.isnan(middle_member(cold.air_c)).sum())
    runs = [_longest(below[:, c]) for c in range(below.shape[1])]
    because = f"{unknown} hours of these days are not known" if unknown else None
    return LimitMet(
        limit_c=limit_c,
        hours=Band.of(below.sum(axis=0), unknown=unknown).rounded(1),
        degree_hours=Band.of(deep.sum(axis=0), unknown=unknown).rounded(1),
        longest_run_h=Band.of(runs, unknown=unknown).rounded(1),
        unknown_because=because,
    )


def _limit_from_words(limit_c: float, words: TypedCold) -> LimitMet:
    """Return the bounds that a lowest temperature and hours below another give."""
    if words.lowest_c >= limit_c:
        none = Band.exact(0.0)
        return LimitMet(
            limit_c=limit_c,
            hours=none,
            degree_hours=none,
            longest_run_h=none,
            unknown_because=None,
        )
    hours, below = words.hours, words.below_c
    if hours is None or below is None:
        return LimitMet(
            limit_c=limit_c,
            hours=Band(None, None, None),
            degree_hours=Band(None, None, None),
            longest_run_h=Band(None, None, None),
            unknown_because="the words do not say how long it was below this limit",
        )
    if limit_c == below:
        band = Band.exact(hours)
        deep = Band(0.0, None, round(hours * (limit_c - words.lowest_c), 1))
    elif limit_c > below:
        band = Band(hours, None, None)
        deep = Band(round(hours * (limit_c - below), 1), None, None)
    else:
        band = Band(0.0, None, hours)
        deep = Band(0.0, None, round(hours * (limit_c - words.lowest_c), 1))
    return LimitMet(
        limit_c=limit_c,
        hours=band,
        degree_hours=deep,
        longest_run_h=band,
        unknown_because=None if limit_c == below else _NO_RECORD,
    )


def _longest(flags: NDArray[np.bool_]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def hours_words(met: LimitMet) -> str:
    """Return the hours below a limit as words: 7, at least 7, at most 7, 5 to 9."""
    low, mid, high = met.hours.low, met.hours.mid, met.hours.high
    if low is None and high is None:
        return "an unknown time"
    if high is None:
        return f"at least {low:g} h"
    if mid is None:
        return f"at most {high:g} h"
    if low == high:
        return f"{mid:g} h"
    return f"{mid:g} h ({low:g} to {high:g})"


def _plant_words(row: PlantMet, limits: PlantLimits) -> str:
    if row.preferred is None:
        return f"{row.label}: the profile has no night minimum to judge by."
    parts = [
        f"{hours_words(row.preferred)} below the {temperature(limits.preferred_c)} it "
        "prefers"
    ]
    if row.tolerated is not None:
        parts.append(
            f"{hours_words(row.tolerated)} below the "
            f"{temperature(limits.tolerated_c)} it "
            "tolerates on single nights"
        )
    else:
        parts.append("no tolerated minimum is known")
    wet = f" ({row.wetness} medium)" if row.wetness else ""
    if row.frost:
        parts.insert(0, "frost")
    dose = row.dose.words[:1].upper() + row.dose.words[1:]
    return f"{row.label}{wet}: {', '.join(parts)}. {dose}."


def _rules(rules: Sequence[after.Rule]) -> list[RuleRow]:
    return [RuleRow(text=r.text, basis=r.basis, sources=list(r.sources)) for r in rules]


def _sources(
    plants: Sequence[PlantMet], others: Sequence[LookRow | RuleRow]
) -> dict[str, str]:
    """Return title and publisher of every source that is named."""
    keys: set[str] = set()
    for plant in plants:
        for report in plant.dose.reports:
            keys.update(report.sources)
        for signs in plant.signs:
            keys.update(signs.sources)
    for other in others:
        keys.update(other.sources)
    known = sources()
    return {
        k: f"{known[k].publisher}: {known[k].title}" for k in sorted(keys & set(known))
    }


def _keep_moist(plants: Sequence[PlantMet]) -> list[RuleRow]:
    """Return which of the plants must not dry out, as far as their profiles say."""
    labels = list(dict.fromkeys(p.label for p in plants if p.must_not_dry))
    if not labels:
        return []
    return [
        RuleRow(
            text=f"Must not dry out here: {'; '.join(labels)}.",
            basis="our reading of their profiles: no dry rest, or no storage organs",
            sources=[],
        )
    ]


def _sentence(
    source: EventSource,
    colds: Sequence[Cold],
    plants: Sequence[PlantMet],
    watch: Sequence[LookRow],
) -> str:
    """Return the cold, frost and the plants it is worst for; then when to look."""
    rows = [c.row for c in colds if c.row.lowest_c.mid is not None]
    if not rows:
        return f"Nothing is known of {day(source.first)} to {day(source.last)}."
    coldest = min(rows, key=lambda r: cast("float", r.lowest_c.mid))
    days = day_in_words(source.first)
    if source.first != source.last:
        days += f" to {day_in_words(source.last)}"
    lowest = cast("float", coldest.lowest_c.mid)
    where = on_spot(coldest.name, coldest.kind)
    text = f"{days}: {_frost(rows, lowest)}down to {temperature(lowest)} {where}"
    if plants:
        text += f"{_tender(plants)}. {_too_cold(plants)}"
    third, week, spring = (day_in_words(w.date) for w in watch[:3])
    return (
        f"{text}. Damage shows late: look on {third} and {week}, and at the roots on "
        f"{spring}."
    )


def _frost(rows: Sequence[SpotMet], lowest: float) -> str:
    if lowest < 0:
        return "frost, "
    possible = any(r.lowest_c.low is not None and r.lowest_c.low < 0 for r in rows)
    return "frost possible, " if possible else ""


def _tender(plants: Sequence[PlantMet]) -> str:
    """Return the plants that stood in frost and tolerate none."""
    frosted = [p for p in plants if p.frost]
    if not frosted:
        return ""
    if len(frosted) == len(plants) and len({p.label for p in plants}) > 3:
        return f"; all {sum(p.count for p in plants)} plants stood in it"
    return f"; in it stood {_named(frosted)}, which tolerate none"


def _too_cold(plants: Sequence[PlantMet]) -> str:
    """Return how many plants got too cold, and for which to expect damage."""
    cold = [p for p in plants if p.outlook not in ("not too cold", "cannot say")]
    count, every = sum(p.count for p in cold), sum(p.count for p in plants)
    if not count:
        return "No plant is known to have got colder than it should"
    if every == 1:
        text = "The plant got colder than it should"
    elif count == every:
        text = f"All {every} plants got colder than they should"
    else:
        text = f"{count} of {every} plants got colder than they should"
    worst = sum(p.count for p in plants if p.outlook == "expect damage")
    if worst and worst == every:
        return f"{text}: expect damage"
    return text + (f"; expect damage to {worst}" if worst else "")


def _named(plants: Sequence[PlantMet], most: int = 3) -> str:
    """Return plants as "2 Cattleya; Vanda; 3 others"."""
    count: dict[str, int] = {}
    for p in plants:
        count[p.label] = count.get(p.label, 0) + p.count
    names = [label if n == 1 else f"{n} {label}" for label, n in count.items()]
    if len(names) > most:
        names[most:] = [f"{sum(list(count.values())[most:])} others"]
    return "; ".join(names)
