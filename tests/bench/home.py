"""A large collection: 200 plants in 24 combinations of spot, pot and medium."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from climrisk.plants.registry import all_profiles
from tests.bench.timing import best, say

SPOTS = ("roofed-balcony", "wall-shelf", "roofed-walkway", "recessed-balcony")
POTS = ("thin-plastic", "terracotta", "net-pot")
MEDIA = ("pine-bark-fine", "expanded-clay")
PLANTS = 200


def text() -> str:
    """Return the home file."""
    spots = [f'[[spot]]\nname = "{s}"\nkind = "{s}"\n' for s in SPOTS]
    spots.append('[[room]]\nname = "sill"\nkind = "window-sill"\n')
    every = [(s, p, m) for s in SPOTS for p in POTS for m in MEDIA]
    known = [p.name for p in all_profiles() if p.limit("preferred") is not None]
    plants = []
    for i in range(PLANTS):
        spot, pot, medium = every[i % len(every)]
        plants.append(
            f'[[plant]]\nname = "{known[i % len(known)]}"\nlabel = "plant {i}"\n'
            f'spot = "{spot}"\npot = "{pot}"\nmedium = "{medium}"\n'
        )
    return "\n".join(["[weather]\ndemo = true\n", *spots, *plants])


def collection() -> None:
    """Print how long the commands take over the whole home, cold."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "home.toml"
        path.write_text(text(), "utf-8")
        run = [sys.executable, "-m", "climrisk", "calendar", "--home", str(path)]
        seconds = best(
            lambda: subprocess.run([*run, "--json"], check=True, capture_output=True), 2
        )
    say(f"calendar of {PLANTS} plants, cold", seconds, "s", "<= 2")
