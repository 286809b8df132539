"""A name that covers several plants, or none: all answers, and what it means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from climrisk.advice.cautions import ESTIMATE
from climrisk.commands.assess.compute import assess_at, scene_of
from climrisk.commands.assess.result import AssessResult, AssessSeveral, Choice
from climrisk.commands.shared.request import AssessRequest
from climrisk.commands.shared.weather_info import caution_info
from climrisk.core.errors import InputError
from climrisk.core.lookups import note
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.core.wording import listed
from climrisk.home import edit_home
from climrisk.plants.questions import Asking, PlantKind, asking, form, scenarios
from climrisk.plants.registry import (
    AmbiguousPlantError,
    UnknownPlantError,
    did_you_mean,
    find,
    short_name,
)
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


def remember(home: str | Path | None, typed: str, meant: str) -> str:
    """Write into a home file what a name means, and return the profile's name.

    Raises
    ------
    InputError
        No home file, or a meaning that is no single plant.
    """
    if home is None:
        raise InputError(
            "nowhere to remember it",
            where=field("means"),
            value=meant,
            allowed=f"together with {field('home', 'FILE')}",
        )
    name = find(meant).name
    with edit_home(Path(home)) as edit:
        edit.answer(typed, name)
    return name


@dataclass(frozen=True)
class Open:
    """A name that needs an answer, and what may be meant by it.

    Parameters
    ----------
    name : str
    why : str
    asking : Asking
    nearest : tuple of str
    about : str
        What the question is about, such as the genus.
    read_as : str or None
        What the name was read as, where that is another than the one typed.
    """

    name: str
    why: Literal["covers several plants", "no profile"]
    asking: Asking
    nearest: tuple[str, ...] = ()
    about: str = ""
    read_as: str | None = None

    @property
    def plants(self) -> list[tuple[PlantKind, Profile]]:
        """Every plant that may be meant, with its kind."""
        return [(kind, plant) for kind in self.asking.kinds for plant in kind.plants]


def opened(error: AmbiguousPlantError | UnknownPlantError, name: str) -> Open:
    """Return what to show in place of an error."""
    if isinstance(error, AmbiguousPlantError):
        return Open(
            *(name, "covers several plants"),
            asking(error.about, error.choices, others=error.others),
            about=error.about,
            read_as=error.read_as,
        )
    question = "How is it sold or labeled: warm, intermediate or cool?"
    return Open(
        name, "no profile", Asking(question, scenarios()), nearest=tuple(error.near)
    )


def assess_several(
    weather: WeatherSeries, unclear: Open, questions: Sequence[AssessRequest]
) -> AssessSeveral:
    """Return the answers of all plants that may be meant.

    Parameters
    ----------
    weather : WeatherSeries
    unclear : Open
    questions : sequence of AssessRequest
        One for each of its plants, alike but for the plant.
    """
    for _, plant in unclear.plants:
        note("profile", plant.name, plant)
    scene = scene_of(weather, questions[0])
    results = [assess_at(scene, q) for q in questions]
    choices = [
        Choice(kind=kind.word, line=kind.line, name=result.plant.name, result=result)
        for (kind, _), result in zip(unclear.plants, results, strict=True)
    ]
    unknown = unclear.why == "no profile"
    return AssessSeveral(
        command="assess-several",
        version=__version__,
        asked=unclear.name,
        read_as=unclear.read_as,
        why=unclear.why,
        question=unclear.asking.ask,
        nearest=list(unclear.nearest),
        scenarios=unknown,
        weather=results[0].weather,
        choices=choices,
        sentence=_sentence(unclear, results),
        next_steps=_next(unclear, choices),
        form=form(unclear.name) if unknown else None,
        cautions=caution_info([ESTIMATE]),
        files=[],
    )


def _sentence(unclear: Open, results: Sequence[AssessResult]) -> str:
    words = dict.fromkeys(r.verdict.word for r in results)
    at, typed = results[0].spot.at, unclear.name.strip()
    if unclear.why == "no profile":
        parts = [f'No plant called "{typed}".']
        if unclear.nearest:
            parts.append(did_you_mean(list(unclear.nearest)))
        sold = [
            f"{r.verdict.word} if sold as {kind.word}"
            for (kind, _), r in zip(unclear.plants, results, strict=True)
        ]
        if len(words) == 1:
            sold = [f"{next(iter(words))}, sold as warm, intermediate or cool"]
        return " ".join([*parts, f"{at[0].upper()}{at[1:]}: {', '.join(sold)}."])
    parts = [] if unclear.read_as is None else [f'"{typed}" read as {unclear.read_as}.']
    if len(words) == 1:
        every = f"All {len(results)} kinds of {unclear.about} get the same verdict {at}"
        return " ".join([*parts, f"{every}: {next(iter(words))}."])
    parts.append(
        f"It depends on which {unclear.about} it is: {at}, {listed(list(words), 'or')}."
    )
    return " ".join(parts)


def _next(unclear: Open, choices: Sequence[Choice]) -> list[str]:
    if unclear.why == "no profile":
        return [
            f"Name it by how it is sold, such as {choices[-1].name}",
            "Or give a lowest night of your own, and where you read it",
            "Or add a profile of your own",
        ]
    return [
        f"Name the one it is, such as {short_name(choices[0].name)}",
        "Or remember the answer in your home file",
    ]
