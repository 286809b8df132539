"""Before buying: three plants, two spots, on the invented demo weather.

python examples/before_buying.py [PICTURE.png]
"""

import sys

from climrisk import Spot, Weather, assess

hours = Weather.demo()
for plant in ("Phalaenopsis hybrids", "Epidendrum, reed-stem", "Cymbidium, standard"):
    for kind in ("open-rail", "roofed-balcony"):
        result = assess(hours, plant, spot=Spot(kind, facing="SE"), as_of="2026-11-25")
        year = result.air.preferred_per_growing_year
        print(
            f"{plant}, {kind}: {result.verdict.word}; "
            f"{year.typical:.0f} hours too cold in a typical year, "
            f"inside by {result.move_in.month_day or result.move_in.status}"
        )
if len(sys.argv) > 1:
    result.save(sys.argv[1])
