"""Pictures of maps show the classes of their cells; maps are read again as written."""

from __future__ import annotations

import base64
import re
import struct
import zlib

import numpy as np
import pytest
import xarray as xr

from climrisk.cli.main import main
from climrisk.commands.region.chart import (
    HOURS,
    MONTHS,
    SHADES,
    VERDICT,
    Panels,
    maps_figure,
)
from climrisk.commands.region.chart_svg import maps_svg
from climrisk.core.errors import InputError
from climrisk.render.charts.chart import to_plotly
from examples.made_region import dataset
from tests.asking import region
from tests.quick import but_quick

PLANTS = ["Masdevallia", "Phalaenopsis hybrids"]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    path = tmp_path_factory.mktemp("maps") / "made.nc"
    data = dataset(5, 6, 4 * 8766, step=2.0)
    data["t2m"][:, 0, 0] = np.nan
    # North to south and from 0 to 360, as archives have it.
    data.assign_coords(longitude=data.longitude % 360).to_netcdf(
        path, engine="h5netcdf"
    )
    return path


@pytest.fixture(scope="module")
def maps(made):
    out = made.with_name("maps.nc")
    mapped = region(made, PLANTS, out=out, risk=0.25, at=["40,-4"])
    return out, mapped


@pytest.mark.parametrize("ending", but_quick(["nc", "zarr"], "zarr"))
def test_maps_written_one_by_one_are_those_written_together(
    made, maps, monkeypatch, ending
):
    monkeypatch.setattr("climrisk.regions.maps._HELD_BYTES", 1)
    out = made.with_name(f"apart.{ending}")
    region(made, PLANTS, out=out, risk=0.25)
    engine = "zarr" if ending == "zarr" else "h5netcdf"
    more = {"consolidated": False} if ending == "zarr" else {}
    with (
        xr.open_dataset(maps[0]) as want,
        xr.open_dataset(out, engine=engine, **more) as got,
    ):
        xr.testing.assert_equal(got.load(), want.load())
        assert set(got.coords) == set(want.coords)
        for key in set(want.attrs) - {"history", "date_created"}:
            assert got.attrs[key] == want.attrs[key]


def test_classes_hold_their_edges():
    values = np.array([0.0, 0.1, 9.9, 10, 99, 100, 499, 500, 1999, 2000, 9e3, np.nan])
    assert HOURS.classes(values).tolist() == [0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6]
    months = np.array([0, 0.1, 2.9, 3, 5.9, 6, 7.9, 8, 9.9, 10, 12])
    words = [MONTHS.labels[c] for c in MONTHS.classes(months)]
    assert words == (
        ["none"] + 2 * ["under 3"] + 2 * ["3 to 6"] + 2 * ["6 to 8"]
        + 2 * ["8 to 10"] + 2 * ["10 to 12"]
    )  # fmt: skip
    codes = VERDICT.classes(np.array([*range(6), np.nan]))
    assert [VERDICT.legend[c][1] for c in codes] == [
        "out all year", "out, but watch", "in 1 to 6 months", "in 7 to 10 months",
        "too cold", "too hot", "too few years",
    ]  # fmt: skip


def test_a_still_map_shows_each_cell_north_up():
    values = np.array([[0.0, 5.0, 50.0], [300.0, 3000.0, np.nan]])
    panels = Panels(np.array([40.0, 41.0]), np.array([1.0, 2.0, 3.0]), ("A & B",),
                    (values,), HOURS, (("A", 41.0, 3.0),))  # fmt: skip
    text = maps_svg(panels)
    assert "A &amp; B" in text
    picture = base64.b64decode(re.search(r"base64,([^\"]+)", text)[1])
    width, height, depth, kind = struct.unpack(">IIBB", picture[16:26])
    assert (width, height, depth, kind) == (3, 2, 8, 3)
    colors = picture[picture.index(b"PLTE") + 4 :][: 3 * 7]
    assert colors[:3].hex() == SHADES[0][1:]
    at = picture.index(b"IDAT")
    size = struct.unpack(">I", picture[at - 4 : at])[0]
    rows = np.frombuffer(zlib.decompress(picture[at + 4 : at + 4 + size]), np.uint8)
    # A filter byte, then the cells; the northern row is the upper one.
    assert rows.reshape(2, 4).tolist() == [[0, 3, 5, 6], [0, 0, 1, 2]]


def test_the_figure_has_a_panel_a_plant_and_the_values(maps):
    from climrisk.commands.region.files import _panels

    out, result = maps
    panels = _panels(result.model_copy(update={"out": str(out)}), "--html")
    assert [p.scale for p in panels] == [HOURS, MONTHS, VERDICT]
    figure = to_plotly(maps_figure(panels[0]))
    heat = [t for t in figure.data if t.type == "heatmap"]
    assert len(heat) == 2
    data = xr.load_dataset(out, engine="h5netcdf")
    for i, trace in enumerate(heat):
        want = data["hours_below_preferred_per_year"][i].values[::-1]
        want = np.roll(want, 0, axis=1)[:, np.argsort((data.longitude + 180) % 360)]
        shown = np.asarray(trace.customdata, float)
        np.testing.assert_allclose(shown, want, atol=0.051, equal_nan=True)
    codes = data["verdict_at_spot"].values[0][::-1]
    codes = codes[:, np.argsort((data.longitude + 180) % 360)]
    shown = np.where(np.isin(codes, [6]), np.nan, codes)
    np.testing.assert_array_equal(panels[2].values[0], shown)
    west = [a.text for a in figure.layout.annotations]
    assert "<b>Masdevallia, 9 °C</b>" in west


def test_a_page_of_maps_opens_without_network(maps, tmp_path, capsys):
    out, _ = maps
    page = tmp_path / "maps.html"
    assert main(["region", str(out), "--at", "40,-4", "--html", str(page)]) == 0
    text = page.read_text("utf-8")
    assert len(text) < 2_000_000
    assert 'src="http' not in text
    assert text.count("data:image/png") == 12  # 2 plants, 3 maps, wide and narrow
    assert "Masdevallia, 9 °C" in text
    assert "A. 40,-4: cell 40.05,-4" in text
    capsys.readouterr()


def test_maps_are_read_again_as_they_were_written(maps):
    out, result = maps
    again = region(out, [], at=["40,-4"])
    assert again.at == result.at
    for name in ("hours", "cells", "cells_without_hours", "spot", "pot", "risk"):
        assert getattr(again, name) == getattr(result, name), name
    for one, other in zip(again.plants, result.plants, strict=True):
        assert one.model_copy(update={"label": ""}) == other.model_copy(
            update={"label": ""}
        )
    only = region(out, ["phalaenopsis hybrids"], at=["40,-4"])
    assert [p.name for p in only.plants] == ["Phalaenopsis hybrids"]
    assert [p.plant for p in only.at[0].plants] == ["Phalaenopsis hybrids"]
    with pytest.raises(InputError, match="do not hold this plant"):
        region(out, ["Masdevallia veitchiana of the moon"])


def test_a_picture_of_single_cells_is_refused(made, tmp_path, capsys):
    words = ["region", str(made), "--plant", PLANTS[0], "--at", "40,-4"]
    assert main([*words, "--html", str(tmp_path / "a.html")]) == 2
    assert "a picture needs maps" in capsys.readouterr().err


def test_every_share_of_the_table_is_that_of_the_map(maps):
    out, result = maps
    data = xr.load_dataset(out, engine="h5netcdf")
    assert result.cells_without_hours == 1
    for i, plant in enumerate(result.plants):
        hours = data["hours_below_preferred_per_year"][i].values
        assert plant.hours_per_year_most == round(float(np.nanmax(hours)), 1)
        assert plant.hours_per_year_median == round(float(np.nanmedian(hours)), 1)
        whole = data["month_state"][i].values
        out_months = (whole == 0).sum(axis=0)[~np.isnan(hours)]
        assert plant.months_out_median == np.median(out_months)
        into, out_again = (
            data[f"{name}_day_of_year"][i].values for name in ("move_in", "move_out")
        )
        # From a day after June to one of the next year.
        between = np.where(
            np.isfinite(into + out_again),
            (out_again - into) % 365 * 12 / 365,
            data["months_indoors"][i].values,
        )
        np.testing.assert_allclose(data["months_indoors"][i], between, atol=1e-5)
        assert plant.months_indoors_median == round(float(np.nanmedian(between)), 1)
        codes = data["verdict_at_spot"][i].values
        names = data["verdict_at_spot"].attrs["flag_meanings"].split()
        for name, count in plant.cells_by_verdict.items():
            code = names.index(name.replace(" ", "_"))
            assert count == (codes == code).sum()
        assert sum(plant.cells_by_verdict.values()) == result.cells - 1


def test_maps_of_an_older_version_are_refused_in_words(maps):
    out = maps[0].with_name("old.nc")
    with xr.open_dataset(maps[0]) as data:
        old = data.load().drop_vars("verdict_at_spot")
        old.attrs["climrisk_version"] = "0.0.1"
        old.to_netcdf(out, engine="h5netcdf")
    with pytest.raises(InputError, match=r"maps of another version.*0\.0\.1, without"):
        region(out, [])
