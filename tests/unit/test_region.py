"""A cell of a region is what the same hours give alone; maps are whole and say so."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pytest
import xarray as xr

from climrisk.advice.limits import limits_of
from climrisk.cli.main import main
from climrisk.commands.assess.compute import assess
from climrisk.commands.shared.exposures import Scene
from climrisk.commands.shared.judgements import Judgements
from climrisk.plants.registry import find
from climrisk.pot.model import reference_pot
from climrisk.regions.blocks import Block, run_block
from climrisk.regions.cells import standard_offset_h
from climrisk.regions.job import RegionJob, job_plants
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.read import read_cells
from climrisk.weather.series import Place, Source, WeatherSeries
from examples.made_region import dataset
from tests.asking import question, region
from tests.quick import but_quick

PLANT = "Masdevallia"
#: What the spot alone allows where the home's rooms make a word of it.
AT_SPOT = {
    "suits": {"out_all_year"},
    "suits with moves": {"watch"},
    "indoors in winter": {"in_up_to_6_months"},
    "summers outdoors": {"in_7_to_10_months"},
    "poor match": {
        "too_cold", "too_hot", "in_up_to_6_months", "in_7_to_10_months",
    },
    "cannot say": {"cannot_say"},
}  # fmt: skip


def alone(grid, y, x):
    """The hours of a cell as a record of their own."""
    lon = float(grid.east_deg[x])
    offset = int(standard_offset_h(np.array([lon]))[0])
    place = Place("cell", float(grid.latitude[y]), lon, None, f"Etc/GMT{-offset:+d}")
    values = read_cells(grid, 0, len(grid.time), (y, y + 1, x, x + 1))
    return WeatherSeries.build(
        grid.time, values, place=place, source=Source("grid", "", "", "station")
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Four years of 3 x 4 cells, 5 degrees apart: three standard times."""
    path = tmp_path_factory.mktemp("grid") / "made.nc"
    data = dataset(3, 4, 4 * 8766 + 200, step=5.0)
    # Holes of all lengths, one cell of the sea, one with little left.
    for i, (first, hours) in enumerate(((900, 1), (4000, 2), (7000, 9), (9000, 700))):
        data["t2m"][first : first + hours, 0, i] = np.nan
        data["u10"][first + 50 : first + 50 + 3 * hours, 1, i] = np.nan
        data["ssrd"][first : first + hours, 2, i] = np.nan
        data["d2m"][first + 10 : first + 10 + hours, 2, i] = np.nan
    data["t2m"][:, 1, 1] = np.nan
    data["t2m"][1000:, 1, 2] = np.nan
    data.to_netcdf(path, engine="h5netcdf")
    return path


@pytest.mark.parametrize(
    ("spot", "pot", "state"),
    but_quick(
        [
            ("roofed-balcony", {}, "established"),
            ("open-rail", {"pot": "terracotta", "pot_diameter": 30.0}, "established"),
            ("glazed-balcony", {"pot_diameter": 6.0}, "unrooted"),
            ("unheated-room", {"medium": "50 akadama + 50 grit"}, "established"),
            ("heated-room", {}, "established"),
        ],
        ("glazed-balcony", {"pot_diameter": 6.0}, "unrooted"),
    ),
)
def test_a_cell_is_what_its_hours_give_alone(made, tmp_path, spot, pot, state):
    out = tmp_path / "maps.nc"
    region(
        made,
        [PLANT],
        spot=spot,
        pot=pot,
        state=state,
        risk=0.25,
        spring_risk=0.3,
        out=out,
    )
    maps, grid = xr.load_dataset(out, engine="h5netcdf"), open_grid([made])
    request = question(
        PLANT, spot=spot, pot=pot, state=state, risk=0.25, spring_risk=0.3, members=1,
        today=date(2024, 1, 1),
    )  # fmt: skip
    words = set()
    for y in range(3):
        for x in range(4):
            cell = maps.isel(plant=0, latitude=y, longitude=x)
            if (y, x) == (1, 1):
                assert np.isnan(cell["known_hours"])
                assert cell["month_state"].isnull().all()
                continue
            weather = alone(grid, y, x)
            result = assess(weather, request)
            hours = result.air.hours_below_preferred
            assert float(cell["hours_below_preferred"]) == hours.mid
            unknown = len(grid.time) - float(cell["known_hours"])
            assert unknown == pytest.approx(hours.unknown)
            assert round(float(cell["lowest_air_temperature"]), 1) == (
                result.air.lowest_c.mid
            )
            assert (
                float(cell["longest_run_nights"]) == result.air.longest_run_nights.mid
            )
            root = result.root_zone
            # Single precision: at most one hour lies within rounding of the limit.
            assert float(cell["root_zone_hours_below_preferred"]) == pytest.approx(
                root.hours_below_preferred.mid, abs=1
            )
            assert float(cell["lowest_root_zone_temperature"]) == pytest.approx(
                root.lowest_c.mid, abs=0.0501
            )
            assert int(cell["winters"]) == result.winters.n
            if result.winters.n:
                share = result.winters.with_cold_night.mid / result.winters.n
                assert float(cell["share_of_years_with_cold_night"]) == (
                    pytest.approx(share)
                )
            names = cell["month_state"].attrs["flag_meanings"].split()
            for month, state_word in result.months.items():
                code = int(cell["month_state"].sel(month=int(month)))
                assert names[code] == state_word
                words.add(state_word)
            for name in ("move_in", "move_out"):
                move = getattr(result, name)
                names = cell[f"{name}_status"].attrs["flag_meanings"].split()
                status = names[int(cell[f"{name}_status"])]
                assert status == move.status.replace(" ", "_")
                day = float(cell[f"{name}_day_of_year"])
                assert np.isnan(day) == (move.month_day is None)
                if move.month_day:
                    when = np.datetime64("2019-01-01") + np.timedelta64(int(day) - 1)
                    assert str(when)[5:] == move.month_day
            home = Judgements(prepare(weather, ensemble(1)))
            for one in home.heat(request.kind(weather), request.limits).counts:
                if one.kind != "warm_night":
                    name = f"hours_above_{one.kind}_per_year"
                    want = one.typical()
                    got = float(cell[name])
                    assert got == pytest.approx(np.nan if want is None else want,
                                                nan_ok=True)  # fmt: skip
            names = cell["verdict_at_spot"].attrs["flag_meanings"].split()
            code = names[int(cell["verdict_at_spot"])]
            word = result.verdict.word
            assert code in AT_SPOT[word] or (
                code == "too_hot" and result.verdict.retreat
            )
    assert {"out", "unknown"} <= words


def test_a_cell_is_weather_for_every_other_command(made, capsys):
    words = ["assess", PLANT, "--file", str(made), "--at", "46.1,-3.2", "--setup"]
    words += ["screening", "--members", "1", "--spot", "roofed-balcony"]
    words += ["--risk", "0.25", "--json"]
    # The cell's own standard time, as a map takes it.
    assert main([*words, "--zone", "Etc/GMT"]) == 0
    result = json.loads(capsys.readouterr().out)
    cell = region(made, [PLANT], spot="roofed-balcony", risk=0.25, at=["46.1,-3.2"])
    plant = cell.at[0].plants[0]
    assert result["air"]["hours_below_preferred"]["mid"] == plant.hours_below_preferred
    assert result["months"] == plant.months
    assert result["weather"]["kind"] == "grid"
    weather = result["weather"]
    assert weather["hours_modeled"] + weather["hours_filled"] == weather["hours_known"]
    assert main(["exposure", "--file", str(made), "--below", "5"]) == 2
    assert "a grid has many places" in capsys.readouterr().err


def test_root_zones_agree_to_single_precision(made):
    grid = open_grid([made])
    task = region_job(made)
    maps = run_block(task, Block(0, (0, 3, 0, 4), len(grid.time)))
    for y, x in ((0, 0), (0, 3), (2, 1)):
        weather = alone(grid, y, x)
        scene = Scene.of(prepare(weather, ensemble(1)), task.spot, task.pot)
        judged = scene.judged(limits_of(find(PLANT), "established"))
        want = np.nanmin(judged.root.nights.lowest_c)
        got = maps["lowest_root_zone_temperature"][y, x]
        # Pieces of other lengths forget their start to exp(-10) of some kelvin.
        assert got == pytest.approx(want, abs=5e-5)
        hours = maps["degree_hours_below_preferred"][0, y, x]
        assert hours == pytest.approx(judged.air.degree_hours[:, :, 0].sum(), rel=1e-5)


@pytest.mark.parametrize("window", [600, 2000, 9000])
def test_hours_read_in_windows_give_the_same(made, window):
    task = region_job(made)
    want = run_block(task, Block(0, (0, 3, 0, 4), len(task.grid().time)))
    got = run_block(task, Block(0, (0, 3, 0, 4), window))
    for name, values in want.items():
        close = "root" in name or "degree" in name
        np.testing.assert_allclose(
            got[name], values, rtol=1e-5 if close else 0,
            atol=1.001 if name.startswith("root") else 5e-5, err_msg=name,
        )  # fmt: skip


def region_job(made):
    mapped = job_plants([find(PLANT)], "established")
    return RegionJob(
        (str(made),), (), mapped, "established", spot_kind("roofed-balcony"),
        reference_pot(), "screening", 0.25, 0.3,
    )  # fmt: skip


@pytest.mark.parametrize("chunks", [None, {"latitude": 2, "longitude": 3}])
def test_a_dataset_opened_in_xarray_gives_the_same_maps(made, tmp_path, chunks):
    from climrisk.commands.api import region_dataset

    out = tmp_path / "maps.nc"
    region(made, [PLANT], spot="roofed-balcony", risk=0.25, out=out)
    want = xr.load_dataset(out, engine="h5netcdf")
    data = xr.open_dataset(made, engine="h5netcdf", chunks=chunks)
    lazy = region_dataset(data, [PLANT], spot="roofed-balcony", risk=0.25)
    if chunks:
        assert lazy["month_state"].chunks is not None
        lazy = lazy.compute(scheduler="threads", num_workers=2)
    for name in map(str, lazy.data_vars):
        close = "root" in name or "degree" in name
        got = lazy[name].where(lazy[name] != -1) if lazy[name].dtype == "i1" else (
            lazy[name]
        )  # fmt: skip
        np.testing.assert_allclose(
            got, want[name], rtol=1e-5 if close else 1e-6,
            atol=1.001 if name.startswith("root") else 5e-5, err_msg=name,
        )  # fmt: skip


def test_a_dataset_that_is_no_grid_is_refused(made):
    from climrisk.commands.api import region_dataset
    from climrisk.core.errors import InputError

    data = xr.open_dataset(made, engine="h5netcdf", chunks={"time": 1000})
    for bad, words in (
        (data, "several chunks"),
        (data.rename(latitude="y"), "grid without latitude"),
        (data.drop_vars("t2m"), "no air temperature"),
        (data.isel(time=[0, 1, 5]), "gap|not an hour"),
    ):
        with pytest.raises(InputError, match=words):
            region_dataset(bad, [PLANT])
