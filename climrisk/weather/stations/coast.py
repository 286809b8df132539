"""How far a place is from the sea, by a coarse mask of land and sea.

The mask has cells of a twentieth of a degree (about 5 km), from the GLOBE elevation
data of NOAA (public domain); lakes are land. It tells a coastal station from an inland
one, and not which side of the street is nearer.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

FILE = "coast.npz"
CELLS_A_DEGREE, NORTH, SOUTH = 20, 78, -58
#: Beyond this the sea no longer shapes a place's nights (estimate). [km]
FAR_KM = 100.0
_KM_A_DEGREE = 111.2


@lru_cache(maxsize=1)
def _packed() -> NDArray[np.uint8]:
    file = resources.files("climrisk.weather").joinpath(f"data/{FILE}")
    with file.open("rb") as held, np.load(held) as block:
        return np.asarray(block["sea"])


@lru_cache(maxsize=512)
def coast_km(latitude_deg: float, longitude_deg: float) -> float | None:
    """Return the distance to the sea in km, to about 5 km.

    None where no sea lies within 100 km, or beyond the mask's 78° north and 58° south.
    """
    if not SOUTH <= latitude_deg <= NORTH:
        return None
    packed = _packed()
    degrees = FAR_KM / _KM_A_DEGREE
    row = (NORTH - latitude_deg) * CELLS_A_DEGREE
    first = max(0, int(row - degrees * CELLS_A_DEGREE))
    last = min(len(packed), int(row + degrees * CELLS_A_DEGREE) + 1)
    sea = np.unpackbits(packed[first:last], axis=1).astype(bool)
    lat = NORTH - (np.arange(first, last) + 0.5) / CELLS_A_DEGREE
    lon = (np.arange(sea.shape[1]) + 0.5) / CELLS_A_DEGREE - 180.0
    north = (lat - latitude_deg)[:, None] * _KM_A_DEGREE
    away = (lon - longitude_deg + 180.0) % 360.0 - 180.0
    east = away[None, :] * _KM_A_DEGREE * np.cos(np.deg2rad(lat))[:, None]
    distance = np.where(sea, np.hypot(north, east), np.inf)
    # From the middle of a cell to its edge is half of it.
    nearest = float(distance.min()) - 0.5 * _KM_A_DEGREE / CELLS_A_DEGREE
    return None if nearest > FAR_KM else round(max(nearest, 0.0), 1)
