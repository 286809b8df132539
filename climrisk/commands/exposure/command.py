"""``climrisk exposure``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.inputs.files import HomeInput
from climrisk.inputs.option import Option
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class ExposureInput(HomeInput, WeatherInput):
    """Inputs of ``climrisk exposure``."""

    below: Annotated[
        tuple[float, ...], Option("Temperature in °C; may be repeated.", unit="°C")
    ] = ()
    above: Annotated[
        tuple[float, ...], Option("Temperature in °C; may be repeated.", unit="°C")
    ] = ()
    humidity_below: Annotated[
        tuple[float, ...], Option("Relative humidity in %; may be repeated.")
    ] = ()
    vpd_above: Annotated[
        tuple[float, ...], Option("Vapor pressure deficit in kPa; may be repeated.")
    ] = ()
    wind_above: Annotated[
        tuple[float, ...], Option("Wind in m/s; may be repeated.", unit="m/s")
    ] = ()
    inclusive: Annotated[bool, Option("Count values equal to a threshold.")] = False


def run(given: ExposureInput) -> Shown:
    """How many hours is it colder, hotter, drier or windier than this?"""
    from climrisk.commands.exposure.request import exposure
    from climrisk.commands.exposure.text import exposure_answer, exposure_text

    result = exposure(given.choice(), given)
    return Shown(result, exposure_answer, exposure_text)


COMMAND = Command("exposure", ExposureInput, run)
