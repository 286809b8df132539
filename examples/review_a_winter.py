"""Look back on a winter: the model against the spot's own logger, night by night.

python examples/review_a_winter.py [PICTURE.png]
"""

import sys

from climrisk import Weather, review
from climrisk.weather.synthetic_log import demo_log

station = Weather.demo()
logger = demo_log(station)
result = review(logger, ["Masdevallia"], spot="roofed-balcony", against=station)
print(result.summary())
nights = result.to_frame()
print(nights.dropna().tail())
if len(sys.argv) > 1:
    result.save(sys.argv[1])
