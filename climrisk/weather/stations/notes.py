"""What a reader of the numbers must know of how each year was had."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from climrisk.weather.stations.archive import NetworkAnswer
from climrisk.weather.stations.archive_file import StationYear
from climrisk.weather.stations.info import StationInfo

#: Days after which a year is asked for again: one that still grows, and any other.
_RECENT_DAYS, _OLD_DAYS = 1.0, 30.0


@dataclass
class YearNotes:
    """What happened to the years of a load, gathered into few sentences."""

    _stale: dict[int, str] = field(default_factory=dict)
    _missing: list[int] = field(default_factory=list)
    _unkept: list[int] = field(default_factory=list)
    _why: str = ""

    def answered(self, year: int, stored: StationYear | None, *, listed: bool) -> None:
        """A year that is known as far as it can be."""
        if stored is None and listed:
            self._missing.append(year)

    def not_refreshed(
        self, year: int, stored: StationYear | None, answer: NetworkAnswer | None
    ) -> None:
        """A year that is old and could not be asked again."""
        since = stored.fetched if stored is not None else answer.when if answer else ""
        self._stale[year] = since[:10]

    def not_stored(self, year: int, error: OSError) -> None:
        """A year that the disk did not take."""
        self._unkept.append(year)
        self._why = error.strerror or type(error).__name__

    def notes(self) -> list[str]:
        """Return the sentences."""
        out = []
        if self._stale:
            oldest = min(self._stale.values())
            out.append(
                f"{_years(list(self._stale))}: could not be downloaded again; what was "
                f"archived is used, the oldest of {oldest}"
            )
        if self._missing:
            out.append(
                f"{_years(self._missing)}: no temperatures, although the inventory "
                "lists hours; unknown"
            )
        if self._unkept:
            out.append(
                f"{_years(self._unkept)}: used, but could not be archived ({self._why})"
            )
        return out


def is_old(
    info: StationInfo,
    year: int,
    stored: StationYear | None,
    answer: NetworkAnswer | None,
    *,
    now: datetime,
) -> bool:
    """Return whether a year is to be asked for (again).

    Parameters
    ----------
    info : StationInfo
    year : int
    stored, answer : StationYear, NetworkAnswer or None
        What the archive holds of it, and what the network said last.
    now : datetime
    """
    ages = [one.age_days(now) for one in (stored, answer) if one is not None]
    # This year and the last still grow, and a missing file that the inventory lists
    # may come.
    grows = year >= now.year - 1 or (stored is None and info.lists(year))
    patience = _RECENT_DAYS if grows else _OLD_DAYS
    # A stamp from after tomorrow comes from a clock that was wrong.
    return not any(-1.0 <= age < patience for age in ages)


def _years(years: list[int]) -> str:
    """Return years as runs: 2001 to 2004, 2007."""
    parts: list[list[int]] = []
    for year in sorted(years):
        if parts and parts[-1][-1] == year - 1:
            parts[-1].append(year)
        else:
            parts.append([year])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 1 else str(run[0]) for run in parts
    )
