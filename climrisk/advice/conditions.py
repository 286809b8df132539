"""What a verdict asks for beside the moves: light, moister air, shade, dry roots."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Literal

from climrisk.advice.verdict import when

ConditionKind = Literal["light", "single nights", "heat", "dry air", "retreat"]

#: Light of a usual lamp for plants at the leaf (our estimate: a small one, 30 cm above
#: it, gives about as much). [µmol/m²/s]
LAMP_UMOL_M2_S = 100.0
#: Longer no lamp should burn: plants need a night (common practice, no source). [h]
LONGEST_LAMP_H = 16
#: Drier air than this does harm in a heated room (growers say 35 to 40 %). [%]
DRY_ROOM_PCT = 40.0


@dataclass(frozen=True)
class Condition:
    """Something to be done so that a verdict holds.

    Parameters
    ----------
    kind : str
    words : str
        As part of a sentence.
    months : tuple of int
    lamp_h : int or None
        Hours of a lamp a day in the darkest month.
    """

    kind: ConditionKind
    words: str
    months: tuple[int, ...] = ()
    lamp_h: int | None = None


def light_condition(
    floor: float | None, light: Mapping[int, float | None], order: Sequence[int]
) -> Condition | None:
    """Return the lamp that a plant needs where it stands, or None.

    Parameters
    ----------
    floor : float or None
        Daily light below which it declines. [mol/m²]
    light : mapping of int to float or None
        Daily light of each month where the plant stands then; None is unknown.
    order : sequence of int
        Months in the order of the growing year.
    """
    if floor is None:
        return None
    known = {m: x for m in order if (x := light.get(m)) is not None}
    dark = tuple(m for m in order if m in known and known[m] < floor)
    if not dark:
        return None
    missing = floor - min(known[m] for m in dark)
    hours = min(ceil(missing / (LAMP_UMOL_M2_S * 3600e-6)), LONGEST_LAMP_H)
    time = "all year" if len(dark) == len(order) else when(dark)
    return Condition("light", f"with a lamp for {hours} h a day {time}", dark, hours)
