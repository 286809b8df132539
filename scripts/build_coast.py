"""Write the coarse mask of the sea from the package global-land-mask (data: GLOBE)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from global_land_mask import globe

from climrisk.weather.stations.coast import CELLS_A_DEGREE, FILE, NORTH, SOUTH

FINE = 120  # cells a degree of the fine mask
factor = FINE // CELLS_A_DEGREE
# The fine mask runs from north to south and from west to east; true is sea.
sea = globe._mask
assert sea.shape == (180 * FINE, 360 * FINE)
assert globe._lat[0] > globe._lat[-1]
assert globe._lon[0] < globe._lon[-1]
rows = slice((90 - NORTH) * FINE, (90 - SOUTH) * FINE)
part = sea[rows]
height, width = part.shape[0] // factor, part.shape[1] // factor
counts = part.reshape(height, factor, width, factor).sum(axis=(1, 3))
coarse = counts * 2 >= factor * factor
path = Path(__file__).parents[1] / "climrisk" / "weather" / "data" / FILE
np.savez_compressed(path, sea=np.packbits(coarse, axis=1))
print(f"{path}: {path.stat().st_size:,} bytes, {coarse.mean():.3f} sea")
