"""Grids in every usual dress give the same hours, and what cannot be read is named."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from climrisk.core.errors import InputError
from climrisk.physics.humidity import rel_humidity_pct
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.read import read_cells
from climrisk.weather.grids.store import is_grid
from examples.made_region import dataset

HOURS = 24 * 6


@pytest.fixture
def made():
    return dataset(3, 4, HOURS, step=1.0, start="2020-06-28")


def save(data, path, **more):
    if path.suffix == ".zarr":
        data.to_zarr(path, consolidated=False, zarr_format=3, **more)
    else:
        data.to_netcdf(path, engine=more.pop("engine", "h5netcdf"), **more)
    return path


def hours(*paths, variables=(), box=(0, 3, 0, 4)):
    grid = open_grid(list(paths), variables=variables)
    return grid, read_cells(grid, 0, len(grid.time), box)


def check(values, data, *, within=None):
    truth = {
        "air_temp_c": data["t2m"].values - 273.15,
        "dew_point_c": data["d2m"].values - 273.15,
        "wind_speed_m_s": np.hypot(data["u10"].values, data["v10"].values),
        "cloud_cover_frac": data["tcc"].values,
        "ghi_w_m2": data["ssrd"].values,
    }
    assert set(values) == set(truth)
    # Kelvin in single precision has steps of 3e-5.
    usual = {"air_temp_c": 4e-5, "dew_point_c": 4e-5, "wind_speed_m_s": 1e-5,
             "cloud_cover_frac": 1e-6, "ghi_w_m2": 1e-3} | (within or {})  # fmt: skip
    for name, want in truth.items():
        got = values[name].reshape(want.shape)
        np.testing.assert_allclose(got, want, atol=usual[name], err_msg=name)


def test_zarr_and_netcdf_of_both_kinds(made, tmp_path):
    for path, engine in (("a.zarr", None), ("a.nc", "h5netcdf"), ("b.nc", "scipy")):
        more = {} if engine is None else {"engine": engine}
        if engine == "scipy":
            made = made.assign_coords(time=made.time.astype("datetime64[ns]"))
        grid, values = hours(save(made, tmp_path / path, **more))
        check(values, made)
        assert str(grid.time[0]) == "2020-06-28T00:00"
        assert is_grid(tmp_path / path)


def test_a_part_of_the_time_and_of_the_map(made, tmp_path):
    grid = open_grid([save(made, tmp_path / "a.zarr")])
    got = read_cells(grid, 30, 50, (1, 3, 2, 3))["air_temp_c"]
    want = made["t2m"].values[30:50, 1:3, 2] - 273.15
    np.testing.assert_allclose(got, want, atol=4e-5)


def test_celsius_percent_and_kilometers_an_hour(made, tmp_path):
    other = made.copy()
    for name in ("t2m", "d2m"):
        other[name] = made[name] - 273.15
        other[name].attrs = {**made[name].attrs, "units": "degrees_Celsius"}
    other["tcc"] = 100 * made["tcc"]
    other["tcc"].attrs = {"units": "%", "standard_name": "cloud_area_fraction"}
    other["sfcWind"] = 3.6 * np.hypot(made["u10"], made["v10"])
    other["sfcWind"].attrs = {"units": "km/h", "standard_name": "wind_speed"}
    check(hours(save(other.drop_vars(["u10", "v10"]), tmp_path / "a.nc"))[1], made)


def test_names_by_standard_name_or_as_told(made, tmp_path):
    other = made.rename(t2m="T_air", d2m="Td", u10="east", v10="north", ssrd="sun")
    check(hours(save(other, tmp_path / "a.nc"))[1], made)
    for name in ("T_air", "Td"):
        del other[name].attrs["standard_name"]
    names = ("air_temp_c=T_air", "dew_point_c=Td")
    check(hours(save(other, tmp_path / "b.nc"), variables=names)[1], made)


def test_longitudes_of_both_kinds_and_latitudes_of_both_ways(made, tmp_path):
    round_earth = made.assign_coords(longitude=made.longitude % 360)
    grid = open_grid([save(round_earth, tmp_path / "a.nc")])
    np.testing.assert_allclose(grid.east_deg, made.longitude)
    south_up = made.isel(latitude=slice(None, None, -1))
    other = open_grid([save(south_up, tmp_path / "b.nc")])
    for one, y in ((grid, 0), (other, 2)):
        assert one.nearest(38.05, -7.0) == (y, 1)
    check(read_cells(other, 0, HOURS, (0, 3, 0, 4)), south_up)


def test_packed_integers_with_missing_cells(made, tmp_path):
    made["t2m"][3:9, 1, 1] = np.nan
    packing = {"dtype": "int16", "_FillValue": -32767}
    span = {"t2m": (290, 0.002), "d2m": (280, 0.002), "ssrd": (600, 0.05),
            "u10": (0, 0.001), "v10": (0, 0.001), "tcc": (0.5, 5e-5)}  # fmt: skip
    encoding = {
        name: {**packing, "add_offset": offset, "scale_factor": scale}
        for name, (offset, scale) in span.items()
    }
    path = save(made, tmp_path / "a.nc", encoding=encoding)
    steps = {"air_temp_c": 0.002, "dew_point_c": 0.002, "wind_speed_m_s": 0.002,
             "cloud_cover_frac": 5e-5, "ghi_w_m2": 0.05}  # fmt: skip
    values = hours(path)[1]
    assert np.isnan(values["air_temp_c"]).sum() == 6
    check(values, made, within=steps)
    assert values["ghi_w_m2"].min() >= 0
    assert values["cloud_cover_frac"].max() <= 1


def test_relative_and_specific_humidity_give_the_dew_point(made, tmp_path):
    air, dew = made["t2m"].values - 273.15, made["d2m"].values - 273.15
    wet = made.drop_vars("d2m")
    wet["hurs"] = (made["t2m"].dims, rel_humidity_pct(air, dew), {"units": "%"})
    check(hours(save(wet, tmp_path / "a.nc"))[1], made, within={"dew_point_c": 1e-3})
    # q = 0.622 e / (p - 0.378 e); e by the Magnus form of WMO-No. 8.
    e = 611.2 * np.exp(17.62 * dew / (243.12 + dew))
    wet = made.drop_vars("d2m")
    wet["huss"] = (made["t2m"].dims, 0.622 * e / (95000 - 0.378 * e), {"units": "1"})
    wet["ps"] = (made["t2m"].dims, np.full(e.shape, 950.0), {"units": "hPa"})
    check(hours(save(wet, tmp_path / "b.nc"))[1], made, within={"dew_point_c": 1e-3})


@pytest.mark.parametrize("season", ["summer", "winter"])
@pytest.mark.parametrize("kind", ["hour", "day"])
def test_accumulated_sunlight_is_told_by_its_units(made, tmp_path, kind, season):
    if season == "winter":
        made = dataset(3, 4, HOURS, step=1.0, start="2020-12-20")
    energy = 3600.0 * made["ssrd"].values.astype(float)
    if kind == "day":
        days = energy.reshape(-1, 24, 3, 4).cumsum(axis=1)
        energy = days.reshape(energy.shape)
    # What fell in the hour from t on, or since midnight, is stamped at its end.
    late = made.copy()
    late["ssrd"] = (made["t2m"].dims, np.full(energy.shape, np.nan))
    late["ssrd"].values[1:] = energy[:-1]
    late["ssrd"].attrs = {"units": "J m**-2"}
    grid, values = hours(save(late, tmp_path / "a.nc"))
    assert any("ssrd" in note for note in grid.notes)
    got = values["ghi_w_m2"].reshape(made["ssrd"].shape)
    # A whole day's joules in single precision have steps of 2 J, some mW.
    np.testing.assert_allclose(got[:-1], made["ssrd"].values[:-1], atol=0.01)
    assert np.isnan(got[-1]).all()


def test_a_mean_whose_bounds_end_at_its_stamp_is_the_hour_before(made, tmp_path):
    late = made.copy()
    late["ssrd"].values[1:] = made["ssrd"].values[:-1].copy()
    late["ssrd"].attrs["cell_methods"] = "time: mean"
    late["time"].attrs["bounds"] = "time_bnds"
    late["time"].encoding["units"] = "hours since 2020-06-28"
    stamps = np.arange(HOURS)
    bounds = np.stack([stamps - 1, stamps], axis=1)
    late["time_bnds"] = (("time", "nv"), bounds)
    values = hours(save(late, tmp_path / "a.nc"))[1]
    want = dataset(3, 4, HOURS, step=1.0, start="2020-06-28")["ssrd"].values
    got = values["ghi_w_m2"].reshape(want.shape)
    np.testing.assert_allclose(got[:-1], want[:-1], atol=1e-3)


def test_hours_around_half_past_begin_on_the_hour(made, tmp_path):
    later = made.assign_coords(time=made.time + np.timedelta64(30, "m"))
    grid, values = hours(save(later, tmp_path / "a.nc"))
    assert str(grid.time[0]) == "2020-06-28T00:00"
    check(values, made)


def test_other_orders_of_dimensions_and_single_levels(made, tmp_path):
    turned = made.transpose("latitude", "longitude", "time").expand_dims(height=[2.0])
    check(hours(save(turned, tmp_path / "a.nc"))[1], made)


def test_files_of_months_and_files_of_variables(made, tmp_path):
    parts = [
        save(made.isel(time=slice(60, None)), tmp_path / "late.nc"),
        save(made.isel(time=slice(0, 60)), tmp_path / "early.nc"),
    ]
    check(hours(*parts)[1], made)
    apart = [
        save(made[["t2m", "d2m", "ssrd"]], tmp_path / "one.nc"),
        save(made[["u10", "v10", "tcc"]], tmp_path / "two.zarr"),
    ]
    check(hours(*apart)[1], made)


def test_hours_that_one_variable_lacks_are_missing_not_zero(made, tmp_path):
    apart = [
        save(made.drop_vars("tcc"), tmp_path / "one.nc"),
        save(made[["tcc"]].isel(time=slice(40, 90)), tmp_path / "two.nc"),
    ]
    cloud = hours(*apart)[1]["cloud_cover_frac"]
    assert np.isnan(cloud[:40]).all()
    assert np.isnan(cloud[90:]).all()
    assert np.isfinite(cloud[40:90]).all()


def with_times(made, stamps):
    return made.isel(time=slice(0, len(stamps))).assign_coords(time=stamps)


def stepped(made, hours_of):
    first = made.time.values[0]
    return with_times(made, first + np.array(hours_of) * np.timedelta64(1, "h"))


def of_calendar(made, calendar):
    plain = made.assign_coords(time=np.arange(HOURS))
    plain["time"].attrs = {"units": "hours since 2020-01-01", "calendar": calendar}
    return plain


CURVED = {
    "lat": (("y", "x"), np.ones((3, 4))),
    "lon": (("y", "x"), np.ones((3, 4))),
}
BAD = {
    "names": (lambda d: d.rename(t2m="blah").drop_attrs(), ("no air temp", "blah")),
    "two": (
        lambda d: d.assign(tas=d["t2m"]),
        ("two variables", "air_temp_c=t2m"),
    ),
    "gap": (lambda d: stepped(d, [0, 1, 2, 7, 8, 9]), ("a gap in time", "02:00")),
    "step": (lambda d: stepped(d, [0, 3, 6, 9, 12]), ("not an hour", "3 h")),
    "order": (lambda d: stepped(d, [0, 1, 3, 2, 4]), ("not in order",)),
    "twice": (lambda d: stepped(d, [0, 1, 1, 2, 3]), ("comes twice",)),
    "one": (lambda d: d.isel(time=slice(0, 1)), ("too few hours",)),
    "quarter": (
        lambda d: d.assign_coords(time=d.time + np.timedelta64(10, "m")),
        ("half past",),
    ),
    "calendar": (lambda d: of_calendar(d, "360_day"), ("without real", "360_day")),
    "unit": (
        lambda d: d.assign(t2m=d["t2m"].assign_attrs(units="furlong")),
        ("no known unit", "furlong"),
    ),
    "no unit": (
        lambda d: d.assign(t2m=d["t2m"].drop_attrs()),
        ("no known unit", "none given"),
    ),
    "levels": (
        lambda d: xr.concat([d, d], dim="level"),
        ("neither time nor place", "level of 2"),
    ),
    "curved": (
        lambda d: (
            d.rename(latitude="y", longitude="x")
            .drop_vars(["x", "y"])
            .assign_coords(CURVED)
        ),
        ("no latitude axis", "two dimensions"),
    ),
    "no axis": (lambda d: d.rename(longitude="k"), ("no longitude axis",)),
    "axis": (
        lambda d: d.assign_coords(latitude=[40.0, 95.0, 120.0]),
        ("degrees in order", "95"),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_what_cannot_be_read_is_named_in_a_line(made, tmp_path, case):
    change, words = BAD[case]
    bad = change(made)
    if case == "no axis":
        bad["k"].attrs = {}
    path = save(bad, tmp_path / "bad.nc")
    with pytest.raises(InputError) as caught:
        open_grid([path])
    line = caught.value.line()
    assert "\n" not in line
    assert "bad.nc" in line
    for word in words:
        assert word in line


def test_mixed_files_are_refused(made, tmp_path):
    usual = of_calendar(made, "standard")
    one, same = save(usual, tmp_path / "a.nc"), usual.isel(longitude=slice(0, 2))
    other = usual.assign_coords(time=np.arange(HOURS) + HOURS)
    other["time"].attrs = {**usual["time"].attrs, "calendar": "proleptic_gregorian"}
    cases = (
        (other, "files of different calendars"),
        (same, "different longitudes"),
        (usual, "the same hours"),
        (usual.assign_coords(time=usual.time + HOURS + 5).assign_attrs(), "a gap"),
    )
    for i, (data, words) in enumerate(cases):
        if "units" not in data["time"].attrs:
            data["time"].attrs = usual["time"].attrs
        path = save(data, tmp_path / f"other{i}.nc")
        with pytest.raises(InputError, match=words):
            open_grid([one, path])


def test_what_is_no_grid_is_refused(tmp_path):
    (tmp_path / "a.txt").write_text("hello")
    (tmp_path / "b.grib").write_bytes(b"GRIB....")
    (tmp_path / "c").mkdir()
    for name, words in (
        ("a.txt", "neither NetCDF nor Zarr"),
        ("b.grib", "GRIB must become NetCDF"),
        ("c", "no Zarr store"),
        ("none.nc", "cannot be read"),
    ):
        with pytest.raises(InputError, match=words):
            open_grid([tmp_path / name])
        assert not is_grid(tmp_path / name)


def test_values_that_no_weather_has_are_named_with_their_place(made, tmp_path):
    made["t2m"][5, 1, 2] = 999.0
    grid = open_grid([save(made, tmp_path / "a.nc")])
    with pytest.raises(InputError) as caught:
        read_cells(grid, 0, HOURS, (0, 3, 0, 4))
    line = caught.value.line()
    for word in ("2020-06-28T05:00", "latitude 37.05", "longitude -6", "725.85"):
        assert word in line, line
    assert ", hour " not in line  # its time says so already


def test_a_broken_chunk_is_named_with_its_hours_and_cells(made, tmp_path):
    path = save(made.chunk({"time": 48, "latitude": 3, "longitude": 4}),
                tmp_path / "a.zarr")  # fmt: skip
    grid = open_grid([path])
    chunk = sorted(p for p in (path / "t2m" / "c").rglob("*") if p.is_file())[1]
    chunk.write_bytes(b"spoiled" * 9)
    read_cells(grid, 0, 48, (0, 3, 0, 4))  # the others are whole
    with pytest.raises(InputError) as caught:
        read_cells(grid, 40, 96, (0, 3, 0, 4))
    line = caught.value.line()
    for word in ("cannot be read", "t2m", "2020-06-29T16:00", "longitude -8 to -5"):
        assert word in line, line
