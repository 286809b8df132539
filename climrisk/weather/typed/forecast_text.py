"""A forecast as people type it: ``4, wind 6 km/h, clear``."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import field, off_page

NUMBER = r"(-?\d+(?:[.,]\d+)?)"
END = r"(?![a-z0-9])"
DEGREES = rf"(?:\s*(c|f|celsius|fahrenheit|degrees?|deg){END})?"
_SPEED = rf"(?:\s*(km/?h|kmph|kph|m/s|mps|mph|knots?|kno?ts?|kn|kt){END})?"
_POINT = r"(?:n|s|e|w|ne|nw|se|sw|nne|ene|ese|sse|ssw|wsw|wnw|nnw)"
_TO_M_S = {"km/h": 1 / 3.6, "m/s": 1.0, "mph": 0.44704, "kn": 1852 / 3600}
_BEAUFORT = 0.836  # m/s over force to the power 1.5 (WMO, code table 1100)

#: Words for the sky as cloud cover. Few, scattered, broken and overcast are the oktas
#: of the trade (1-2, 3-4, 5-7, 8); the others our reading of plain words.
SKY = {
    "clear sky": 0.0,
    "clear": 0.0,
    "cloudless": 0.0,
    "starry": 0.0,
    "mostly clear": 0.2,
    "fair": 0.2,
    "few clouds": 0.2,
    "partly cloudy": 0.45,
    "partly clear": 0.45,
    "scattered clouds": 0.45,
    "scattered": 0.45,
    "some cloud": 0.45,
    "some clouds": 0.45,
    "half cloudy": 0.5,
    "broken clouds": 0.75,
    "broken": 0.75,
    "mostly cloudy": 0.75,
    "cloudy": 0.85,
    "overcast": 1.0,
    "gray": 1.0,
    "grey": 1.0,
    "fog": 1.0,
    "foggy": 1.0,
    "mist": 1.0,
    "rain": 1.0,
    "rainy": 1.0,
    "showers": 0.85,
    "drizzle": 1.0,
    "sleet": 1.0,
    "snow": 1.0,
}
#: Words for wind by the names of the Beaufort scale, as its force.
WIND = {
    "no wind": 0,
    "calm": 0,
    "still": 0,
    "windless": 0,
    "light air": 1,
    "light winds": 2,
    "light wind": 2,
    "light breeze": 2,
    "gentle breeze": 3,
    "moderate breeze": 4,
    "moderate wind": 4,
    "fresh breeze": 5,
    "fresh wind": 5,
    "strong breeze": 6,
    "strong wind": 6,
    "windy": 6,
    "near gale": 7,
    "gale": 8,
    "strong gale": 9,
    "stormy": 10,
    "storm": 10,
}
_FILLERS = ("and", "with", "tonight", "sky", "skies", "about", "around")
_EXAMPLE = field("words", "'4, wind 6 km/h, clear'")
_ASK = f"write such as {_EXAMPLE} or '39F, wind 4 mph, cloudy'"
#: A night minimum above this, without a unit, may be in either. [°C]
EITHER_C = 25.0


@dataclass(frozen=True)
class TypedWeather:
    """A night's forecast as typed.

    Parameters
    ----------
    lowest_c : float
        Night minimum. [°C]
    highest_c : float or None
        Of the day. [°C]
    wind_m_s, gust_m_s : float or None
    cloud_frac : float or None
    understood : str
        What was read, in the units that were typed.
    """

    lowest_c: float
    highest_c: float | None = None
    wind_m_s: float | None = None
    gust_m_s: float | None = None
    cloud_frac: float | None = None
    understood: str = ""


class _Reader:
    """Takes a text apart from its beginning; every word must be understood."""

    def __init__(self, text: str, unit: str | None) -> None:
        self.text, self.unit = text, unit
        self.temps: dict[str, tuple[float, str]] = {}
        self.speeds: dict[str, tuple[float, str]] = {}
        self.cloud: float | None = None
        self.said: dict[str, str] = {}
        self.rules: list[tuple[re.Pattern[str], Callable[[re.Match[str]], None]]] = [
            (re.compile(pattern), take)
            for pattern, take in (
                (
                    rf"(?:wind\s+)?gust(?:s|ing)?:?(?:\s+(?:of|up\s+to|to))?\s*"
                    rf"{NUMBER}{_SPEED}{END}",
                    lambda m: self._speed("gusts", m[1], m[2]),
                ),
                (
                    rf"(?:{_POINT}\s+)?winds?(?:\s+speed)?:?(?:\s+(?:of|from))?"
                    rf"(?:\s+{_POINT}{END})?"
                    rf"\s*{NUMBER}{_SPEED}{END}",
                    lambda m: self._speed("wind", m[1], m[2]),
                ),
                (
                    r"(?:wind\s+)?(?:bft|beaufort|force)\s*(\d{1,2})" + END,
                    lambda m: self._force(int(m[1])),
                ),
                (r"(?:wind\s+)?(\d{1,2})\s*(?:bft|beaufort)", self._force_of),
                (
                    rf"{NUMBER}{_SPEED[:-1]}(?:\s+(?:{_POINT}\s+)?winds?)?{END}",
                    lambda m: self._speed("wind", m[1], m[2]),
                ),
                (
                    rf"cloud(?:s|iness|\s+cover)?:?\s*{NUMBER}\s*(%|/\s*8){END}",
                    lambda m: self._cloud(m[1], m[2]),
                ),
                (
                    rf"{NUMBER}\s*(%)\s*cloud(?:s|iness|\s+cover)?{END}",
                    lambda m: self._cloud(m[1], m[2]),
                ),
                (rf"{NUMBER}\s*(/\s*8){END}", lambda m: self._cloud(m[1], m[2])),
                (
                    rf"(?:max(?:imum)?\.?|highs?|highest|by\s+day|day)"
                    rf"(?:\s+(?:of|about|around))?:?\s*"
                    rf"{NUMBER}{DEGREES}{END}",
                    lambda m: self._temp("maximum", m[1], m[2]),
                ),
                (
                    rf"(?:(?:min(?:imum)?\.?|lows?|lowest|night|temp(?:erature)?)"
                    rf"(?:\s+(?:of|about|around))?:?\s*)?"
                    rf"{NUMBER}{DEGREES}{END}",
                    lambda m: self._temp("minimum", m[1], m[2]),
                ),
            )
        ]

    def read(self) -> None:
        rest = self.text.lower().replace("−", "-").replace("–", "-")
        rest = re.sub(r"\bminus\s+(?=\d)", "-", rest)
        rest = re.sub(r"º|°|℃|℉", _degree_sign, rest)
        while rest := rest.lstrip(" ,;.\t\n"):
            rest = self._step(rest)

    def _step(self, rest: str) -> str:
        for pattern, take in self.rules:
            if match := pattern.match(rest):
                take(match)
                return rest[match.end() :]
        for words, put in ((SKY, self._sky), (WIND, self._wind_word)):
            for word in sorted(words, key=len, reverse=True):
                if match := re.match(word.replace(" ", r"\s+") + END, rest):
                    put(word)
                    return rest[match.end() :]
        if match := re.match(rf"(?:from\s+)?(?:the\s+)?{_POINT}{END}", rest):
            return rest[match.end() :]
        for word in _FILLERS:
            if match := re.match(word + END, rest):
                return rest[match.end() :]
        first = re.split(r"[,;]", rest, maxsplit=1)[0].strip()
        raise self._wrong("not understood", first)

    def _wrong(self, what: str, value: object, allowed: str = "") -> InputError:
        return InputError(
            what,
            where=field("words"),
            value=value,
            allowed=allowed
            or "a minimum, optionally a maximum, wind and gusts with their unit, and "
            "a word for the sky such as clear, partly cloudy, cloudy, overcast",
            next_step=_ASK,
        )

    def _temp(self, which: str, number: str, unit: str | None) -> None:
        if which in self.temps:
            raise self._wrong(f"two values for the {which}", self.text)
        self.temps[which] = (_float(number), (unit or "")[:1].replace("d", ""))

    def _speed(self, which: str, number: str, unit: str | None) -> None:
        if which in self.speeds:
            raise self._wrong(f"two values for {which}", self.text)
        self.speeds[which] = (_float(number), _unit_of(unit or ""))

    def _force_of(self, match: re.Match[str]) -> None:
        self._force(int(match[1]))

    def _force(self, force: int) -> None:
        if force > 12:
            raise self._wrong("no such force of wind", force, "0 to 12 Beaufort")
        self._speed("wind", f"{_BEAUFORT * force**1.5:.2f}", "m/s")
        self.said["wind"] = f"wind of force {force}"

    def _wind_word(self, word: str) -> None:
        self._force(WIND[word])
        self.said["wind"] = word

    def _cloud(self, number: str, of: str) -> None:
        share = _float(number) / (100 if of == "%" else 8)
        if not 0 <= share <= 1:
            raise self._wrong("no cloud cover", number + of, "0 to 100 % or 0/8 to 8/8")
        self._sky_share(share)
        self.said["sky"] = f"{share:.0%} cloud"

    def _sky(self, word: str) -> None:
        self._sky_share(SKY[word])
        self.said["sky"] = word

    def _sky_share(self, share: float) -> None:
        if self.cloud is not None and self.cloud != share:
            raise self._wrong("two words for the sky", self.text)
        self.cloud = share

    def temperature(self, which: str) -> float | None:
        """Return a temperature in Celsius; its unit must be beyond doubt."""
        if which not in self.temps:
            return None
        value, unit = self.temps[which]
        used = unit or next((u for _, u in self.temps.values() if u), "") or self.unit
        imperial = any(u == "mph" for _, u in self.speeds.values())
        if not used and (value > EITHER_C + 10 * (which == "maximum") or imperial):
            raise self._wrong(
                "Celsius or Fahrenheit?",
                f"{value:g}",
                f"{value:g}C or {value:g}F"
                + off_page(f", or {field('temperature_unit')}"),
            )
        name = {"minimum": "lowest", "maximum": "highest"}[which]
        self.said[which] = f"{name} {value:g} °{'F' if used == 'f' else 'C'}"
        celsius = (value - 32) / 1.8 if used == "f" else value
        return validation.number_in(
            round(celsius, 2), -60, 55, what=which, where=field("words"), unit="°C"
        )

    def speed(self, which: str) -> float | None:
        """Return a speed in m/s; one unit serves wind and gusts."""
        if which not in self.speeds:
            return None
        value, unit = self.speeds[which]
        unit = unit or next((u for _, u in self.speeds.values() if u), "")
        if not unit:
            raise self._wrong(
                f"no unit of {which}", f"{value:g}", "km/h, m/s, mph, knots or Beaufort"
            )
        shown = {"kn": "knots"}.get(unit, unit)
        self.said.setdefault(which, f"{which} {value:g} {shown}")
        return validation.number_in(
            value * _TO_M_S[unit], 0, 113, what=which, where=field("words"), unit="m/s"
        )


def parse_words(text: str, unit: str | None = None) -> TypedWeather:
    """Return a night's forecast from words.

    Parameters
    ----------
    text : str
        Such as ``4, wind 6 km/h, clear`` or ``39F, NE wind 20 gusts 35 mph, 3/8``.
    unit : {"c", "f"}, optional
        Of temperatures that say none; Celsius where it is beyond doubt.

    Raises
    ------
    InputError
        A word that is not understood, something said twice, a unit in doubt, or
        nothing of the minimum; every message shows how to write it.
    """
    reader = _Reader(text, unit)
    reader.read()
    lowest = reader.temperature("minimum")
    if lowest is None:
        raise InputError(
            "no night minimum among the words",
            where=field("words"),
            value=text,
            next_step=_ASK,
        )
    highest = reader.temperature("maximum")
    wind, gust = reader.speed("wind"), reader.speed("gusts")
    if highest is not None and highest < lowest:
        raise InputError(
            "the maximum lies below the minimum", where=field("words"), value=text
        )
    if wind is not None and gust is not None and gust < wind:
        raise InputError(
            "the gusts are weaker than the wind", where=field("words"), value=text
        )
    order = ("minimum", "maximum", "wind", "gusts", "sky")
    understood = ", ".join(reader.said[k] for k in order if k in reader.said)
    return TypedWeather(lowest, highest, wind, gust, reader.cloud, understood)


def _float(number: str) -> float:
    return float(number.replace(",", "."))


def _degree_sign(match: re.Match[str]) -> str:
    return {"℃": " c", "℉": " f"}.get(match[0], " ")


def _unit_of(text: str) -> str:
    plain = text.lower()
    if plain.startswith(("km", "kp")):
        return "km/h"
    if plain in ("m/s", "mps"):
        return "m/s"
    if plain == "mph":
        return "mph"
    return "kn" if plain else ""
