"""Errors as the page shows them: without paths and addresses of this machine.

Inputs and hints are typed in the errors themselves (`climrisk.core.references`); what
is taken out here stands in names of files and in the words of other programs.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable

from climrisk.core.paths import UPLOAD_PREFIX

_ADDRESS = re.compile(r"\b[a-z]+://[^\s,;)]+")
#: A path from the root, of which the name is shown.
_ABSOLUTE = re.compile(r"(?<![\w/.])(?:[A-Za-z]:)?[/\\](?:[^\s/\\:;,]+[/\\])+([\w.-]+)")


def without_paths(line: str, folders: Iterable[object] = ()) -> str:
    """Return an error without paths and addresses.

    Parameters
    ----------
    line : str
    folders : iterable of path
        Our own, of which nothing is shown.
    """
    for folder in sorted(map(str, folders), key=len, reverse=True):
        if len(folder) > 1:
            line = line.replace(folder + os.sep, "")
    line = _ABSOLUTE.sub(r"\1", line)
    line = re.sub(rf"\b{UPLOAD_PREFIX}[0-9a-f]{{16}}-", "", line)
    line = re.sub(r"\b[0-9a-f]{16}/", "", line)
    return _ADDRESS.sub("an address", line)
