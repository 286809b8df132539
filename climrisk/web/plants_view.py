"""What My plants shows: rows, groups, filters and the page of one plant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from markupsafe import Markup

from climrisk.commands.calendar.next_moves import (
    MoveGroup,
    NextMove,
    due_lines,
    group_title,
    headline,
    plant_lines,
)
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.ribbon import (
    RibbonSpan,
    axis_svg,
    plant_ribbon_svg,
    year_ribbon,
)
from climrisk.core.quantities import (
    DIFFERENCE,
    LIGHT,
    MASS,
    PERCENT,
    TEMPERATURE,
    difference,
    number,
    quantity,
    temperature,
)
from climrisk.core.typed_text import Viewer
from climrisk.home import Home, HomePlant
from climrisk.home.model import references
from climrisk.plants.registry import key, short_name, sources
from climrisk.render.display_units import day_in_words

if TYPE_CHECKING:
    from climrisk.plants.model import LimitRow, Profile

SORTS = {
    "next": "next move",
    "limit": "nearest to its limit",
    "name": "name",
    "spot": "spot",
}
_GROUPS: tuple[MoveGroup, ...] = ("late", "next", "later", "out", "inside")


@dataclass(frozen=True)
class Row:
    """A plant as the list shows it.

    Parameters
    ----------
    ref : str
        Of its entry in the home file.
    name, unique : str
        What it is called; a name that no other has.
    species, about : str
        Name of the profile; what stands below the name.
    place : str
        Where it stands now.
    inside, lives_inside : bool
        Whether it stands indoors now; whether it does all year.
    goes_to : str
        Room that it is carried to, where the home has it; empty otherwise.
    line : NextMove or None
        What comes next; None before it is computed.
    ribbon : Markup
        Empty before it is computed.
    limits : str
        What it prefers and tolerates.
    """

    ref: str
    name: str
    unique: str
    species: str
    about: str
    place: str
    inside: bool
    lives_inside: bool
    goes_to: str
    line: NextMove | None
    ribbon: Markup
    limits: str


@dataclass(frozen=True)
class PlantGroup:
    """Rows under a title; `kind` is the group of what comes next, or empty."""

    kind: str
    title: str
    beside: str
    rows: Sequence[Row]


@dataclass(frozen=True)
class Chip:
    """A filter by place: its name, how many entries are there, whether it is chosen."""

    place: str
    count: int
    chosen: bool


@dataclass(frozen=True)
class Collection:
    """The list of plants.

    Parameters
    ----------
    title : str
    due : list of (str, str)
    sections : list of PlantGroup
    chips : list of Chip
    axis : Markup
        Months and today; empty before the year is computed.
    count : int
        Plants of the home, in entries.
    shown : int
        Those that the filter leaves.
    away : bool
        Whether a ribbon shows a plant away from the heat.
    """

    title: str
    due: Sequence[tuple[str, str]]
    sections: Sequence[PlantGroup]
    chips: Sequence[Chip]
    axis: Markup
    count: int
    shown: int
    away: bool


def collection(
    home: Home | None,
    result: CalendarResult | None,
    today: date,
    viewer: Viewer,
    *,
    place: str = "",
    sort: str = "next",
    find: str = "",
) -> Collection:
    """Return the list of plants.

    Parameters
    ----------
    home : Home or None
        None where plants were named one by one.
    result : CalendarResult or None
        Of the same home; None while it is computed.
    today : date
    viewer : Viewer
    place : str
        Only plants that stand there now.
    sort : str
        One of `SORTS`.
    find : str
        Only plants whose names contain it.
    """
    lines = [] if result is None else plant_lines(result)
    by_ref = {line.row.row: line for line in lines if line.row.row}
    span = RibbonSpan(today)
    if home is None:
        rows = [_named_row(line, span, viewer) for line in lines]
    else:
        rows = [
            _row(home, *entry, ref, unique, by_ref.get(ref), span, viewer)
            for entry, ref, unique in zip(
                home.entries(), references(home.plant), home.plant_names, strict=True
            )
        ]
    shown = [
        r
        for r in rows
        if place.lower() in ("", r.place.lower())
        and (not find or key(find) in key(f"{r.name} {r.about} {r.species}"))
    ]
    months = "" if result is None else axis_svg(span, today_words(today))
    return Collection(
        title=viewer.text(headline(lines)) if lines else "My plants",
        due=[(a, viewer.text(b)) for a, b in due_lines(lines)],
        sections=[
            PlantGroup(s.kind, viewer.text(s.title), s.beside, s.rows)
            for s in _sections(shown, sort if lines or sort != "next" else "name")
        ],
        chips=_chips(rows, place),
        axis=Markup(months),
        count=len(rows),
        shown=len(shown),
        away=any(line.row.retreat_months for line in lines),
    )


def year_list(result: CalendarResult, viewer: Viewer) -> Collection:
    """Return the plants of a calendar by what comes next, of whatever home."""
    return collection(None, result, date.fromisoformat(result.as_of), viewer)


def today_words(today: date) -> str:
    """Return the words beside today's line."""
    return f"today, {day_in_words(today, brief=True)}"


def _row(
    home: Home,
    plant: HomePlant,
    profile: Profile,
    ref: str,
    unique: str,
    line: NextMove | None,
    span: RibbonSpan,
    viewer: Viewer,
) -> Row:
    now = home.now_at(plant, span.today)
    about = [now.name]
    if plant.label and key(plant.label) != key(profile.name):
        about.append(short_name(profile.name))
    if plant.count > 1:
        about.append(f"{plant.count} pots")
    if line is not None and line.row.weight_kg and line.row.weight_kg >= 8:
        about.append(viewer.text(quantity(MASS, line.row.weight_kg, 0)))
    ribbon = ""
    if line is not None:
        ribbon = plant_ribbon_svg(year_ribbon(line.row, span), span)
    room = line.row.room if line is not None and line.row.room else ""
    return Row(
        ref=ref,
        name=plant.label or short_name(profile.name),
        unique=unique,
        species=profile.name,
        about=" · ".join(about),
        place=now.name,
        inside=now.as_kind.indoors,
        lives_inside=home.spot_named(plant.spot).as_kind.indoors,
        goes_to=room if room and home.knows_spot(room) else "",
        line=line,
        ribbon=Markup(ribbon),
        limits=viewer.text(f"{limit_words(profile)} {coming_words(line)}".strip()),
    )


def _named_row(line: NextMove, span: RibbonSpan, viewer: Viewer) -> Row:
    """Return the row of a plant that is in no home file."""
    found = line.row
    limits = f"Prefers nights of {temperature(found.preferred_c)} or more and tolerates"
    return Row(
        ref="",
        name=short_name(found.label),
        unique=found.label,
        species=found.plant,
        about=found.spot.replace("-", " "),
        place=found.spot,
        inside=found.indoors,
        lives_inside=found.indoors,
        goes_to="",
        line=line,
        ribbon=Markup(plant_ribbon_svg(year_ribbon(found, span), span)),
        limits=viewer.text(f"{limits} {temperature(found.tolerated_c)}."),
    )


def coming_words(line: NextMove | None) -> str:
    """Return what the next two weeks were like in past years, outdoors."""
    coming = None if line is None or line.row.indoors else line.row.coming
    if coming is None or coming.low_c is None or coming.margin_k is None:
        return ""
    side = "below" if coming.margin_k < 0 else "above"
    return (
        "In the next two weeks one night in ten falls below "
        f"{temperature(coming.low_c)} there, {difference(abs(coming.margin_k))} {side} "
        "what it tolerates."
    )


def limit_words(profile: Profile) -> str:
    """Return what a plant prefers and tolerates, in a sentence."""
    prefers, tolerates = profile.limit("preferred"), profile.limit("tolerated")
    if prefers is None:
        return "No night minimum is known for it."
    words = f"Prefers nights of {temperature(prefers.value)} or more"
    if tolerates is not None:
        estimate = " (our estimate)" if tolerates.basis == "estimate" else ""
        words += f" and tolerates {temperature(tolerates.value)}{estimate}"
    return f"{words}."


def _sections(rows: Sequence[Row], sort: str) -> list[PlantGroup]:
    if sort == "next":
        out = []
        for group in _GROUPS:
            mine = [r for r in rows if r.line is not None and r.line.group == group]
            mine.sort(key=lambda r: _when(r.line))
            if mine:
                lines = [r.line for r in mine if r.line is not None]
                out.append(PlantGroup(group, *group_title(group, lines), mine))
        rest = [r for r in rows if r.line is None]
        return out + ([PlantGroup("", "Not computed yet", "", rest)] if rest else [])
    by_name = sorted(rows, key=lambda r: key(r.name))
    if sort == "limit":
        nearest = sorted(by_name, key=_margin)
        title = "Nearest to its limit in the next two weeks"
        return [PlantGroup("", title, _count(nearest), nearest)] if nearest else []
    if sort == "spot":
        places = list(dict.fromkeys(r.place for r in sorted(rows, key=_place)))
        return [
            PlantGroup("", place[:1].upper() + place[1:], _count(mine), mine)
            for place in places
            if (mine := [r for r in by_name if r.place == place])
        ]
    return [PlantGroup("", "By name", _count(by_name), by_name)] if by_name else []


def _margin(row: Row) -> tuple[bool, float]:
    """Return what puts those outdoors that come nearest to their limit first."""
    margin = None if row.line is None else row.line.row.coming.margin_k
    return row.inside or margin is None, margin or 0.0


def _place(row: Row) -> str:
    return row.place.lower()


def _count(rows: Sequence[Row]) -> str:
    return f"{len(rows)} {'entry' if len(rows) == 1 else 'entries'}"


def _when(line: NextMove | None) -> tuple[bool, date]:
    due = None if line is None else line.due
    return due is None, due or date.min


def _chips(rows: Sequence[Row], chosen: str) -> list[Chip]:
    counts = Counter(row.place for row in rows)
    return [Chip(n, k, n.lower() == chosen.lower()) for n, k in sorted(counts.items())]


@dataclass(frozen=True)
class LimitLine:
    """A limit of a plant as its page shows it: what, how much, and who says so."""

    what: str
    value: str
    meaning: str
    source: str


_LIMITS = {
    "preferred": ("Prefers nights of", TEMPERATURE),
    "tolerated": ("Tolerates single nights of", TEMPERATURE),
    "ceiling": ("Upper limit by day", TEMPERATURE),
    "advised_top": ("Advised day maximum", TEMPERATURE),
    "warm_night": ("Declines with nights above", TEMPERATURE),
    "light_floor": ("Light it needs in winter", LIGHT),
    "night_drop": ("Nights colder than days by", DIFFERENCE),
    "humidity_low_pct": ("Air humidity of at least", PERCENT),
}


def limit_lines(profile: Profile, viewer: Viewer) -> list[LimitLine]:
    """Return the limits of a plant with their sources, those judged by first."""
    out = []
    for name, (what, kind) in _LIMITS.items():
        rows: tuple[LimitRow, ...] = getattr(profile.limits, name)
        for row in rows:
            value = quantity(kind, row.value)
            if row.high is not None:
                value = f"{number(kind, row.value)} to {quantity(kind, row.high)}"
            text = viewer.text(value)
            meaning = row.meaning.replace("_", " ")
            meaning += f", {row.when.replace('-', ' ')}" if row.when else ""
            out.append(LimitLine(what, text, meaning, _source(row)))
    return out


def _source(row: LimitRow) -> str:
    known = sources()
    named = [
        f"{known[k].publisher}, {known[k].title}" if k in known else k
        for k in row.sources
    ]
    if named:
        return "; ".join(named)
    words: Mapping[str, str] = {"memory": "from memory", "estimate": "our estimate"}
    return words.get(row.basis, row.basis)
