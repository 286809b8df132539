"""Print how fast the parts are, and how they stand to plain ways of the same.

Every ratio comes from one run of one process; the best of several repeats is taken,
because whatever else the machine does only ever adds.
"""

from __future__ import annotations

import subprocess
import sys
import time
from functools import partial

import numpy as np
import pandas as pd

from climrisk.commands.assess.compute import assess
from climrisk.exposure.hours import expose
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare
from climrisk.weather.selection import WeatherChoice, load_weather
from tests.asking import question
from tests.bench.home import collection
from tests.bench.pot import kernel
from tests.bench.timing import best, say

THRESHOLDS = np.array([0.0, 5.0, 10.0, 13.0, 15.5])


def by_pandas(frame: pd.DataFrame, night: np.ndarray, month: np.ndarray) -> None:
    """Do what the pass does, one statistic after the other."""
    for limit in THRESHOLDS:
        cold = frame < limit
        cold.groupby(month).sum()
        (limit - frame).clip(lower=0).groupby(month).sum()
        for name in cold:
            column = cold[name]
            column.groupby((~column).cumsum()).sum().max()
    frame.groupby(night).min()
    frame.groupby(night).count()


def passes() -> None:
    weather = load_weather(WeatherChoice(demo=True))
    prepared = prepare(weather, ensemble(1))
    seasons, dark = prepared.seasons, prepared.dark
    air = weather.air_temp_c.astype(np.float32)
    month = seasons.growing_year * 12 + seasons.month
    for cases, repeats in ((1, 5), (64, 8)):
        values = np.ascontiguousarray(
            air + np.linspace(-2, 2, cases, dtype=np.float32)[None, :]
        )
        counted = {"dark_hours": prepared.dark_hours}
        run = partial(expose, values, seasons, dark, THRESHOLDS, **counted)
        ours = best(run, repeats)
        read = best(values.sum, repeats)
        some = min(cases, 4)
        frame = pd.DataFrame(values[:, :some].astype(float))
        start = time.perf_counter()
        by_pandas(frame, seasons.night, month)
        pandas = (time.perf_counter() - start) * cases / some
        label = f"exposure pass, 5 thresholds, {cases} case{'s' * (cases > 1)}"
        say(label, ours / values.size * 1e9, "ns per case-hour")
        say("  against one read of the array", ours / read, "times", "many: <= 4")
        say("  pandas with runs against it", pandas / ours, "times", "25; many: 100")


def commands() -> None:
    weather = load_weather(WeatherChoice(demo=True))
    request = question(
        "Phalaenopsis hybrids", spot="roofed-balcony", today=WeatherChoice().today
    )
    warm = best(lambda: assess(weather, request), 3)
    say("assess, warm process", warm, "s", "<= 0.5")

    def cold(*words: str) -> float:
        run = [sys.executable, *words]
        return best(lambda: subprocess.run(run, check=True, capture_output=True), 3)

    plain = cold("-c", "import typer")
    say("--help, cold, against import typer", cold("-m", "climrisk", "--help") / plain,
        "times", "<= 2.5")  # fmt: skip
    words = ("assess", "Phalaenopsis hybrids", "--demo", "--spot", "roofed-balcony")
    say("assess --demo, cold", cold("-m", "climrisk", *words), "s", "<= 1.5")
    bare = cold("-c", "import numpy, pydantic, typer, llvmlite.binding")
    say("  of which importing the libraries alone", bare, "s")
    say("calendar --demo, cold", cold("-m", "climrisk", "calendar", "--demo"), "s")


def main() -> None:
    passes()
    kernel()
    commands()
    collection()


if __name__ == "__main__":
    main()
