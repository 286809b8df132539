"""What to do with a plant before a cold night: carry, cover or leave."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

NightAction = Literal["carry", "cover", "leave"]

#: How far a forecast of the night minimum is off, as one standard deviation, on clear
#: still nights and on others. Our estimate: the sign of forecasts' bias is not settled
#: (one model's guide says 1 to 2 K too warm, its own table the other way), so it is a
#: margin and no correction. [K]
FORECAST_STILL_K, FORECAST_WINDY_K = 2.0, 1.0
#: What light fleece gives on a clear still night: 0.5 to 2 K by an extension service's
#: table; the lower middle is used. In wind it gives nothing to count on. [K]
FLEECE_K, FLEECE_RANGE_K = 1.0, (0.5, 2.0)
#: Cover counts from this regime weight on, and not in more wind at the station than
#: this (our estimates). [1, m/s]
COVER_WEIGHT, COVER_WIND_M_S = 0.5, 4.0
#: Gusts from which pots blow over: about 50 km/h (growers' reports), here less a tenth
#: for the forecast. Gusts over mean wind where none is told: memory. [m/s, 1]
GUST_M_S, GUST_FACTOR = 45 / 3.6, 1.6
#: Wind first: from this mean wind on (Beaufort 5, fresh breeze, 8.0 m/s). [m/s]
WIND_FIRST_M_S = 8.0


@dataclass(frozen=True)
class NightAir:
    """How a night is: clear and still, or windy, as far as it was told.

    Parameters
    ----------
    weight : float
        Regime weight, 1 clear and still, 0 windy or overcast.
    wind_m_s, gust_m_s : float or None
    """

    weight: float
    wind_m_s: float | None
    gust_m_s: float | None

    @property
    def forecast_margin_k(self) -> float:
        """Standard deviation of the forecast minimum. [K]"""
        w = self.weight
        return w * FORECAST_STILL_K + (1 - w) * FORECAST_WINDY_K

    @property
    def gusts_m_s(self) -> float | None:
        """Gusts as told, else from the mean wind; None where neither is. [m/s]"""
        if self.gust_m_s is not None or self.wind_m_s is None:
            return self.gust_m_s
        return GUST_FACTOR * self.wind_m_s

    @property
    def wind_first(self) -> bool:
        """Whether wind is the first danger for pots in the open."""
        gusts = self.gusts_m_s
        blowing = self.wind_m_s is not None and self.wind_m_s >= WIND_FIRST_M_S
        return blowing or (gusts is not None and gusts >= GUST_M_S)

    @property
    def cover_helps(self) -> bool:
        """Whether fleece keeps a plant warmer in such a night."""
        calm = self.wind_m_s is None or self.wind_m_s <= COVER_WIND_M_S
        return self.weight >= COVER_WEIGHT and calm and not self.wind_first

    @property
    def cover_gain_k(self) -> float:
        """What light fleece is counted to give. [K]"""
        return FLEECE_K if self.cover_helps else 0.0


def planned_c(expected_c: float, forecast_k: float, spot_k: float) -> float:
    """Return the minimum to plan for: expected less one joint standard deviation. [°C]

    The errors of forecast and spot are independent, so they join by their squares.
    """
    return expected_c - math.hypot(forecast_k, spot_k)


def action(
    plan_for_c: float,
    limits_c: tuple[float, float],
    air: NightAir,
    *,
    outdoors: bool,
    state: str = "established",
    exempt: bool = False,
) -> NightAction:
    """Return what to do with a plant for which a night is planned at a temperature.

    Carry it in where the night may harm it. Between what it tolerates and what it
    prefers, cover it where a cover helps; otherwise one such night does no harm.

    Parameters
    ----------
    plan_for_c : float
    limits_c : (float, float)
        Preferred and tolerated minimum.
    air : NightAir
    outdoors : bool
    state : str
        A plant that is not settled is carried in below what it prefers.
    exempt : bool
        The plant rests, or needs this cold: only a harmful night counts.
    """
    preferred_c, tolerated_c = limits_c
    if plan_for_c < tolerated_c:
        return "carry"
    if plan_for_c >= preferred_c or exempt:
        return "leave"
    if state != "established":
        return "carry"
    return "cover" if outdoors and air.cover_helps else "leave"
