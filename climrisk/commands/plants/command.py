"""``climrisk plants``: its inputs, and what it runs."""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput
from climrisk.inputs.option import Option


@dataclass(frozen=True, kw_only=True)
class ProfilesInput(HomeInput):
    """Inputs of ``climrisk plants``."""

    name: Annotated[
        str | None, Option("One plant in full; all by name without.", argument=True)
    ] = None
    csv: Annotated[
        Path | None,
        Option(
            f"Write the collection of {field('home')} as a table, for init.",
            writes=True,
        ),
    ] = None


def run(given: ProfilesInput) -> Shown:
    """What does a plant tolerate, and who says so?"""
    from climrisk.commands.plants.compute import collection, plants
    from climrisk.commands.plants.text import plants_answer, plants_text
    from climrisk.render.write import write_file

    result = plants(given.name, home=given.home)
    if given.csv is not None:
        write_file(given.csv, collection(given.home), option=field("csv"))
        sys.stderr.write(f"Written: {given.csv}\n")
    return Shown(result, plants_answer, plants_text)


COMMAND = Command("plants", ProfilesInput, run)
