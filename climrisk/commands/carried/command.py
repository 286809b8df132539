"""``climrisk carried``: its inputs, and what it runs."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from climrisk.commands.shared.command import Command, Shown
from climrisk.inputs.option import Inputs, Option


@dataclass(frozen=True, kw_only=True)
class CarriedInput(Inputs):
    """Inputs of ``climrisk carried``."""

    way: Annotated[Literal["in", "out"], Option("in or out.", argument=True)]
    plants: Annotated[
        tuple[str, ...], Option("Plants by label or name.", argument=True)
    ] = ()
    home: Annotated[Path, Option("The home file.", default="home.toml")] = Path(
        "home.toml"
    )
    everything: Annotated[
        bool, Option("All plants that are still out, or still in.", name="all")
    ] = False
    spot: Annotated[str | None, Option("Only plants that stand there now.")] = None
    to: Annotated[
        str | None,
        Option(
            "Spot or room carried to; a kind of room is added to the home file.",
            default="in, the room of the plant or its spot; out, its own spot",
        ),
    ] = None
    on: Annotated[date | None, Option("Day of the move.", default="today")] = None


def run(given: CarriedInput) -> Shown:
    """Note that plants were carried in or out."""
    from climrisk.commands.carried.compute import carried
    from climrisk.commands.carried.text import carried_answer

    result = carried(
        given.home,
        given.way,
        given.plants,
        everything=given.everything,
        spot=given.spot,
        to=given.to,
        on=given.on,
    )
    return Shown(result, carried_answer)


COMMAND = Command("carried", CarriedInput, run, details=False)
