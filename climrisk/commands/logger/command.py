"""``climrisk logger``: its inputs, and what it runs."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class LoggerInput(HomeInput, PageOutputs, WeatherInput):
    """Inputs of ``climrisk logger``."""

    path: Annotated[
        Path | None,
        Option(
            f"The logger's table; or give {field('file')}.",
            argument=True,
            metavar="FILE",
        ),
    ] = None


def run(given: LoggerInput) -> Shown:
    """What is in my logger's file, and is it good?"""
    from climrisk.commands.logger.compute import logger
    from climrisk.commands.logger.page import exports
    from climrisk.commands.logger.text import logger_answer, logger_text
    from climrisk.commands.shared.plants import record_choice

    result = logger(record_choice(given.choice(), given.path, given.home))
    return Shown(with_files(result, exports, given), logger_answer, logger_text)


COMMAND = Command("logger", LoggerInput, run)
