"""A cold event as people tell it: ``3.1 at 06:00, 7 h below 8``."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import field, off_page
from climrisk.weather.typed.forecast_text import DEGREES, EITHER_C, END, NUMBER

_CLOCK = r"(\d{1,2})(?:[:.h](\d{2}))?(?:\s*(am|pm))?"
_ASK = "write such as " + field(
    "words", "'3.1 at 06:00, 7 h below 8, 12 again at 10:00'"
)
_MOST_HOURS = 24.0 * 60


@dataclass(frozen=True)
class TypedCold:
    """A cold event as told.

    Parameters
    ----------
    lowest_c : float
    at_h : float or None
        Hour of the day of the lowest, local.
    hours, below_c : float or None
        So many hours in one stretch below this temperature.
    back_c, back_h : float or None
        A temperature reached again, and when.
    note : str
        Parts without any number, such as what failed; kept as they are.
    """

    lowest_c: float
    at_h: float | None = None
    hours: float | None = None
    below_c: float | None = None
    back_c: float | None = None
    back_h: float | None = None
    note: str = ""

    @property
    def warming_k_per_h(self) -> float | None:
        """Mean rise from the lowest to the temperature reached again. [K/h]"""
        if self.back_c is None or self.back_h is None or self.at_h is None:
            return None
        hours = (self.back_h - self.at_h) % 24
        return (self.back_c - self.lowest_c) / hours if hours else None


_LOWEST = re.compile(
    rf"(?:(?:lowest|minimum|min|low|fell to|down to):?\s*)?{NUMBER}{DEGREES}"
    rf"(?:\s*(?:at|by)\s*{_CLOCK})?{END}"
)
_HOURS = re.compile(
    rf"{NUMBER}\s*(?:hours?|hrs?|h)\s+(?:below|under)\s+{NUMBER}{DEGREES}{END}"
)
_HOURS_AFTER = re.compile(
    rf"(?:below|under)\s+{NUMBER}{DEGREES}\s+for\s+{NUMBER}\s*(?:hours?|hrs?|h){END}"
)
_BACK = re.compile(
    rf"(?:back\s+(?:to|at)\s+)?{NUMBER}{DEGREES}\s*(?:again)?\s*(?:at|by)\s*{_CLOCK}{END}"
)


def parse_cold(text: str, unit: str | None = None) -> TypedCold:
    """Return a cold event from words.

    Parameters
    ----------
    text : str
        A lowest temperature, optionally ``at HH:MM``; ``N h below T``; and a warmer
        temperature ``at HH:MM`` afterwards.
    unit : {"c", "f"}, optional
        Of temperatures that say none; Celsius where it is beyond doubt.

    Raises
    ------
    InputError
        A word that is not understood, something said twice, or what cannot be.
    """
    said: dict[str, tuple[float, str]] = {}
    numbers: dict[str, float] = {}
    notes: list[str] = []
    rest = text.lower().replace("−", "-").replace("°", " ").replace("º", " ")
    rest = re.sub(r"\bminus\s+(?=\d)", "-", rest)
    while rest := re.sub(r"^(?:[\s,;]|and\b|then\b)+", "", rest):
        if match := _HOURS_AFTER.match(rest):
            _once(said, "below", text)
            said["below"] = (_float(match[1]), _letter(match[2]))
            numbers["hours"] = _float(match[3])
        elif match := _HOURS.match(rest):
            _once(said, "below", text)
            said["below"] = (_float(match[2]), _letter(match[3]))
            numbers["hours"] = _float(match[1])
        elif "lowest" in said and (match := _BACK.match(rest)):
            _once(said, "back", text)
            said["back"] = (_float(match[1]), _letter(match[2]))
            numbers["back"] = _hour(match[3], match[4], match[5])
        elif match := _LOWEST.match(rest):
            _once(said, "lowest", text)
            said["lowest"] = (_float(match[1]), _letter(match[2]))
            if match[3]:
                numbers["at"] = _hour(match[3], match[4], match[5])
        elif match := re.match(r"[^\d,;]+(?=[,;]|$)", rest):
            notes.append(match[0].strip())
        else:
            value = re.split(r"[,;]", rest, maxsplit=1)[0].strip()
            raise InputError(
                "not understood",
                where=field("words"),
                value=value,
                allowed="a lowest temperature, when, and how many hours below another",
                next_step=_ASK,
            )
        rest = rest[match.end() :]
    if "lowest" not in said:
        raise InputError(
            "no lowest temperature among the words",
            where=field("words"),
            value=text,
            next_step=_ASK,
        )
    return replace(_checked(said, numbers, text, unit), note=", ".join(notes))


def _checked(
    said: dict[str, tuple[float, str]],
    numbers: dict[str, float],
    text: str,
    unit: str | None,
) -> TypedCold:
    common = next((u for _, u in said.values() if u), "") or unit or ""
    if not common and said["lowest"][0] > EITHER_C:
        raise InputError(
            "Celsius or Fahrenheit?",
            where=field("words"),
            value=f"{said['lowest'][0]:g}",
            allowed="a temperature with C or F"
            + off_page(f", or {field('temperature_unit')}"),
            next_step=_ASK,
        )

    def celsius(name: str) -> float | None:
        if name not in said:
            return None
        value, own = said[name]
        value_c = (value - 32) / 1.8 if (own or common) == "f" else value
        return validation.number_in(
            round(value_c, 2),
            -60,
            55,
            what="temperature",
            where=field("words"),
            unit="°C",
        )

    lowest = celsius("lowest")
    assert lowest is not None
    below, back = celsius("below"), celsius("back")
    hours = numbers.get("hours")
    for wrong, what in (
        (below is not None and below <= lowest, "hours below what was never reached"),
        (back is not None and back < lowest, "back to less than the lowest"),
    ):
        if wrong:
            raise InputError(what, where=field("words"), value=text, next_step=_ASK)
    if hours is not None:
        validation.number_in(
            hours, 0.1, _MOST_HOURS, what="hours", where=field("words"), unit="h"
        )
    return TypedCold(lowest, numbers.get("at"), hours, below, back, numbers.get("back"))


def _once(said: dict[str, tuple[float, str]], name: str, text: str) -> None:
    if name in said:
        raise InputError("said twice", where=field("words"), value=text, next_step=_ASK)


def _hour(hour: str, minute: str | None, half: str | None) -> float:
    minute = minute or "00"
    if half is not None and 1 <= int(hour) <= 12:
        hour = str(int(hour) % 12 + (12 if half == "pm" else 0))
    if int(hour) > 23 or int(minute) > 59:
        raise InputError(
            "no time of day",
            where=field("words"),
            value=f"{hour}:{minute}",
            allowed="00:00 to 23:59",
        )
    return int(hour) + int(minute) / 60


def _float(number: str) -> float:
    return float(number.replace(",", "."))


def _letter(unit: str | None) -> str:
    return (unit or "")[:1].replace("d", "")
