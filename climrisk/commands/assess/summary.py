"""What is seen first of an assessment: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.assess.result import AssessResult, AssessSeveral
from climrisk.commands.assess.several_text import several_answer
from climrisk.commands.assess.text import assess_answer
from climrisk.commands.assess.year_svg import year_svg
from climrisk.commands.shared.facts import bare_spot, pot_words
from climrisk.render.answer import Answer
from climrisk.render.summary import Summary, SummaryChart, Tile, summary, tiles_of


def assess_summary(result: AssessResult, today: date) -> Summary:
    """Return the verdict, both dates and the coldest night, and its year."""
    answer, found = assess_answer(result), result.verdict
    beside = [f"may also be {found.may_be}"] if found.may_be else []
    beside += ["every cold night counts as harmful"] if found.strict else []
    return summary(
        answer,
        [result.plant.name, bare_spot(result.spot.words), *pot_words(result.pot)],
        word=found.word,
        tiles=tiles_of(answer, _more_facts(result)),
        beside=beside,
        drawing=SummaryChart(
            f"Its year {result.spot.at}", lambda viewer: year_svg(result, today, viewer)
        ),
    )


def check_summary(result: AssessResult | AssessSeveral, today: date) -> Summary:
    """Return the summary for a plant, or for all that a name may mean."""
    if isinstance(result, AssessResult):
        return assess_summary(result, today)
    first = result.choices[0].result
    understood = [result.asked, bare_spot(first.spot.words), *pot_words(first.pot)]
    return summary(_without_command(several_answer(result, _no_command)), understood)


def _no_command(**_: str) -> str:
    """Return nothing: the page offers links, where a terminal shows a command."""
    return ""


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
