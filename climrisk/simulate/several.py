"""A name that covers several plants, or none: all answers side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from climrisk import __version__
from climrisk.advice.cautions import ESTIMATE
from climrisk.plants.questions import (
    MISSPELT,
    Asking,
    PlantKind,
    asking,
    form,
    scenarios,
)
from climrisk.plants.registry import AmbiguousPlant, UnknownPlant
from climrisk.result.assess import AssessResult
from climrisk.result.several import AssessSeveral, Choice
from climrisk.simulate.asked import Question
from climrisk.simulate.assess import assess_at, scene_of
from climrisk.simulate.describe import caution_info
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.plants.model import Profile


@dataclass(frozen=True)
class Open:
    """A name that needs an answer, and what may be meant by it.

    Parameters
    ----------
    name : str
    why : str
    asking : Asking
    nearest : tuple of str
    """

    name: str
    why: Literal["covers several plants", "no profile"]
    asking: Asking
    nearest: tuple[str, ...] = ()

    @property
    def plants(self) -> list[tuple[PlantKind, Profile]]:
        """Every plant that may be meant, with its kind."""
        return [(kind, plant) for kind in self.asking.kinds for plant in kind.plants]


def opened(error: AmbiguousPlant | UnknownPlant, name: str) -> Open:
    """Return what to show in place of an error, or raise it.

    A misspelt name stays an error: its line offers the nearest spelling.
    """
    if isinstance(error, AmbiguousPlant):
        return Open(name, "covers several plants", asking(name, error.choices))
    if error.likeness >= MISSPELT:
        raise error
    question = "What lowest night should it have, by its label or its seller?"
    return Open(
        name, "no profile", Asking(question, scenarios()), nearest=tuple(error.near)
    )


def assess_several(
    weather: WeatherSeries, told: Open, questions: Sequence[Question]
) -> AssessSeveral:
    """Return the answers of all plants that may be meant.

    Parameters
    ----------
    weather : WeatherSeries
    told : Open
    questions : sequence of Question
        One for each of its plants, alike but for the plant.
    """
    scene = scene_of(weather, questions[0])
    results = [assess_at(scene, q) for q in questions]
    choices = [
        Choice(kind=kind.word, line=kind.line, name=result.plant.name, result=result)
        for (kind, _), result in zip(told.plants, results, strict=True)
    ]
    unknown = told.why == "no profile"
    return AssessSeveral(
        command="assess-several",
        version=__version__,
        asked=told.name,
        why=told.why,
        question=told.asking.ask,
        nearest=list(told.nearest),
        scenarios=unknown,
        weather=results[0].weather,
        choices=choices,
        sentence=_sentence(told, results),
        next_steps=_next(told, choices),
        form=form(told.name) if unknown else None,
        cautions=caution_info([ESTIMATE]),
        files=[],
    )


def _sentence(told: Open, results: Sequence[AssessResult]) -> str:
    words = dict.fromkeys(r.verdict.word for r in results)
    at = results[0].spot.at
    if told.why == "no profile":
        lead = f"There is no profile of {told.name}; {at} a grower of each class"
    else:
        lead = f"It depends on which {told.name} it is; {at} the {len(results)} kinds"
    if len(words) == 1:
        return f"{lead} would all get the same word: {next(iter(words))}."
    return f"{lead} would get different words: {', '.join(words)}."


def _next(told: Open, choices: Sequence[Choice]) -> list[str]:
    first = choices[0].name
    if told.why == "no profile":
        return [
            "spelled otherwise? nearest: " + "; ".join(told.nearest),
            f'limits of your own: climrisk assess "{told.name}" --preferred CELSIUS '
            '--limit-source "WHERE"',
            "or a profile of your own, from the form, in the user folder",
        ]
    return [
        f'name it: climrisk assess "{first}"',
        f'remember it in a home file: --home FILE --means "{first}"',
    ]


def with_plant(question: Question, plant: Profile) -> Question:
    """Return a question about another plant."""
    return replace(question, plant=plant, asked=plant.name)
