"""Quantities in texts, typed until they are displayed in metric or US units.

A text is built with `temperature`, `difference`, `speed` and so on, each of which
stands for a number and its unit. It stays typed in a result and is written in the
reader's units by `in_units` (`climrisk.core.typed_text`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, SupportsFloat

System = Literal["metric", "us"]
SYSTEMS: tuple[System, ...] = ("metric", "us")


@dataclass(frozen=True)
class Kind:
    """A kind of quantity.

    Parameters
    ----------
    code : str
        One letter, for texts.
    metric, us : str
        Units.
    factor, zero : float
        A value in US units is `factor` times the metric one, plus `zero`.
    """

    code: str
    metric: str
    us: str
    factor: float
    zero: float = 0.0

    def unit(self, system: System) -> str:
        """Return the unit."""
        return self.us if system == "us" else self.metric

    def value(self, metric: float, system: System) -> float:
        """Return a metric value in a system of units."""
        return metric * self.factor + self.zero if system == "us" else metric

    def metric_of(self, us: float) -> float:
        """Return the metric value of one in US units."""
        return (us - self.zero) / self.factor


#: Of the inch (25.4 mm), the pound (0.45359237 kg) and the mile (1609.344 m).
TEMPERATURE = Kind("t", "°C", "°F", 1.8, 32.0)
DIFFERENCE = Kind("d", "°C", "°F", 1.8)
SPEED = Kind("v", "km/h", "mph", 1 / 1.609344)
#: As thresholds are typed.
WIND = Kind("w", "m/s", "mph", 3.6 / 1.609344)
LENGTH = Kind("l", "cm", "in", 1 / 2.54)
AREA = Kind("a", "cm²", "in²", 1 / 2.54**2)
HEIGHT = Kind("h", "m", "ft", 1 / 0.3048)
DISTANCE = Kind("r", "km", "mi", 1 / 1.609344)
MASS = Kind("m", "kg", "lb", 1 / 0.45359237)
#: The same in both systems.
LIGHT = Kind("p", "mol/m² a day", "mol/m² a day", 1.0)
PERCENT = Kind("f", "%", "%", 1.0)
KINDS = {
    kind.code: kind
    for kind in (
        *(TEMPERATURE, DIFFERENCE, SPEED, WIND, LENGTH, AREA),
        *(HEIGHT, DISTANCE, MASS, LIGHT, PERCENT),
    )
}

# In a text, BEGIN code sign value | digits END is a number, with a u before END one
# with its unit, and BEGIN code END a unit alone, as in a heading. Both characters are
# of the private use area, which no text holds otherwise.
_BEGIN, _END = "\ue000", "\ue001"
_MARK = re.compile(rf"{_BEGIN}([a-z])(?:(\+?)(-?[\d.e-]+)\|(\d?)(u?))?{_END}")
#: Decimals of a number in its shortest form; a typed °F has more of them in °C.
_MOST_DIGITS = 2


def number(
    kind: Kind,
    value: SupportsFloat | None,
    digits: int | None = None,
    *,
    signed: bool = False,
) -> str:
    """Return a number, to be written in its reader's units.

    Parameters
    ----------
    kind : Kind
    value : float or None
        In the metric unit; unknown is a question mark.
    digits : int, optional
        Decimals in metric units; as many as needed otherwise.
    signed : bool
        Show a plus.
    """
    if value is None:
        return "?"
    sign, places = "+" if signed else "", "" if digits is None else digits
    return f"{_BEGIN}{kind.code}{sign}{float(value)!r}|{places}{_END}"


def unit(kind: Kind) -> str:
    """Return the unit of a kind, to be written as its reader's."""
    return f"{_BEGIN}{kind.code}{_END}"


def quantity(
    kind: Kind,
    value: SupportsFloat | None,
    digits: int | None = None,
    *,
    signed: bool = False,
) -> str:
    """Return a number with its unit."""
    if value is None:
        return f"? {unit(kind)}"
    return number(kind, value, digits, signed=signed).replace(_END, f"u{_END}")


#: Units alone, for headings and axes.
DEGREES, DEGREES_APART = unit(TEMPERATURE), unit(DIFFERENCE)


def temperature(celsius: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a temperature."""
    return quantity(TEMPERATURE, celsius, digits)


def temperatures(low: SupportsFloat, high: SupportsFloat) -> str:
    """Return a range of temperatures."""
    return f"{number(TEMPERATURE, low)} to {temperature(high)}"


def difference(
    kelvin: SupportsFloat | None, digits: int | None = None, *, signed: bool = False
) -> str:
    """Return a temperature difference."""
    return quantity(DIFFERENCE, kelvin, digits, signed=signed)


def differences(low: SupportsFloat, high: SupportsFloat) -> str:
    """Return a range of temperature differences."""
    return f"{number(DIFFERENCE, low)} to {difference(high)}"


def speed(m_s: SupportsFloat, digits: int = 0) -> str:
    """Return a speed."""
    return quantity(SPEED, float(m_s) * 3.6, digits)


def of_unit(value: float, unit: str, *, low: float | None = None) -> str:
    """Return a number with a unit as results name it; degrees apart are in K.

    With `low` it is a range from there.
    """
    kind = _IN_DATA.get(unit)
    if kind is not None:
        begin = "" if low is None else f"{number(kind, low)} to "
        return begin + quantity(kind, value)
    begin = "" if low is None else f"{low:g} to "
    return f"{begin}{value:g}" if unit in ("", "1") else f"{begin}{value:g} {unit}"


def from_data(text: str) -> str:
    """Return a text of a data file, where quantities stand in braces: {5 to 8 K}."""

    def read(match: re.Match[str]) -> str:
        low, high, name = match.groups()
        kind = _IN_DATA[name]
        start = f"{number(kind, float(low))} to " if high else ""
        return start + quantity(kind, float(high or low))

    return _DATA.sub(read, text)


#: Units in data files; degrees apart are in K.
_IN_DATA = {"K": DIFFERENCE} | {
    k.metric: k for k in (TEMPERATURE, SPEED, WIND, LENGTH, HEIGHT, DISTANCE, MASS)
}
_DATA = re.compile(r"\{(-?[\d.]+)(?: to (-?[\d.]+))? (K|°C|km/h|cm|km|kg|m)\}")


def in_units(text: str, system: System) -> str:
    """Return a text with its quantities written in a system of units."""
    if _BEGIN not in text:
        return text

    def written(match: re.Match[str]) -> str:
        code, sign, value, digits, with_unit = match.groups()
        kind = KINDS.get(code)
        if kind is None:
            return match[0]
        if value is None:
            return kind.unit(system)
        places = int(digits) if digits else None
        text = number_text(kind, float(value), places, system, signed=bool(sign))
        return f"{text} {kind.unit(system)}" if with_unit else text

    return _MARK.sub(written, text)


def column_kind(header: str) -> Kind | None:
    """Return the kind of a column by the unit alone in its heading."""
    found = [m for m in _MARK.finditer(header) if m[3] is None]
    return KINDS.get(found[-1][1]) if found else None


def number_text(
    kind: Kind,
    value: float,
    digits: int | None,
    system: System,
    *,
    signed: bool = False,
) -> str:
    """Return a number in a system of units, without its unit."""
    shown = kind.value(value, system)
    if system == "us" and kind.factor != 1.0:
        places = _us_digits(kind, value, digits)
    elif digits is None:
        shortest = f"{value:g}"
        return f"+{shortest}" if signed and value >= 0 else shortest
    else:
        places = digits
    return f"{round(shown, places) + 0.0:{'+' if signed else ''},.{places}f}"


def _us_digits(kind: Kind, value: float, digits: int | None) -> int:
    """Return the decimals of a value in US units.

    Temperatures keep those of °C, but one that is a whole °F to within its rounding is
    shown as one: 15.5 °C stands for 60 °F. Others have one below 10 and none above.
    """
    shown = kind.value(value, "us")
    off = abs(shown - round(shown))
    if kind not in (TEMPERATURE, DIFFERENCE):
        return 0 if abs(shown) >= 9.95 or off < 0.05 else 1
    places = digits
    if places is None:
        places = len(f"{value:g}".partition(".")[2])
        places = places if places <= _MOST_DIGITS else 1
    whole = kind is TEMPERATURE and places and off <= 10.0**-places + 1e-9
    return 0 if whole and (off > 1e-9 or digits is None) else places


def chosen(*wishes: str | None) -> System:
    """Return the first system of units that is asked for; metric without any.

    The order is that of who says it: the command or the page's setting, the home file,
    the reader's language.
    """
    return next((system for w in wishes for system in SYSTEMS if w == system), "metric")
