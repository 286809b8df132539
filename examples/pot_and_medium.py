"""Which pot and medium keep the roots of a plant warmer on winter nights.

python examples/pot_and_medium.py [PICTURE.png]
"""

import sys

from climrisk import Pot, Spot, Weather, pots

result = pots(
    Weather.demo(years=10),
    [
        Pot("thin-plastic", 12, medium="expanded-clay"),
        Pot("terracotta", 12, medium="50 akadama + 50 grit"),
        Pot("self-watering", 12, medium="pine-bark-fine"),
        Pot("thin-plastic", 20, medium="pine-bark-fine"),
    ],
    plant="Phalaenopsis hybrids",
    spot=Spot("roofed-balcony"),
)
print(result.summary())
table = result.to_frame().set_index(["pot", "medium", "diameter_cm"])
print(table[["lowest_c", "time_constant_h", "warmer_k"]])
if len(sys.argv) > 1:
    result.save(sys.argv[1])
