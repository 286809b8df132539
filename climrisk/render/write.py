"""Files written whole or not at all, never over a folder."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from climrisk.core.atomic_files import remove_leftovers, replace_file
from climrisk.core.errors import InputError
from climrisk.render.document import WeatherInfo
from climrisk.render.text import weather_line


def write_file(
    path: Path, data: str | bytes, *, option: str, private: bool = False
) -> str:
    """Write a file atomically and return its path as text.

    What a link leads to is replaced, not the link. A new file that is `private` can be
    read by its owner alone.

    Raises
    ------
    InputError
        The folder is not there or cannot be written; what was there stays.
    """
    raw = data.encode("utf-8") if isinstance(data, str) else data
    try:
        target = path.resolve()
        replace_file(target, raw, private=private)
        remove_leftovers(target.parent)
    except OSError as error:
        raise InputError(
            "cannot write the file",
            where=option,
            value=path,
            allowed=f"a place that can be written ({error.strerror})",
        ) from error
    return str(path)


def csv_text(
    header: Sequence[str], rows: Sequence[Sequence[object]], weather: WeatherInfo
) -> str:
    """Return a table as CSV; unknown is an empty field, every row names its weather."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    line = weather_line(weather)
    writer.writerow([*header, "weather"])
    writer.writerows([*row, line] for row in rows)
    return text.getvalue()
