"""Spots ranked, as words for a terminal."""

from __future__ import annotations

from climrisk.commands.spots.result import SpotRow, SpotsResult
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import DEGREES, DEGREES_APART, DIFFERENCE
from climrisk.core.ranges import Band
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, month_spans
from climrisk.render.display_units import number, temperature
from climrisk.render.tables import table
from climrisk.render.text import weather_text

#: The last month of a growing year is the brightest, the sixth the darkest, in both
#: halves of the Earth.
_BRIGHT, _DARK = 11, 5
AROUND = (
    "spot",
    f"building surface, {DEGREES_APART} warmer",
    f"floor, {DEGREES_APART} warmer",
    f"low sky, {DEGREES_APART} warmer",
)
NIGHTS = (
    "spot",
    "hours a winter on clear calm nights",
    "on windy or cloudy nights",
    "share of the station's wind",
)


#: Nights a year on which a pot may fall that are worth a word.
_FALLS = 5


def spots_answer(result: SpotsResult) -> Answer:
    """Return the best spot, then all of them with their verdict and the reason."""
    best = [r for r in result.spots if r.rank == 1]
    name = short_name(result.plant)
    suits = bool(best) and best[0].word not in ("poor match", "cannot say")
    if suits:
        headline = f"For {name} the {best[0].spot} is best: {best[0].word.upper()}"
    else:
        headline = f"No spot suits {name}."
    rows = [(f"{r.rank}", r.spot, r.word, _short_why(r, result)) for r in result.spots]
    alike = _alike(result) if suits else []
    parts: list[Part] = [Rows(rows, rank=1, least=4, what="more spot")]
    if alike:
        text = f"No clear difference from the best: {', '.join(alike)}."
        parts.append(Words(text, rank=2))
    parts.append(Words(_limits(result), rank=2, tight=bool(alike)))
    return Answer(
        headline,
        parts,
        "hours, wind, light, reasons",
        result.cautions,
        result.files,
    )


def _alike(result: SpotsResult) -> list[str]:
    """Return spots that do not differ clearly from the best."""
    return [r.spot for r in result.spots[1:] if r.differs_from_best is False]


def _limits(result: SpotsResult) -> str:
    return (
        f"It prefers nights above {temperature(result.preferred_c)} and tolerates "
        f"{temperature(result.tolerated_c)}; nights are those of a usual year."
    )


def _short_why(row: SpotRow, result: SpotsResult) -> str:
    """Return the main reason for a spot's rank, in a few words."""
    inside = [int(m) for m, state in row.months.items() if state == "in"]
    harmful, hot = row.harmful_nights.mid, row.hours_above_hot_limit
    if row.word == "poor match":
        text = row.why
    elif row.word in ("indoors in winter", "summers outdoors"):
        text = f"in {month_spans(inside)}" if inside else row.why
    elif harmful:
        text = f"{harmful:.0f} nights below {temperature(result.tolerated_c)}"
    elif row.cold_nights.mid:
        text = (
            f"{row.cold_nights.mid:.0f} nights below {temperature(result.preferred_c)}"
        )
    elif hot is not None and hot.mid:
        text = f"{hot.mid:,.0f} hot hours"
    else:
        text = f"no night below {temperature(result.preferred_c)}"
    fallen = row.wind.toppling
    falls = None if fallen is None else fallen.expected_nights_per_year
    if falls is not None and falls >= _FALLS:
        text += f"; may fall on {falls:.0f} windy nights"
    return text


def spots_text(result: SpotsResult) -> str:
    """Return everything: ranking, reasons and what the surroundings add."""
    parts = [result.sentence, table(header(result), rows(result))]
    parts.append(
        "\n".join(f"{r.rank}. {r.spot}: {r.why}; {r.reason}" for r in result.spots)
    )
    parts.append(table(air_header(result), air_rows(result)))
    around = around_rows(result)
    if around:
        parts.append(
            "What the surroundings add to the roots' winter night lows:\n\n"
            + table(AROUND, around)
        )
    parts += [f"Written: {path}" for path in result.files]
    parts += [c.text for c in result.cautions]
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def header(result: SpotsResult) -> tuple[str, ...]:
    """Return the header of the ranking."""
    return (
        "rank",
        "spot",
        "verdict",
        f"nights/year < {temperature(result.tolerated_c)}",
        f"h/year < {temperature(result.preferred_c)}",
        "clear calm nights, h a winter",
        "windy nights, h a winter",
        "too hot, h/year",
        f"coldest on record, {DEGREES}",
        "wind",
    )


def rows(result: SpotsResult) -> list[tuple[str, ...]]:
    """Return the ranking."""
    return [
        (f"{r.rank}", r.spot, r.word, *cold[:2], *nights[1:3], *cold[2:], nights[3])
        for r, cold, nights in zip(
            result.spots, cold_cells(result), night_rows(result), strict=True
        )
    ]


def cold_cells(result: SpotsResult) -> list[tuple[str, str, str, str]]:
    """Return harmful nights, cold hours, hot hours and the coldest night of spots."""
    return [
        (
            _band(r.harmful_nights),
            _band(r.hours_below_preferred),
            "?" if r.hours_above_hot_limit is None else _band(r.hours_above_hot_limit),
            _band(r.lowest_c, digits=1),
        )
        for r in result.spots
    ]


def night_rows(result: SpotsResult) -> list[tuple[str, str, str, str]]:
    """Return on which nights the cold hours of spots come, and their wind."""
    return [
        (
            r.spot,
            _band(r.still_nights.hours_below_preferred),
            _band(r.windy_nights.hours_below_preferred),
            f"{r.wind_share:.0%}",
        )
        for r in result.spots
    ]


def air_header(result: SpotsResult) -> tuple[str, ...]:
    """Return the header of dry air, light and wind."""
    return (
        "spot",
        "hard drying, h/year, most in",
        f"light, mol/m² a day, {_ends(result)}",
        "direct sun, h a day",
        "nights/year the pot may fall",
    )


def air_rows(result: SpotsResult) -> list[tuple[str, ...]]:
    """Return dry air, light and falling pots of every spot, in the same order."""
    return [(r.spot, _drying(r), *_light(r), _falls(r)) for r in result.spots]


def _drying(row: SpotRow) -> str:
    """Return the hours above the middle level of the deficit and their season."""
    hard = list(row.dryness.vpd_per_year.values())[1]
    by_season = {
        s.season: list(s.hours_above_vpd.values())[1].mid or 0.0
        for s in row.dryness.seasons
    }
    most = max(by_season, key=lambda name: by_season[name])
    return _band(hard) + (f", {most}" if by_season[most] else "")


def _light(row: SpotRow) -> tuple[str, str]:
    months = list(row.light.months.values())
    both = (months[_BRIGHT], months[_DARK])
    return (
        " / ".join(_mid(m.daily_light_mol_m2) for m in both),
        " / ".join(_mid(m.direct_sun_h) for m in both),
    )


def _falls(row: SpotRow) -> str:
    if row.wind.toppling is None:
        return (
            "indoors" if "indoors" in row.wind.unknown_because["toppling"] else "hangs"
        )
    nights = row.wind.toppling.nights_per_year
    expected = row.wind.toppling.expected_nights_per_year
    if nights is None or nights.low is None or nights.high is None:
        return "?"
    middle = nights.mid if expected is None else expected
    return f"{middle:,.1f} ({nights.low:,.0f} to {nights.high:,.0f})"


def _ends(result: SpotsResult) -> str:
    months = list(result.spots[0].light.months)
    return " / ".join(MONTH_NAMES[int(months[k]) - 1] for k in (_BRIGHT, _DARK))


def around_rows(result: SpotsResult) -> list[tuple[str, ...]]:
    """Return what each thing around adds at spots outdoors."""
    return [
        (
            r.spot,
            *(number(DIFFERENCE, v, 1, signed=True) for v in r.surroundings_k.values()),
        )
        for r in result.spots
        if r.surroundings_k
    ]


def _mid(band: Band) -> str:
    return "?" if band.mid is None else f"{band.mid:.1f}"


def _band(band: Band, digits: int = 0) -> str:
    if band.mid is None or band.low is None or band.high is None:
        return "?"
    if band.low == band.high:
        return f"{band.mid:,.{digits}f}"
    low, high = (f"{v:,.{digits}f}" for v in (band.low, band.high))
    return f"{band.mid:,.{digits}f} ({low} to {high})"
