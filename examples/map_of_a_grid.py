"""Where on a map a plant can live: five invented years of 24 by 24 cells.

python examples/map_of_a_grid.py [PICTURE.png]
"""

import sys
import tempfile
from pathlib import Path

from climrisk import region
from examples.made_region import dataset

with tempfile.TemporaryDirectory() as folder:
    grid, maps = Path(folder) / "grid.nc", Path(folder) / "maps.nc"
    dataset(24, 24, 5 * 8766).to_netcdf(grid, engine="h5netcdf")
    result = region(grid, ["Cymbidium, standard"], spot="roofed-balcony", out=maps)
    print(result.summary())
    if len(sys.argv) > 1:
        result.save(sys.argv[1])
