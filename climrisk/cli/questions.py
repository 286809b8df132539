"""The questions of ``climrisk init``: choices shown, wrong answers asked again."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

import typer

from climrisk.core.errors import InputError

if TYPE_CHECKING:
    from climrisk.home.collection import PlantRow
    from climrisk.weather.selection import WeatherChoice

T = TypeVar("T")
_WIDTH = 80


@dataclass
class Answers:
    """What was answered so far; it is never lost."""

    choice: WeatherChoice
    spots: list[str] = field(default_factory=list)
    rooms: list[str] = field(default_factory=list)
    plants: list[PlantRow] = field(default_factory=list)

    def command(self, path: object) -> str:
        """Return the command that starts with these answers."""
        words = ["climrisk", "init", str(path)]
        if self.choice.demo:
            words.append("--demo")
        if self.choice.town:
            words += ["--town", self.choice.town]
        if self.choice.at:
            words += ["--at", ",".join(f"{x:g}" for x in self.choice.at)]
        for option, values in (("--spot", self.spots), ("--room", self.rooms)):
            words += [word for value in values for word in (option, value)]
        for row in self.plants:
            words += ["--plant", f"{row.name}@{row.spot}"]
        return shlex.join(words)


def say(text: str) -> None:
    """Print beside the result."""
    typer.echo(text, err=True)


def ask(question: str, read: Callable[[str], T], usual: str = "") -> T:
    """Return an answer as it is read; one that cannot be read is asked again."""
    while True:
        text = typer.prompt(
            question, default=usual, show_default=bool(usual), err=True
        ).strip()
        try:
            return read(text)
        except InputError as error:
            say(f"  {_plain(error)}")


def ask_all(
    answers: Answers, rows: Sequence[PlantRow] | None, *, weather: bool, plants: bool
) -> None:
    """Ask for what is not said yet.

    Parameters
    ----------
    answers : Answers
        Filled in while it is answered.
    rows : sequence of PlantRow or None
        Of a file; each that is not understood is asked about.
    weather, plants : bool
        Whether the place and the plants are asked for.
    """
    if weather:
        answers.choice = ask(
            "Where are your plants: TOWN, COUNTRY or LAT,LON,HEIGHT "
            "(empty: invented weather, to try it)",
            lambda text: _place(answers.choice, text),
        )
    if not answers.spots:
        _ask_places(answers.spots, answers.rooms, indoors=False)
    if not answers.rooms:
        _ask_places(answers.rooms, answers.spots, indoors=True)
    if rows is not None:
        _ask_rows(answers, rows)
    elif plants:
        _ask_plants(answers)


def _plain(error: InputError) -> str:
    """Return an error as an answer to what was just typed."""
    text = error.what
    if error.allowed:
        text += f": {error.allowed}"
    if error.next_step and "--" not in error.next_step:
        text += f". {error.next_step[:1].upper()}{error.next_step[1:]}"
    return text.replace("; allowed:", ":")


def _place(choice: WeatherChoice, text: str) -> WeatherChoice:
    from climrisk.weather.selection import parse_at
    from climrisk.weather.towns import find_town

    if not text:
        return replace(choice, demo=True)
    if text[0].isdigit() or text[0] == "-":
        return replace(choice, at=parse_at(text))
    found = find_town(text)
    at = f"{found.latitude_deg:.2f}, {found.longitude_deg:.2f}"
    say(f"  {found.name}, {found.country}: {at}")
    return replace(choice, town=text)


def _ask_places(places: list[str], others: Sequence[str], *, indoors: bool) -> None:
    from climrisk.spot.kinds import KINDS, spot_kind

    kinds = [k for k in KINDS if k != "as-measured" and spot_kind(k).indoors == indoors]
    what = "Rooms your plants are carried into" if indoors else "Spots outdoors"
    say(f"\n{what}:")
    for i, kind in enumerate(kinds, 1):
        say(f"  {i:2} {kind}: {spot_kind(kind).words}")
    while True:
        number = len(places) + 1
        noun = "Room" if indoors else "Spot"
        kind = ask(
            f"{noun} {number}: kind by number or name (empty when done)",
            lambda text: _kind(text, kinds) if text else "",
        )
        if not kind:
            break
        taken = {p.partition("=")[0].lower() for p in (*places, *others)}
        usual = kind.replace("-", " ")
        while usual.lower() in taken:
            usual += " 2"
        read = partial(_new, taken=taken)
        name = ask("  What do you call it", read, usual)
        places.append(f"{name}={kind}")


def _new(text: str, taken: set[str]) -> str:
    if "=" in text or text.lower() in taken or not text:
        raise InputError("Another name, please: this one is taken, or holds an =")
    return text


def _kind(text: str, kinds: Sequence[str]) -> str:
    return _one_of(text, kinds, "kind")


def _one_of(text: str, names: Sequence[str], what: str) -> str:
    """Return a name by its number or by itself, however it is joined."""
    from climrisk.core import validation

    if text.isdigit() and 1 <= int(text) <= len(names):
        return names[int(text) - 1]
    for name in names:
        if name.lower() == text.lower():
            return name
    return validation.named(text, names, what=what, where="")


def _ask_plants(answers: Answers) -> None:
    from climrisk.home.collection import PlantRow

    say("\nPlants, as you call them:")
    while True:
        row = ask(
            f"Plant {len(answers.plants) + 1} (empty when done)",
            lambda text: _resolved(PlantRow(0, text, None, "")) if text else None,
        )
        if row is None:
            return
        if row.name is None:
            row = _meant(row)
        if row is None or row.name is None:
            continue
        spot = _ask_spot(answers)
        count = ask("  How many", lambda text: _count(text), "1")
        values = {**row.values, **({"count": count} if count > 1 else {})}
        answers.plants.append(replace(row, spot=spot, values=values))


def _ask_spot(answers: Answers) -> str:
    names = _names(answers)
    if len(names) == 1:
        return names[0]
    shown = "  ".join(f"{i} {n}" for i, n in enumerate(names, 1))
    say(f"  Where it stands in summer: {shown}")
    return ask("  Spot", lambda text: _one_of(text, names, "spot"), names[0])


def _names(answers: Answers) -> list[str]:
    every = answers.spots or ["balcony=roofed-balcony"]
    return [p.partition("=")[0] for p in (*every, *answers.rooms)]


def _count(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 10_000:
        raise InputError("A whole number from 1 to 10000")
    return int(text)


def _resolved(row: PlantRow) -> PlantRow:
    """Return a row with its plant, or with what the name may mean."""
    from climrisk.plants.names import resolve
    from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

    try:
        found = resolve(row.typed)
    except AmbiguousPlantError as error:
        return replace(row, choices=tuple(error.choices), problem=error.what)
    except UnknownPlantError as error:
        return replace(row, choices=tuple(error.near), problem=error.what)
    if found.read_as:
        say(f"  read as {found.read_as}")
    return replace(row, name=found.profile.name, read_as=found.read_as)


def _meant(row: PlantRow) -> PlantRow | None:
    """Ask what a name means; None where the plant is left out."""
    while row.name is None:
        # The choices follow, one a line.
        say(f"  {row.problem.partition(': ')[0] if row.choices else row.problem}")
        for i, name in enumerate(row.choices[:9], 1):
            say(f"  {i:2} {name}")
        text = typer.prompt(
            "  Number, another name, or how it is sold: warm, intermediate, cool "
            "(empty leaves it out)",
            default="",
            show_default=False,
            err=True,
        ).strip()
        if not text:
            return None
        if text.isdigit() and 1 <= int(text) <= len(row.choices[:9]):
            return row.meaning(row.choices[int(text) - 1])
        if text.lower() in ("warm", "intermediate", "cool"):
            return row.meaning(f"{text.lower()} grower")
        again = _resolved(replace(row, typed=text))
        if again.name is not None:
            return row.meaning(again.name)
        row = replace(row, choices=again.choices, problem=again.problem)
    return row


def _ask_rows(answers: Answers, rows: Sequence[PlantRow]) -> None:
    """Ask about the rows of a file that are not understood."""
    from climrisk.home.collection import spots_of
    from climrisk.spot.kinds import KINDS

    known = {n.lower() for n in _names(answers)}
    for spot in spots_of(rows):
        if spot.lower() in known or spot.lower().replace(" ", "-") in KINDS:
            continue
        kind = ask(
            f'Your list has the spot "{spot}": which kind is it, by name '
            f"({' '.join(KINDS)})",
            lambda text: _kind(text, KINDS),
        )
        answers.spots.append(f"{spot}={kind}")
    for row in rows:
        if row.name is None and row.typed:
            say(f"\nLine {row.line}: {row.typed}")
            found = _meant(row)
            if found is not None:
                answers.plants.append(found)
        else:
            answers.plants.append(row)


def preview(rows: Sequence[PlantRow]) -> str:
    """Return how each name of a list was understood, then what is wrong with rows."""
    from climrisk.plants.registry import short_name
    from climrisk.render.answer import Rows

    names: dict[str, list[PlantRow]] = {}
    for row in rows:
        names.setdefault(row.typed.strip().lower(), []).append(row)
    read, wrong = [], []
    for same in names.values():
        first, lines = same[0], [str(row.line) for row in same]
        where = f"line {lines[0]}" if len(lines) == 1 else f"{len(lines)} rows"
        if first.name is not None:
            read.append((first.typed, where, short_name(first.name)))
        else:
            wrong.append((first.typed, where, f"? {first.problem}"))
    wrong += [
        (row.typed, f"line {row.line}", row.problem)
        for row in rows
        if row.name is not None and row.problem
    ]
    known = sum(row.name is not None and not row.problem for row in rows)
    shown = Rows([*read, *wrong]).lines(str)
    return "\n".join(
        [f"{known} of {len(rows)} rows understood:", *(line.text for line in shown)]
    )
