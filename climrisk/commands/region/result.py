"""The result of ``climrisk region``: what was mapped, and cells picked out."""

from __future__ import annotations

from pathlib import Path

from climrisk.commands.shared.result import CommandResult, output_of
from climrisk.render.document import Assumed, Caution, Frozen


class MappedPlant(Frozen):
    """A plant and how its maps spread over the cells with known hours.

    Shares are of cells; hours are per year of 8766 known hours. Months count in cells
    with at least three years.
    """

    name: str
    label: str
    preferred_c: float
    tolerated_c: float
    hours_per_year_least: float | None
    hours_per_year_median: float | None
    hours_per_year_most: float | None
    cells_never_below_share: float | None
    months_out_median: float | None
    months_indoors_median: float | None
    cells_by_verdict: dict[str, int]
    unknown_because: dict[str, str]


class CellPlant(Frozen):
    """What a plant meets in one cell; null is unknown or does not exist."""

    plant: str
    hours_below_preferred: float | None
    hours_below_preferred_per_year: float | None
    hours_below_tolerated: float | None
    degree_hours_below_preferred: float | None
    longest_run_hours: float | None
    longest_run_nights: float | None
    root_zone_hours_below_preferred: float | None
    winters: int | None
    share_of_years_with_cold_night: float | None
    share_of_years_with_harmful_night: float | None
    months_indoors: float | None
    verdict_at_spot: str | None
    hours_above_ceiling_per_year: float | None
    hours_above_advised_top_per_year: float | None
    warm_nights_per_year: float | None
    months: dict[str, str | None]
    move_in: str | None
    move_in_status: str | None
    move_out: str | None
    move_out_status: str | None


class PickedCell(Frozen):
    """A cell picked out by a place."""

    asked_latitude_deg: float
    asked_longitude_deg: float
    latitude_deg: float
    longitude_deg: float
    distance_km: float
    known_hours: float | None
    lowest_air_temperature_c: float | None
    lowest_root_zone_temperature_c: float | None
    plants: list[CellPlant]


class RegionResult(CommandResult):
    """Maps of a grid, or cells of one."""

    def save(self, path: str | Path) -> str:
        """Write page, maps as a picture, or cells as a table; return the path.

        Parameters
        ----------
        path : str or Path
            Ends in ``.html``, ``.png`` (extra: image) or ``.csv``.

        Raises
        ------
        InputError
            Another ending, or a picture where only single cells were computed.
        """
        written: list[str] = self._module("files").region_files(
            self, **output_of(Path(path))
        )
        return written[0]

    input: str
    out: str | None
    first: str
    last: str
    hours: int
    latitudes: int
    longitudes: int
    cells: int
    cells_without_hours: int
    blocks: int
    blocks_kept: int
    readings_of_each_value: float
    seconds: float
    spot: str
    spot_at: str
    pot: str
    medium: str
    setup: str
    state: str
    risk: float
    spring_risk: float
    plants: list[MappedPlant]
    at: list[PickedCell]
    assumed: list[Assumed]
    notes: list[str]
    cautions: list[Caution]
    files: list[str]
