"""Options of what a keeper asks of a home: which number each moves, and which way."""

from __future__ import annotations

from tests.unit.test_home import EXAMPLE

BASE = {
    "tonight": (
        *("tonight", "My windowsill orchid", "--words", "4, wind 6 km/h, clear"),
        *("--spot", "open-rail", "--as-of", "2027-01-15"),
    ),
}
#: Commands that read no record have weather options of their own.
NO_RECORD = {"tonight"}
#: Commands that write a file anew: their options are tried in their own tests.
WRITES = {"init"}
MOVES = {
    ("tonight", "words"): (["9, calm, clear"], "spots/0/expected_c", "up"),
    ("tonight", "spot"): (["wall-shelf"], "spots/1/name", "added"),
    ("tonight", "state"): (["in-spike"], "carry/0/preferred_c", "up"),
    ("tonight", "home"): ([str(EXAMPLE)], "home", "moved"),
    ("tonight", "demo"): ([], "home", "moved"),
    ("tonight", "at"): (["-33,18"], "forecast/place", "moved"),
    ("tonight", "town"): (["Zadar,HR"], "forecast/place", "moved"),
    ("tonight", "as-of"): (["2027-02-15"], "night/evening", "moved"),
    ("tonight", "temperature-unit"): (["f"], "spots/0/expected_c", "down"),
}
FILES = {("tonight", "html")}
#: Tried in their own tests.
ELSEWHERE = {("tonight", "station"), ("tonight", "zone")}
