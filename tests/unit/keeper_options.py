"""Options of what a keeper asks of a home: which number each moves, and which way."""

from __future__ import annotations

from tests.unit.test_home import EXAMPLE

BASE = {
    "tonight": (
        *("tonight", "My windowsill orchid", "--words", "4, wind 6 km/h, clear"),
        *("--spot", "open-rail", "--as-of", "2027-01-15"),
    ),
    "review": (
        *("review", "My windowsill orchid", "--demo", "--members", "3"),
        *("--spot", "roofed-balcony"),
    ),
    "event": (
        *("event", "My windowsill orchid", "--demo", "--at-spot", "open-rail"),
        *("--from", "2025-01-12", "--to", "2025-01-14", "--members", "3"),
    ),
}
#: Commands that read no record have weather options of their own.
NO_RECORD = {"tonight"}
#: Commands that write a file anew: their options are tried in their own tests.
WRITES = {"carried", "init"}
MOVES = {
    ("tonight", "words"): (["9, calm, clear"], "spots/0/expected_c", "up"),
    ("tonight", "spot"): (["wall-shelf"], "spots/1/name", "added"),
    ("tonight", "state"): (["in-spike"], "carry/0/preferred_c", "up"),
    ("tonight", "home"): ([str(EXAMPLE)], "home", "moved"),
    ("tonight", "demo"): ([], "home", "moved"),
    ("tonight", "at"): (["-33,18"], "forecast/place", "moved"),
    ("tonight", "town"): (["Zadar,HR"], "forecast/place", "moved"),
    ("tonight", "as-of"): (["2027-02-15"], "night/evening", "moved"),
    ("review", "spot"): (["open-rail"], "nights/0/model_c", "down"),
    ("review", "site"): (["hollow=yes"], "winters/0/mean_minimum_c", "down"),
    ("review", "winter"): (["2020/21"], "shown", "moved"),
    ("review", "below"): (["3"], "thresholds/0/threshold_c", "down"),
    ("review", "state"): (["in-spike"], "plants/0/preferred_c", "up"),
    ("review", "members"): (["9"], "nights/0/model_low_c", "moved"),
    ("review", "elevation"): (["600"], "winters/0/lowest_c", "down"),
    ("review", "home"): ([str(EXAMPLE)], "home", "moved"),
    ("event", "words"): (["3.1, 7 h below 8"], "spots/0/lowest_c/mid", "moved"),
    ("event", "at-spot"): (["heated-room"], "spots/0/lowest_c/mid", "up"),
    ("event", "state"): (["in-spike"], "plants/0/preferred/hours/mid", "up"),
    ("event", "members"): (["9"], "plants/0/preferred/degree_hours/low", "moved"),
    ("event", "elevation"): (["600"], "spots/0/lowest_c/mid", "down"),
    ("event", "home"): ([str(EXAMPLE)], "home", "moved"),
    ("tonight", "temperature-unit"): (["f"], "spots/0/expected_c", "down"),
}
FILES = {
    ("tonight", "html"),
    ("event", "html"),
    ("event", "csv"),
    ("review", "html"),
    ("review", "csv"),
}
#: Tried in their own tests.
ELSEWHERE = {
    *(("tonight", "station"), ("tonight", "zone")),
    *(("tonight", "only-if-needed"), ("tonight", "done")),
    *(("review", "against"), ("review", "png"), ("event", "png")),
}
