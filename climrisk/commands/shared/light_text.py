"""Light and dry air at a spot, as words."""

from __future__ import annotations

from climrisk.commands.shared.light_result import Dryness, Light
from climrisk.core.ranges import Band
from climrisk.core.wording import month_heads
from climrisk.render.tables import table


def light_header(light: Light) -> list[str]:
    """Return the months in the order of the result."""
    return ["", *month_heads(light.months)]


def light_rows(light: Light) -> list[list[str]]:
    """Return daily light and direct sun by month, middle of the spread."""
    months = light.months.values()
    return [
        ["light, mol/m² a day", *(_one(m.daily_light_mol_m2) for m in months)],
        ["direct sun, h a day", *(_one(m.direct_sun_h) for m in months)],
    ]


def clock_rows(light: Light) -> list[list[str]]:
    """Return a row for each hour with sun: the share of days by month."""
    rows = []
    for hour in range(24):
        shares = [day[hour] for day in light.sun_by_hour.values()]
        if any(shares):
            cells = ("?" if s is None else f"{100 * s:.0f}" for s in shares)
            rows.append([f"{hour} h", *cells])
    return rows


def light_lines(light: Light) -> list[str]:
    """Return sentences about the light: first sun, and how it was told."""
    lines = [] if light.first_sun.sentence is None else [light.first_sun.sentence]
    return [*lines, *(f"Light: {note}." for note in light.notes)]


def light_text(light: Light) -> str:
    """Return the light by month with its sentences."""
    rows = table(light_header(light), light_rows(light))
    return "\n".join([rows, *light_lines(light)])


def dry_header(dry: Dryness) -> list[str]:
    """Return the names of the columns of dry air."""
    below = [] if dry.humidity_low_pct is None else [_below(dry)]
    return [
        "hours of dry air",
        *below,
        *(f"deficit above {v} kPa" for v in dry.vpd_per_year),
    ]


def dry_rows(dry: Dryness) -> list[list[str]]:
    """Return hours of dry air a year and by season."""
    rows = [_cells("a year", dry.humidity_per_year, dry.vpd_per_year, dry)]
    rows += [
        _cells(s.season, s.hours_below_humidity, s.hours_above_vpd, dry)
        for s in dry.seasons
    ]
    return rows


def dry_text(dry: Dryness) -> str:
    """Return dry air a year and by season."""
    text = table(dry_header(dry), dry_rows(dry))
    return text + f"\nDry air: the levels of the deficit are {_basis(dry.vpd_basis)}."


def _basis(basis: str | None) -> str:
    return "from memory" if basis == "memory" else str(basis)


def _below(dry: Dryness) -> str:
    text = f"humidity below {dry.humidity_low_pct:g} %"
    if dry.humidity_basis in (None, "profile"):
        return text
    return f"{text} ({_basis(dry.humidity_basis)})"


def _cells(
    name: str, humidity: Band | None, deficits: dict[str, Band], dry: Dryness
) -> list[str]:
    below = [] if dry.humidity_low_pct is None else [_span(humidity)]
    return [name, *below, *(_span(band) for band in deficits.values())]


def _span(band: Band | None) -> str:
    if band is None or band.low is None or band.mid is None or band.high is None:
        return "?"
    low, mid, high = (f"{v:,.0f}" for v in (band.low, band.mid, band.high))
    return mid if low == high else f"{mid} ({low} to {high})"


def _one(band: Band) -> str:
    return "?" if band.mid is None else f"{band.mid:.1f}"
