"""The summary of each result: its short answer with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.bands import Band
from climrisk.plants.registry import short_name
from climrisk.report.answer import Answer, day_of
from climrisk.report.arrive_text import arrive_answer
from climrisk.report.assess_text import assess_answer
from climrisk.report.calendar_text import calendar_answer
from climrisk.report.event_text import event_answer
from climrisk.report.figures.evening_svg import evening_svg
from climrisk.report.figures.year_svg import year_svg
from climrisk.report.learn_text import learn_answer
from climrisk.report.logger_text import logger_answer
from climrisk.report.pots_text import pots_answer, short_pot
from climrisk.report.remedies_text import remedies_answer
from climrisk.report.review_text import review_answer
from climrisk.report.several_text import several_answer
from climrisk.report.spots_text import spots_answer
from climrisk.report.stations_text import stations_answer
from climrisk.report.summary import Summary, Tile, summary, tiles_of
from climrisk.report.text import exposure_answer
from climrisk.report.tonight_text import tonight_answer
from climrisk.report.winter_text import winter_answer
from climrisk.result.arrive import ArriveResult
from climrisk.result.assess import AssessResult, PotInfo
from climrisk.result.calendar import CalendarResult
from climrisk.result.event import EventResult
from climrisk.result.exposure import ExposureResult
from climrisk.result.learn import LearnResult
from climrisk.result.logger import LoggerResult
from climrisk.result.pots import PotRow, PotsResult
from climrisk.result.remedies import RemediesResult
from climrisk.result.review import ReviewResult
from climrisk.result.several import AssessSeveral
from climrisk.result.spots import SpotsResult
from climrisk.result.stations import StationsResult
from climrisk.result.tonight import TonightResult
from climrisk.result.winter import WinterResult
from climrisk.wording import plural

_UNKNOWN = "?"


def assess_summary(result: AssessResult, today: date) -> Summary:
    """Return the verdict, both dates and the coldest night, and its year."""
    answer, found = assess_answer(result), result.verdict
    beside = [f"may also be {found.may_be}"] if found.may_be else []
    beside += ["every cold night counts as harmful"] if found.strict else []
    return summary(
        answer,
        [result.plant.name, _bare(result.spot.words), _pot(result.pot)],
        word=found.word,
        tiles=tiles_of(answer, _more_facts(result)),
        beside=beside,
        draw=lambda viewer: year_svg(result, today, viewer),
        chart_title=f"Its year {result.spot.at}",
    )


def check_summary(result: AssessResult | AssessSeveral, today: date) -> Summary:
    """Return the summary for a plant, or for all that a name may mean."""
    if isinstance(result, AssessResult):
        return assess_summary(result, today)
    first = result.choices[0].result
    understood = [result.asked, _bare(first.spot.words), _pot(first.pot)]
    return summary(_without_command(several_answer(result)), understood)


def _without_command(answer: Answer) -> Answer:
    """Return an answer without its last two parts: how to ask again in a terminal."""
    return Answer(answer.headline, answer.parts[:-2], answer.details, answer.cautions)


def _more_facts(result: AssessResult) -> list[Tile]:
    """Return facts for an answer with fewer than two dates."""
    winters, cold = result.winters, result.air.preferred_per_growing_year
    harmful = winters.with_harmful_night
    inside = sum(state == "in" for state in result.months.values())
    tiles = []
    if winters.n and harmful is not None and harmful.mid is not None:
        tiles.append(
            Tile(
                "Winters with a harmful night",
                f"{harmful.mid:.0f} of {winters.n}",
                "colder than it tolerates",
            )
        )
    tiles.append(Tile("Months too cold there", f"{inside} of 12", "stays inside then"))
    if cold is not None and cold.typical is not None:
        days = cold.typical / 24
        tiles.append(
            Tile("Too cold in a usual year", f"{days:.0f} d", "below what it prefers")
        )
    return tiles


def tonight_summary(result: TonightResult, _: date) -> Summary:
    """Return tonight: the counts are the title, the spots are the chart."""
    return summary(
        tonight_answer(result),
        [result.forecast.understood or f"forecast for {result.forecast.place}"],
        draw=lambda viewer: evening_svg(result, viewer),
        chart_title="Lowest tonight, by spot",
    )


def arrive_summary(result: ArriveResult, _: date) -> Summary:
    """Return whether a new plant may go to its place, and until when."""
    lowest = result.coming.lowest_c
    out = "now" if result.put_out_now else _day(result.hold_until)
    tiles = [
        Tile("May go out", out, _bare(result.spot.words)),
        Tile("Can stay until", _day(result.stays_until), "then it comes in"),
        Tile(
            f"Coldest in {plural(result.weeks, 'week')}", _mid(lowest), _between(lowest)
        ),
    ]
    understood = [
        result.plant.name,
        _bare(result.spot.words),
        f"{result.weeks} weeks ahead",
    ]
    return summary(arrive_answer(result), understood, tiles=tiles)


def event_summary(result: EventResult, _: date) -> Summary:
    """Return how cold it was and what to expect of which plants."""
    known = [s for s in result.spots if s.lowest_c.mid is not None]
    coldest = min(known, key=lambda s: s.lowest_c.mid or 0.0, default=None)
    total = sum(p.count for p in result.plants)

    def counted(outlook: str) -> str:
        return (
            f"{sum(p.count for p in result.plants if p.outlook == outlook)} of {total}"
        )

    tiles = [
        Tile(
            "Lowest",
            _UNKNOWN if coldest is None else f"{coldest.lowest_c.mid:.1f} °C",
            "" if coldest is None else f"on the {coldest.name}",
        ),
        Tile("Expect damage", counted("expect damage"), "by what is reported"),
        Tile("Watch", counted("watch"), "for weeks, see below"),
    ]
    told = result.told
    days = day_of(told.first) if told.first == told.last else ""
    days = days or f"{day_of(told.first)} to {day_of(told.last)}"
    return summary(
        event_answer(result), [days, told.words or "by the record"], tiles=tiles
    )


def spots_summary(result: SpotsResult, _: date) -> Summary:
    """Return the best spot and how cold it gets there."""
    best = result.spots[0]
    good = ("suits", "suits with moves")
    suited = sum(r.word in good for r in result.spots)
    word = best.word if best.word not in ("poor match", "cannot say") else ""
    tiles = [
        Tile("Spots that suit", f"{suited} of {len(result.spots)}", "all year"),
        Tile("Coldest at the best", _mid(best.lowest_c), best.spot),
        Tile("Harmful nights there", _count(best.harmful_nights), "in a usual year"),
    ]
    return summary(
        spots_answer(result),
        [result.plant, plural(len(result.spots), "spot"), result.pot],
        word=word,
        tiles=tiles,
    )


def pots_summary(result: PotsResult, _: date) -> Summary:
    """Return which pot keeps roots warmest, and which dries first."""
    warm, cold = result.pots[0], result.pots[-1]
    dry = min(result.pots, key=lambda r: _or_last(r.dry_after_d["winter"].mid))
    tiles = [
        Tile("Warmest roots", _mid(warm.lowest_c), _named(warm, result)),
        Tile("Coldest roots", _mid(cold.lowest_c), _named(cold, result)),
        Tile("First dry, winter", _days(dry), _named(dry, result)),
    ]
    return summary(
        pots_answer(result),
        [plural(len(result.pots), "pot"), result.spot, result.plant or ""],
        tiles=tiles,
    )


def _named(pot: PotRow, result: PotsResult) -> str:
    return short_pot(pot, result) or pot.medium


def _days(pot: PotRow) -> str:
    days = pot.dry_after_d["winter"].mid
    return _UNKNOWN if days is None else plural(days, "day")


def remedies_summary(result: RemediesResult, _: date) -> Summary:
    """Return what helps most for nothing, for little and by moving."""
    hours = result.root_hours_typical_year.mid
    now = _UNKNOWN if hours is None else plural(hours / 24, "day")
    tiles = [Tile("Cold roots now", now, "in a usual year")]
    clear = [r for r in result.remedies if r.saved_per_year and r.clear is not False]
    for words, costs in (("Best for little", ("free", "cheap")), ("Best of all", ())):
        found = [r for r in clear if not costs or r.cost in costs]
        best = max(found, key=lambda r: _least(r.saved_per_year), default=None)
        saved = None if best is None else best.saved_per_year
        value = "nothing" if saved is None else f"−{plural(_least(saved) / 24, 'day')}"
        tiles.append(Tile(words, value, "" if best is None else best.name))
    understood = [result.plant, _bare(result.spot.words), _pot(result.pot)]
    return summary(remedies_answer(result), understood, tiles=tiles)


def winter_summary(result: WinterResult, _: date) -> Summary:
    """Return how cold a winter was."""
    shown = next((w for w in result.winters if w.label == result.shown), None)
    tiles: list[Tile] = []
    if shown is not None and result.thresholds:
        key = f"{result.thresholds[0].threshold_c:g}"
        nights, hours = shown.cold_nights[key], shown.hours_below[key]
        when = shown.lowest_evening
        tiles = [
            Tile(
                f"Nights below {key} °C", f"{nights}", f"of {len(result.nights)} nights"
            ),
            Tile(
                f"Hours below {key} °C",
                f"{hours:,.0f}",
                f"about {plural(hours / 24, 'day')}",
            ),
            Tile(
                "Coldest night",
                _UNKNOWN if shown.lowest_c is None else f"{shown.lowest_c:.1f} °C",
                "" if when is None else day_of(when),
            ),
        ]
    plant = "" if result.plant is None else short_name(result.plant)
    understood = [f"winter {result.shown}", _bare(result.spot_words), plant]
    return summary(winter_answer(result), understood, tiles=tiles)


def review_summary(result: ReviewResult, _: date) -> Summary:
    """Return the winter looked back on."""
    rank = result.rank
    below = sum(p.count for p in result.plants if p.nights_below_tolerated)
    total = sum(p.count for p in result.plants)
    coldest = result.coldest[0] if result.coldest else None
    lowest = None
    if coldest is not None:
        lowest = coldest.logger_c if coldest.logger_c is not None else coldest.model_c
    tiles = [
        Tile(
            "Coldest night",
            _UNKNOWN if lowest is None else f"{lowest:.1f} °C",
            "" if coldest is None else day_of(coldest.evening),
        ),
        Tile(
            "Winters that were colder",
            _UNKNOWN if rank is None else f"{rank.by_mean - 1} of {rank.winters - 1}",
            "on average",
        ),
        Tile(
            "Plants past their limit",
            f"{below} of {total}",
            "colder than they tolerate",
        ),
    ]
    understood = [f"winter {result.shown}", result.spot, result.home]
    return summary(review_answer(result), understood, tiles=tiles)


def learn_summary(result: LearnResult, _: date) -> Summary:
    """Return how a spot differs from its station."""
    after, before = result.error_after_k, result.error_before_k
    tiles = [
        Tile(
            "On calm nights", f"{result.offset_still_k:+.1f} K", "against the station"
        ),
        Tile(
            "On windy nights", f"{result.offset_windy_k:+.1f} K", "against the station"
        ),
        Tile(
            "Predicted to within",
            _UNKNOWN if after is None else f"±{after:.1f} K",
            "" if before is None else f"±{before:.1f} K before",
        ),
    ]
    days = f"{day_of(result.first)} to {day_of(result.last)}"
    return summary(learn_answer(result), [result.spot, days], tiles=tiles)


def exposure_summary(result: ExposureResult, _: date) -> Summary:
    """Return how good a record is."""
    weather = result.weather
    first, last = int(weather.first[:4]), int(weather.last[:4])
    tiles = [
        Tile("Hours known", f"{100 * weather.coverage_frac:.0f} %", "of the record"),
        Tile("Lowest", f"{result.lowest_c:.1f} °C", day_of(result.lowest_at)),
        Tile("Years", f"{max(1, last - first)}", f"{first} to {last}"),
    ]
    return summary(exposure_answer(result), [weather.source], tiles=tiles)


def stations_summary(result: StationsResult, _: date) -> Summary:
    """Return the best station near a place."""
    tiles: list[Tile] = []
    if result.stations:
        best = result.stations[0]
        away, high = best.distance_km, best.elevation_m
        tiles = [
            Tile("Distance", _UNKNOWN if away is None else f"{away:.0f} km", best.name),
            Tile(
                "Height", _UNKNOWN if high is None else f"{high:.0f} m", "above the sea"
            ),
            Tile("Record since", (best.first or _UNKNOWN)[:4], "hours are kept"),
        ]
    return summary(stations_answer(result), ["Stations near"], tiles=tiles)


def logger_summary(result: LoggerResult, _: date) -> Summary:
    """Return what a logger's file is."""
    known = result.weather.coverage_frac
    tiles = [
        Tile("Hours known", f"{100 * known:.0f} %", "of the file's days"),
        Tile(
            "Nights that count",
            f"{result.nights_counted} of {result.nights}",
            "known enough",
        ),
        Tile("Lowest", f"{result.lowest_c:.1f} °C", "by the hour"),
    ]
    return summary(logger_answer(result), [result.weather.source], tiles=tiles)


def calendar_summary(result: CalendarResult, _: date) -> Summary:
    """Return what should be inside by now, and the next moves."""
    return summary(calendar_answer(result), [result.home])


def _bare(words: str) -> str:
    """Return the words of a spot without their article."""
    for article in ("a ", "an ", "the "):
        if words.startswith(article):
            return words.removeprefix(article)
    return words


def _pot(pot: PotInfo) -> str:
    return f"{pot.diameter_cm:g} cm {pot.kind.replace('-', ' ')}"


def _day(iso: str | None) -> str:
    return "–" if iso is None else day_of(iso)


def _mid(band: Band | None) -> str:
    return _UNKNOWN if band is None or band.mid is None else f"{band.mid:.1f} °C"


def _between(band: Band | None) -> str:
    if band is None or band.low is None or band.high is None:
        return ""
    return f"most likely {band.low:.0f} to {band.high:.0f} °C"


def _count(band: Band) -> str:
    return _UNKNOWN if band.mid is None else f"{band.mid:.0f}"


def _least(band: Band | None) -> float:
    return 0.0 if band is None or band.mid is None else band.mid


def _or_last(value: float | None) -> float:
    return float("inf") if value is None else value
