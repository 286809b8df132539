"""What a keeper tells about a spot beyond its kind: facing, floor, eaves, glass ..."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Literal

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import field

Insulation = Literal["none", "ordinary", "good"]
Glass = Literal["single", "double", "low-e"]
Curtain = Literal["open", "room-side", "glass-side"]
Heating = Literal["on", "failed"]
Vents = Literal["automatic", "closed"]

#: Storeys are about 3 m, and a pot stands about a meter above its floor.
STOREY_M, POT_ABOVE_FLOOR_M = 3.0, 1.0
_COMPASS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(frozen=True)
class Site:
    """Particulars of a spot; None where the keeper told nothing.

    Parameters
    ----------
    facing_deg : float
        Where the open side looks, clockwise from north. [degrees]
    floor : int
        Storey, 0 at ground level.
    eaves_m, eaves_above_m : float
        How far eaves or the balcony above reach out beyond the plant, and how high
        above it they are (1.5 m where unsaid). [m]
    horizon_deg : float
        Height of the houses or hills opposite. [degrees]
    walls : int
        Walls around, 0 to 3.
    house_m : float
        Distance from a heated house. [m]
    hollow : bool
        Whether cold air gathers there.
    shade_frac : float
        Share of the light that a shade cloth takes, all year; in a glasshouse it stands
        in the place of the usual summer shading (0 for none).
    vents : {"automatic", "closed"}
        Of a glasshouse or glazed balcony: opened in warmth, as usual, or never.
    screen_open_frac : float
        Open share of a wind screen before the plant.
    wet_floor : bool
        Whether the floor is kept wet by day.
    insulation : {"none", "ordinary", "good"}
        Of the wall behind.
    glass : {"single", "double", "low-e"}
        Of the window of a sill.
    from_glass_cm : float
        Distance from the pane. [cm]
    curtain : {"open", "room-side", "glass-side"}
        By night: drawn on the room's side of the plant, or between it and the pane.
    set_point_c, set_back_c : float
        Of a heated room by day and by night. [°C]
    heating : {"on", "failed"}
    heating_months : tuple of int
        First and last month of the heating season.
    """

    facing_deg: float | None = None
    floor: int | None = None
    eaves_m: float | None = None
    eaves_above_m: float | None = None
    horizon_deg: float | None = None
    walls: int | None = None
    house_m: float | None = None
    hollow: bool | None = None
    shade_frac: float | None = None
    vents: Vents | None = None
    screen_open_frac: float | None = None
    wet_floor: bool | None = None
    insulation: Insulation | None = None
    glass: Glass | None = None
    from_glass_cm: float | None = None
    curtain: Curtain | None = None
    set_point_c: float | None = None
    set_back_c: float | None = None
    heating: Heating | None = None
    heating_months: tuple[int, int] | None = None

    @property
    def height_m(self) -> float | None:
        """Height of the pot above the ground, from the storey. [m]"""
        if self.floor is None:
            return None
        return STOREY_M * self.floor + POT_ABOVE_FLOOR_M

    @property
    def specified(self) -> tuple[str, ...]:
        """Names of the fields that are told."""
        return tuple(f.name for f in fields(self) if getattr(self, f.name) is not None)

    def over(self, other: Site) -> Site:
        """Return both together; where both tell, this one counts."""
        mine = {name: getattr(self, name) for name in self.specified}
        return replace(other, **mine)


#: Keys that a keeper writes, the field they set, and their range where they have one.
_NUMBERS: dict[str, tuple[str, float, float, str]] = {
    "eaves": ("eaves_m", 0, 10, "m"),
    "eaves_above": ("eaves_above_m", 0.3, 10, "m"),
    "horizon": ("horizon_deg", 0, 80, "degrees"),
    "house": ("house_m", 0, 1000, "m"),
    "from_glass": ("from_glass_cm", 0, 300, "cm"),
    "set_point": ("set_point_c", 5, 35, "°C"),
    "set_back": ("set_back_c", 0, 35, "°C"),
}
_WHOLE = {"floor": (0, 100), "walls": (0, 3)}
_SHARES = {"shade": ("shade_frac", 0.95), "screen": ("screen_open_frac", 1.0)}
_YES_NO = ("hollow", "wet_floor")
_WORDS: dict[str, tuple[str, ...]] = {
    "insulation": ("none", "ordinary", "good"),
    "glass": ("single", "double", "low-e"),
    "curtain": ("open", "room-side", "glass-side"),
    "heating": ("on", "failed"),
    "vents": ("automatic", "closed"),
}
#: Every key of a site, in the order of `Site`.
KEYS = (
    *("facing", "floor", "eaves", "eaves_above", "horizon", "walls", "house"),
    *("hollow", "shade", "vents", "screen", "wet_floor", "insulation", "glass"),
    *("from_glass", "curtain", "set_point", "set_back", "heating", "heating_months"),
)


def site_of(specified: Mapping[str, object], *, where: str) -> Site:
    """Return a site from keys and values as a keeper writes them.

    Parameters
    ----------
    specified : mapping of str to object
        Keys of `KEYS`; values as text or numbers, such as ``facing: "SE"``,
        ``shade: "50%"``. None is not told.
    where : str
        Option or file, for messages.

    Raises
    ------
    InputError
        An unknown key, or a value out of range.
    """
    values: dict[str, object] = {}
    for key, value in specified.items():
        name = key.replace("-", "_")
        if name not in KEYS:
            name = validation.named(key, KEYS, what="particular of a spot", where=where)
        if value is None:
            continue
        attribute, read = _read(name, value, f"{where} {name}")
        values[attribute] = read
    return Site(**values)  # type: ignore[arg-type]


def parse_site(pairs: Sequence[str], *, where: str = field("site")) -> Site:
    """Return a site from texts such as ``facing=SE``.

    Raises
    ------
    InputError
        A text without ``=``, the same key twice, or what `site_of` refuses.
    """
    specified: dict[str, object] = {}
    for pair in pairs:
        key, sign, value = pair.partition("=")
        key = key.lower().replace("-", "_").strip(" _")
        if not sign or not value.strip():
            raise InputError(
                "not KEY=VALUE",
                where=where,
                value=pair,
                allowed=" ".join(KEYS),
                next_step="write such as "
                f"{field('site', 'facing=SE')} {field('site', 'floor=3')}",
            )
        if key in specified:
            raise InputError(f"{key} is given twice", where=where, value=pair)
        specified[key] = value.strip()
    return site_of(specified, where=where)


def _read(key: str, value: object, where: str) -> tuple[str, object]:
    if key == "facing":
        return "facing_deg", _facing(value, where)
    if key == "heating_months":
        return key, _months(value, where)
    if key in _NUMBERS:
        attribute, low, high, unit = _NUMBERS[key]
        number = _number(value, where)
        return attribute, validation.number_in(
            number, low, high, what=key, where=where, unit=unit
        )
    if key in _WHOLE:
        low, high = _WHOLE[key]
        number = validation.number_in(
            _number(value, where), low, high, what=key, where=where
        )
        if number != int(number):
            raise InputError("not a whole number", where=where, value=str(value))
        return key, int(number)
    if key in _SHARES:
        attribute, high = _SHARES[key]
        return attribute, validation.number_in(
            _share(value, where), 0, high, what=key, where=where
        )
    if key in _YES_NO:
        return key, _yes_no(value, where)
    return key, validation.named(str(value), _WORDS[key], what=key, where=where)


def _number(value: object, where: str) -> float:
    try:
        number = math.nan if isinstance(value, bool) else float(str(value))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise InputError(
            "not a number", where=where, value=str(value), allowed="a number"
        )
    return number


def _share(value: object, where: str) -> float:
    text = str(value).strip()
    if text.endswith("%"):
        return _number(text[:-1], where) / 100
    return _number(text, where)


def _yes_no(value: object, where: str) -> bool:
    known = {"yes": True, "true": True, "no": False, "false": False}
    word = str(value).strip().lower()
    if word not in known:
        raise InputError("neither yes nor no", where=where, value=str(value))
    return known[word]


def _facing(value: object, where: str) -> float:
    word = str(value).strip().upper()
    if word in _COMPASS:
        return 45.0 * _COMPASS.index(word)
    try:
        number = float(word)
    except ValueError:
        number = math.nan
    if not 0 <= number <= 360:
        raise InputError(
            "no direction",
            where=where,
            value=str(value),
            allowed=f"{' '.join(_COMPASS)}, or degrees from north, 0 to 360",
        )
    return number % 360


def _months(value: object, where: str) -> tuple[int, int]:
    first, _, last = str(value).partition("-")
    ends = [int(part) if part.strip().isdigit() else 0 for part in (first, last)]
    if not all(1 <= end <= 12 for end in ends):
        raise InputError(
            "no months",
            where=where,
            value=str(value),
            allowed="FIRST-LAST, such as 10-4 for October to April",
        )
    return ends[0], ends[1]
