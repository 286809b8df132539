"""Calibrate a spot from its own logger, here an invented one on an invented balcony.

python examples/calibrate_a_spot.py [PICTURE.png]
"""

import sys

from climrisk import Weather, learn
from climrisk.weather.synthetic_log import demo_log

station = Weather.demo()
logger = demo_log(
    station
)  # in real life: Weather.from_file("logger.csv", at="45.2,14.6")
result = learn(logger, spot="roofed-balcony", against=station)
print(result.summary())
print(f"Clear calm nights: {result.offset_still_k:+.1f} K ± {result.spread_k:.1f}")
if len(sys.argv) > 1:
    result.save(sys.argv[1])
