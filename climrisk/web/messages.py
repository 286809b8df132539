"""Errors as the page says them: by what its forms call things, and without paths."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable

from climrisk.core.paths import UPLOAD_PREFIX

#: What an option, with what follows it, is called on the page.
_OPTIONS = (
    (r"--file (?:PATH|LOG|FILE)", "a logger's file"),
    (r"--file", "a logger's file"),
    (r"--demo", "the sample home"),
    (r"--home FILE", "your own home"),
    (r"--home", "your home"),
    (r"--town NAME(?:\[?,COUNTRY\]?)?", "a town"),
    (r"--at LAT,LON(?:\[,ELEVATION\])?", "a place"),
    (r"--at", "place"),
    (r"--station (?:ID|STATION)", "a station"),
    (r"--against (?:ID or FILE|STATION|ID)", "a station to compare with"),
    (r"--temperature-unit", "degrees of the file"),
    (r"--at-spot", "where it was cold"),
    (r"--below", "thresholds"),
    (r"--from, --to", "first and last day"),
    (r"--from", "first day"),
    (r"--to", "last day"),
    (r"--out(?: FILE\S*)?", "the file"),
    (r"--read", "time of reading"),
    (r"--as-of", "today"),
    (r"--means", "which plant is meant"),
)
_ASKED = tuple((re.compile(rf"(?<![\w-]){p}(?![\w-])"), w) for p, w in _OPTIONS)
#: An option before its example in quotes: the example is all there is to type.
_EXAMPLE = re.compile(r"(?<![\w-])--[a-z][a-z-]* (?=['\"])")
_OPTION = re.compile(r"(?<![\w-])--([a-z][a-z-]*)")
#: What only a terminal can do next.
_COMMAND = re.compile(
    r"[.?!…] (?:Allowed: )?[^.;:]*\bclimrisk (?:--help|assess|calendar|exposure"
    r"|init|learn|logger|plants|stations)\b.*$"
)
_UNIT_LATER = re.compile(r",? or --temperature-unit(?: c or f)?")
#: An address, or one of our own; a path from the root, of which the name is shown.
_ADDRESS = re.compile(r"\b[a-z]+://[^\s,;)]+")
_OWN_ADDRESS = re.compile(r"[.?!…] (?:Allowed: )?[^.;:]*(?<![\w.])/[a-z].*$")
_ABSOLUTE = re.compile(r"(?<![\w/.])(?:[A-Za-z]:)?[/\\](?:[^\s/\\:;,]+[/\\])+([\w.-]+)")


#: A choice in words of which the option follows in brackets.
_BOTH = re.compile(r" \(--(?:file|demo|town|at|station)\)")
_OUTAGE = "the weather service cannot be reached"
_OUTAGE_SHOWN = (
    "The weather service cannot be reached. Check the connection and try again, use "
    "your own logger's file, or look at the sample home."
)
_NO_FORECAST = (
    "The weather service cannot be reached. Type the forecast instead: lowest "
    "temperature, wind, sky."
)


def page_message(line: str, folders: Iterable[object] = ()) -> str:
    """Return an error without options, commands, paths and addresses.

    Parameters
    ----------
    line : str
        As the terminal prints it.
    folders : iterable of path
        Our own, of which nothing is shown.
    """
    if line.startswith(_OUTAGE):
        return _NO_FORECAST if "(forecast" in line else _OUTAGE_SHOWN
    for folder in sorted(map(str, folders), key=len, reverse=True):
        if len(folder) > 1:
            line = line.replace(folder + os.sep, "")
    line = _ABSOLUTE.sub(r"\1", line)
    line = re.sub(rf"\b{UPLOAD_PREFIX}[0-9a-f]{{16}}-", "", line)
    line = re.sub(r"\b[0-9a-f]{16}/", "", line)
    line = _ADDRESS.sub("an address", line)
    line = _COMMAND.sub("", line)
    line = _OWN_ADDRESS.sub("", line)
    line = _BOTH.sub("", line)
    line = _UNIT_LATER.sub("", line)
    line = _EXAMPLE.sub("", line)
    for pattern, words in _ASKED:
        line = pattern.sub(words, line)
    return _OPTION.sub(lambda m: m[1].replace("-", " "), line)
