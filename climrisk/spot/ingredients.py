"""What the climate of a spot is worked out from, for a loop that does so itself.

`climrisk.spot.transfer.spot_climate` works out every part of the climate for every
hour. Where only the pot is asked for, over very many places, that costs several times
the pot: here the same formulas are made ready to be put into the pot's own loop.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from climrisk.physics.slabs import columns, is_known
from climrisk.spot.kinds import SpotKind
from climrisk.spot.modifiers import sited
from climrisk.spot.radiation import sky_lacking, surroundings_shares
from climrisk.spot.sunlight import reach
from climrisk.spot.transfer import (
    Prepared,
    air_at_kind_c,
    dew_at_kind_c,
    full,
)
from climrisk.spot.wind import wind_at_spot

Float = NDArray[np.floating]

#: Hours of the means that the surroundings follow; as many hours must stand before the
#: first that is asked for, unless the record begins there.
MEAN_H = 24


class Ingredients(NamedTuple):
    """Hours of a spot, nothing of them unknown.

    Parameters
    ----------
    rows : tuple of float32 array (time, case)
        By `ROWS`; of wind and share one row may stand for all hours.
    steps : tuple of int
        Of wind and share: 1, or 0 where one row stands for all hours.
    lit : bool array (time,)
        Whether there is any sunlight.
    winter : float32 array (time,)
    night : int64 array (time,)
        Index of each hour's night.
    weight : float32 array (night, case)
        Regime weight: 1 clear and still.
    numbers : float32 array
        By `NUMBERS`.
    """

    rows: tuple[Any, ...]
    steps: tuple[int, int]
    lit: Any
    winter: Any
    night: Any
    weight: Any
    numbers: Any

    def until(self, stop: int) -> Ingredients:
        """Return it without the hours from `stop` on."""
        return self._replace(
            rows=tuple(row[:stop] for row in self.rows),
            lit=self.lit[:stop],
            winter=self.winter[:stop],
            night=self.night[:stop],
        )


ROWS = (
    "spot_air_c",
    "spot_dew_point_c",
    "spot_wind_m_s",
    "station_c",
    "dew_point_c",
    "cloud_frac",
    "ghi_w_m2",
    "sine",  # of the sun's height, at least 0
    "share",  # of the beam that reaches the spot
    "window",  # 1 in the dark hours, 0 at midday
)
NUMBERS = (
    "diffuse_top",
    "diffuse_wall",
    "leak_k",
    "wall_slow",
    "wall_ground",
    "floor_slow",
    "floor_ground",
    "sky_wall",
    "sky_top",
    "lacking",
    "damper_k",  # of the dew point at the spot
)


def ingredients(prepared: Prepared, kind: SpotKind) -> tuple[Ingredients | None, Float]:
    """Return what a spot's climate is made of, and its air.

    Parameters
    ----------
    prepared : Prepared
        Of one world.
    kind : SpotKind

    Returns
    -------
    Ingredients or None
        None where any hour of any case lacks something: then the way round is
        `climrisk.spot.transfer.spot_climate`.
    ndarray of float32, shape (time, case)
        Air at the spot. [°C]
    """
    sky, weather, nightly = prepared.sky, prepared.weather, prepared.nightly
    kind = sited(kind, weather.place.latitude_deg)
    spot_c = air_at_kind_c(prepared, kind)
    shape = spot_c.shape
    got = reach(kind, sky, north=prepared.seasons.north)
    dew, damper = sky.dew_point_c, float(kind.dew_k[0])
    if kind.moist_pa is not None:
        dew, damper = dew_at_kind_c(prepared, kind), 0.0
    # The sky has stand-ins for its holes; they too are unknown where the air is.
    if not all(is_known(x) for x in (spot_c, weather.air_temp_c, dew)):
        return None, spot_c
    blowing = weather.get("wind_speed_m_s") is not None and not kind.indoors
    wind_m_s = sky.wind_m_s if blowing else sky.wind_m_s[:1]
    wind = wind_at_spot(kind, prepared.worlds, wind_m_s, (len(wind_m_s), shape[1]))
    share = got.beam if got.told else got.beam[:1]
    rows = (
        full(spot_c, shape),
        full(dew, shape),
        wind,
        full(weather.air_temp_c, shape),
        full(sky.dew_point_c, shape),
        full(sky.cloud_frac, shape),
        full(sky.ghi_w_m2, shape),
        full(columns(sky.sun.sin_elevation), shape),
        full(share, (len(share), shape[1])),
        full(nightly.window, shape),
    )
    steps = (int(len(wind) > 1), int(len(share) > 1))
    shares = surroundings_shares(kind)
    numbers = (
        *(got.diffuse_top, got.diffuse_wall, shares.leak_k),
        *(shares.wall_slow, shares.wall_ground),
        *(shares.floor_slow, shares.floor_ground),
        *(kind.sky_wall, kind.sky_top, sky_lacking(kind), damper),
    )
    weight = np.broadcast_to(
        columns(nightly.regimes.weight), (len(nightly.regimes.weight), shape[1])
    )
    made = Ingredients(
        rows,
        steps,
        sky.ghi_w_m2.max(axis=1) > 0,
        nightly.winter[:, 0].astype(np.float32),
        nightly.index.astype(np.int64),
        np.ascontiguousarray(weight, np.float32),
        np.array(numbers, np.float32),
    )
    return made, spot_c
