"""Weather from a file, told by its content and never by its name."""

from __future__ import annotations

import re
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from climrisk.core.errors import InputError
from climrisk.core.references import by, field
from climrisk.weather.series import Place, WeatherSeries

if TYPE_CHECKING:
    from climrisk.weather.tables.logger import LoggerTable, TableFormat

#: Station number, city, state, zone, latitude and longitude in degrees and minutes.
_TMY2_HEADER = re.compile(
    r"\s?\d{5}\s+\S.{0,25}\s[A-Z]{2}\s+-?\d+\s+[NS]\s*\d+\s+\d+\s+[EW]\s*\d+"
)
_KINDS = "a logger table (CSV), EPW or TMY file, NetCDF or Zarr"


def read_weather(
    path: Path,
    *,
    place: Place | None = None,
    temperature_unit: Literal["c", "f"] | None = None,
    date_order: Literal["dmy", "mdy", "ymd"] | None = None,
    clock: Literal["local", "standard", "utc"] | None = None,
    column: str | None = None,
    measured_at: Literal["spot", "station"] | None = None,
) -> WeatherSeries:
    """Return the weather of a file.

    Parameters
    ----------
    path : Path
    place : Place, optional
        Where a logger hung; needed for its seasons and clock.
    temperature_unit, date_order, clock : str, optional
        What the file itself does not tell.
    column : str, optional
        Header of the temperature column, where a logger has several.
    measured_at : str, optional
        A logger counts as of the spot, a typical year as of a station.

    Raises
    ------
    InputError
        The file cannot be read, or leaves open what must be asked.
    """
    from climrisk.weather.grids.store import is_grid

    if is_grid(path):
        from climrisk.weather.grids.cell import read_cell

        return read_cell(path, place, measured_at=measured_at)
    text = read_text(path)
    if _is_typical(text):
        return _typical(path, text, measured_at)
    from climrisk.weather.tables.logger import TableFormat, read_logger

    specified = TableFormat(temperature_unit, date_order, clock, column)
    table = read_logger(path, text, place=place, specified=specified)
    return table.series(measured_at or "spot")


def read_table(
    path: Path, *, place: Place | None, specified: TableFormat
) -> LoggerTable:
    """Return a logger's table as it was understood.

    Raises
    ------
    InputError
        The file is a typical year, or no table, or leaves open what must be asked.
    """
    from climrisk.weather.tables.logger import read_logger

    text = read_text(path)
    if _is_typical(text):
        raise InputError(
            "the file is a typical year and no logger's table",
            where=str(path),
            next_step=by(
                cli=f"climrisk exposure {field('file')} {path} {field('below', '10')}",
                python="use it as weather: Weather.from_file",
            ),
        )
    return read_logger(path, text, place=place, specified=specified)


def read_text(path: Path) -> str:
    """Return the text of a file: UTF-8, UTF-16 or Latin-1.

    Raises
    ------
    InputError
        Not there, a folder, empty, or not text.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise InputError(
            "no such file", where=field("file"), value=path, next_step="check the path"
        ) from error
    except OSError as error:
        raise InputError(
            f"not a file that can be read ({error.strerror})",
            where=field("file"),
            value=path,
            allowed=_KINDS,
        ) from error
    if not data.strip():
        raise InputError("the file is empty", where=str(path), allowed=_KINDS)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if b"\x00" in data[:4096]:
        raise InputError("the file is not text", where=str(path), allowed=_KINDS)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    strange = sum(not (c.isprintable() or c in "\r\n\t") for c in text[:4096])
    if strange > 0.02 * min(len(text), 4096):
        raise InputError("the file is not text", where=str(path), allowed=_KINDS)
    return text


def _is_typical(text: str) -> bool:
    epw = text.startswith("LOCATION,")
    return epw or _is_tmy3(text) or _TMY2_HEADER.match(text) is not None


def _typical(
    path: Path, text: str, measured_at: Literal["spot", "station"] | None
) -> WeatherSeries:
    from climrisk.weather import typical

    reader = typical.read_tmy2
    if text.startswith("LOCATION,"):
        reader = typical.read_epw
    elif _is_tmy3(text):
        reader = typical.read_tmy3
    try:
        with warnings.catch_warnings():
            # The reader's own housekeeping; what it reads is checked.
            warnings.simplefilter("ignore")
            return reader(path, measured_at=measured_at)
    except (ValueError, LookupError, TypeError, ArithmeticError) as error:
        # A cell or a header that is no number comes through as it stands.
        raise InputError(
            "the file begins like a typical year but cannot be read",
            where=str(path),
            value=error,
            next_step="download it again or give another file",
        ) from error


def _is_tmy3(text: str) -> bool:
    lines = text.split("\n", 2)
    return len(lines) > 1 and lines[1].startswith("Date (MM/DD/YYYY)")
