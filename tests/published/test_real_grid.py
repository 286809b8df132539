"""A real reanalysis grid (hvsampledata 0.1.5, BSD: 6-hourly air, 2.5 degrees)."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, files

import numpy as np
import pytest
import xarray as xr

from climrisk.core.errors import InputError
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.read import read_cells


@pytest.fixture
def real():
    try:
        held = files("hvsampledata") or []
    except PackageNotFoundError:
        pytest.skip("hvsampledata is not installed")
    path = next(p for p in held if str(p).endswith("air_temperature_small.nc"))
    return path.locate()


def variable_option(grid):
    return f"air_temp_c={'air' if 'air' in grid else next(iter(grid.data_vars))}"


def test_six_hours_are_refused_by_name(real):
    with pytest.raises(InputError, match=r"not an hour.*6 h.*Allowed: 1 h"):
        open_grid([real])


def test_its_kelvins_and_axes_are_read(real, tmp_path):
    # Its steps taken for hours: only the reading is tried here, on real numbers.
    data = xr.load_dataset(real, engine="h5netcdf")
    hours = np.datetime64("2014-02-24") + np.arange(data.sizes["time"]) * (
        np.timedelta64(1, "h")
    )
    path = tmp_path / "real.nc"
    data.assign_coords(time=hours).to_netcdf(path, engine="h5netcdf")
    grid = open_grid([path], variables=(variable_option(data),))
    box = (0, len(grid.latitude), 0, len(grid.longitude))
    got = read_cells(grid, 0, len(grid.time), box)["air_temp_c"]
    want = next(iter(data.data_vars.values())).transpose("time", "lat", "lon").values
    # Stored as packed numbers or kelvins in single precision: steps of 3e-5.
    np.testing.assert_allclose(got, want.reshape(got.shape) - 273.15, atol=1e-4)
    assert -60 < got.min() < got.max() < 45
    assert grid.east_deg.min() >= -180
