"""How fast pots dry at a spot by season, and how long they are wet and cold."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.pots.result import SEASONS, Season
from climrisk.core.arrays import Float
from climrisk.core.calendar import YEAR_H
from climrisk.core.ranges import Band
from climrisk.pot.drying import Drying, drying, just_watered
from climrisk.pot.forcing import unknown_hours
from climrisk.pot.model import FilledPot
from climrisk.pot.sensitivity import variants
from climrisk.spot.climate import SpotClimate
from climrisk.spot.transfer import Prepared

#: Days between waterings where none is given (our assumption).
USUAL_WATERING_D = 7.0
#: Each season is entered on so many mornings, evenly drawn from the record.
_STARTS, _MORNING_H = 8, 8
#: A start needs known hours ahead: no more than a tenth of these days unknown.
_AHEAD_D, _MOST_UNKNOWN = 14, 0.1


@dataclass
class PotWater:
    """Drying of pots at one spot.

    Parameters
    ----------
    prepared : Prepared
    climate : SpotClimate
    below_c : float
        Root zones colder than this count as cold. [°C]
    """

    prepared: Prepared
    climate: SpotClimate
    below_c: float
    season: NDArray[np.int64] = field(init=False)
    starts: NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        """Find the season of each hour and the hours of watering."""
        seasons = self.prepared.seasons
        # December to February are the first of `SEASONS` in the north, June to August
        # in the south.
        shift = 0 if seasons.north else 6
        self.season = (np.asarray(seasons.month) + shift) % 12 // 3
        unknown = unknown_hours(self.climate)
        lost = np.zeros(len(self.season))
        if unknown is not None:
            lost = unknown.mean(axis=1)
        ahead = 24 * _AHEAD_D
        total = np.concatenate([[0.0], np.cumsum(lost)])
        hours = np.flatnonzero(np.floor(seasons.hour) == _MORNING_H)
        hours = hours[hours + ahead < len(self.season)]
        known = (total[hours + ahead] - total[hours]) / ahead <= _MOST_UNKNOWN
        hours = hours[known]
        drawn = []
        for k in range(len(SEASONS)):
            mine = hours[self.season[hours] == k]
            pick = np.linspace(0, len(mine) - 1, min(_STARTS, len(mine)))
            drawn.append(mine[np.rint(pick).astype(int)] if len(mine) else mine)
        self.starts = np.concatenate(drawn)

    def cold_hours(self, root_c: Float) -> Float:
        """Return the hours a year below the limit, shape (season, member)."""
        known = np.isfinite(root_c)
        years = np.maximum(known.sum(axis=0), 1) / YEAR_H
        cold = root_c < self.below_c
        return np.array(
            [cold[self.season == k].sum(axis=0) / years for k in range(len(SEASONS))]
        )

    def dried(self, pot: FilledPot) -> list[Drying]:
        """Return how the pot dries, for each of its variants."""
        if not len(self.starts):
            return []
        wet = just_watered(pot).numbers
        return [
            drying(self.climate, pot, self.starts, numbers=v.numbers)
            for v in variants(wet)
        ]

    def dry_after_d(self, dried: list[Drying]) -> dict[Season, Band]:
        """Return days until dry by season, over starts, members and variants."""
        mine = self.season[self.starts]
        return {
            name: Band.of([d.dry_after_d[mine == k] for d in dried]).rounded(1)
            if (mine == k).any()
            else Band(None, None, None)
            for k, name in enumerate(SEASONS)
        }

    def wet_and_cold(
        self, pot: FilledPot, dried: list[Drying], cold: list[Float]
    ) -> Band | None:
        """Return the hours a year in which the medium is wet and the roots are cold.

        The share of the time in which the medium is wet, by season, times the cold
        hours of that season: watering does not choose warm days. Where rain falls on
        the pot, all cold hours may be wet ones.

        Parameters
        ----------
        pot : FilledPot
        dried, cold : list
            By variant, from `dried` and `cold_hours`.
        """
        every = watered_every_d(pot)
        mine = self.season[self.starts]
        hours = []
        for k in range(len(SEASONS)):
            here = [d.wet_share(every or 1.0)[mine == k] for d in dried]
            seasonal = np.array([c[k] for c in cold])
            if every is None:
                share = np.full(seasonal.shape, float(pot.water == "wet"))
            elif (mine == k).any():
                share = np.array([h.mean(axis=0) for h in here])
            elif seasonal.any():
                return None
            else:
                share = np.zeros(seasonal.shape)
            hours.append(share * seasonal)
        band = Band.of(np.sum(hours, axis=0))
        if self.climate.rain_reaches:
            most = Band.of(np.array(cold).sum(axis=1)).high
            band = Band(band.low, band.mid, most)
        return band.rounded(0)


def watered_every_d(pot: FilledPot) -> float | None:
    """Return the days between waterings, None where the pot is kept wet or dry."""
    if pot.watered_every_d is not None:
        return pot.watered_every_d
    return USUAL_WATERING_D if pot.water == "damp" else None
