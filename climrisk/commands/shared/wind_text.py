"""Wind at a spot and the falling of a pot, as words."""

from __future__ import annotations

from climrisk.commands.shared.wind_result import Toppling, Wind
from climrisk.core.quantities import AREA, LENGTH, MASS, SPEED
from climrisk.core.ranges import Band
from climrisk.core.wording import month_heads
from climrisk.render.display_units import number, quantity, unit
from climrisk.render.tables import table

HELPS_HEADER = ("what helps, each alone", "then withstands a gust of", "source")

#: Fewer nights a year than one in ten years are called unlikely.
_FEW_NIGHTS = 0.1


def wind_lines(result: Wind) -> list[str]:
    """Return sentences about wind and the falling of the pot."""
    thrown = result.toppling
    if thrown is None:
        reason = result.unknown_because.get("toppling", "")
        return [] if "indoors" in reason else [f"Wind: {reason}."]
    lines = [_falls(thrown)]
    if thrown.nights_per_year is not None and thrown.hours_per_year is not None:
        lines.append(_often(thrown))
    else:
        reason = thrown.unknown_because.get("hours", "unknown")
        lines.append(f"How often it blows so is not known: {reason}.")
    return lines


def _falls(thrown: Toppling) -> str:
    how = {"tipping": "tips over", "sliding": "is pushed along"}[thrown.by]
    text = (
        f"Wind: with {quantity(MASS, thrown.mass_kg, 1)} the pot {how} in a gust at "
        "the plant of "
        f"{_speeds(thrown.falls_at_km_h)}, dried out "
        f"({quantity(MASS, thrown.mass_dry_kg, 1)}) "
        f"of {_speeds(thrown.falls_when_dry_km_h)}"
    )
    if thrown.assumed:
        size = (
            f"{quantity(LENGTH, thrown.plant_height_cm, 0)} high, "
            f"{quantity(AREA, thrown.leaf_area_cm2, 0)}"
        )
        text += f"; the plant is taken to be of usual size ({size} of leaves)"
    return text + "."


def _often(thrown: Toppling) -> str:
    nights, hours = thrown.nights_per_year, thrown.hours_per_year
    assert nights is not None
    assert hours is not None
    strongest = thrown.strongest_gust_km_h
    seen = "" if strongest is None else f"; the strongest gust was {_speeds(strongest)}"
    if not nights.high and not hours.high:
        return f"No gust on record tips it there{seen}."
    expected = thrown.expected_nights_per_year
    low, high = nights.low or 0.0, nights.high or 0.0
    span = f"8 chances in 10: {low:,.1f} to {high:,.1f}"
    if expected is None:
        text = f"It may fall on some nights a year ({span})"
    elif expected < _FEW_NIGHTS:
        text = f"Wind is unlikely to tip it there ({span} nights a year)"
    else:
        text = f"On average it may fall on {expected:,.1f} nights a year ({span})"
    text += f"{seen}."
    if thrown.hours is not None and thrown.hours.unknown:
        text += f" The gusts of {thrown.hours.unknown:,.0f} hours are not known."
    return text


def month_rows(thrown: Toppling) -> list[list[str]]:
    """Return the mean nights on which the pot may fall, by month."""
    by_month = thrown.expected_nights_by_month or {}
    cells = ("?" if n is None else f"{n:.1f}" for n in by_month.values())
    return [["nights it may fall, on average", *cells]] if by_month else []


def month_header(thrown: Toppling) -> list[str]:
    """Return the months in the order of the result."""
    months = thrown.expected_nights_by_month or {}
    return ["", *month_heads(months)]


def helps_rows(thrown: Toppling) -> list[tuple[str, str, str]]:
    """Return what helps, best first."""
    return [
        (
            h.what,
            "–" if h.stands_km_h is None else quantity(SPEED, h.stands_km_h, 0),
            h.basis,
        )
        for h in thrown.helps
    ]


def wind_text(result: Wind) -> str:
    """Return wind and falling as sentences and a table of what helps."""
    lines = wind_lines(result)
    if result.toppling is None:
        return "\n".join(lines)
    thrown = result.toppling
    parts = ["\n".join(lines)]
    if thrown.expected_nights_by_month:
        parts.append(table(month_header(thrown), month_rows(thrown)))
    return "\n\n".join([*parts, table(HELPS_HEADER, helps_rows(thrown))])


def _speeds(band: Band) -> str:
    """Return a band of speeds with its unit."""
    if band.low is None or band.mid is None or band.high is None:
        return f"? {unit(SPEED)}"
    low, mid, high = (number(SPEED, v, 0) for v in (band.low, band.mid, band.high))
    shown = mid if low == high else f"{mid} ({low} to {high})"
    return f"{shown} {unit(SPEED)}"
