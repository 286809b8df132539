"""``climrisk logger``: a file, and what it is worth."""

from __future__ import annotations

import json

import pandas as pd
import pytest

from climrisk.cli.main import main
from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.result import LoggerResult
from climrisk.render.charts.chart import to_plotly
from tests.logger_shapes import comma, table, truth
from tests.made_files import epw, logger_csv
from tests.made_files import truth as long_truth

AT = ("--at", "45.8,15.9")


def call(capsys, *arguments):
    status = main(["logger", *map(str, arguments)])
    out, err = capsys.readouterr()
    return status, out, err


@pytest.fixture
def holed(tmp_path):
    series = truth()
    series = series.drop(series.index[24 * 10 + 3 : 24 * 13 + 9])
    path = tmp_path / "log.csv"
    write = table(header="Time;Temp °C", delimiter=";", number=comma)
    write(path, series)
    return path, series


def test_what_the_file_is(capsys, holed):
    path, series = holed
    status, out, _ = call(capsys, path, *AT, "--clock", "utc", "--json")
    document = json.loads(out)
    assert status == 0
    assert document["table"] == {
        "rows": len(series),
        "delimiter": "semicolon",
        "decimal": "comma",
        "thousands": None,
        "first_line": 2,
        "step_minutes": 60.0,
        "clock": "UTC",
    }
    assert document["columns"] == [
        {
            "header": "Temp °C",
            "variable": "air_temp_c",
            "unit": "c",
            "readings": len(series),
        }
    ]
    assert document["winters"] == 0
    assert any("no date can be given" in line for line in document["worth"])
    assert any("no humidity" in line for line in document["worth"])


def test_months_and_days_are_counted_by_local_standard_time(capsys, holed):
    path, series = holed
    _, out, _ = call(capsys, path, *AT, "--clock", "utc", "--json")
    document = json.loads(out)
    local = series.tz_convert("Etc/GMT-1")
    by_month = local.groupby(local.index.strftime("%Y-%m")).agg(["count", "min", "max"])
    assert [m["month"] for m in document["months"]] == by_month.index.tolist()
    for row in document["months"]:
        want = by_month.loc[row["month"]]
        assert row["hours_known"] == want["count"]
        assert row["lowest_c"] == pytest.approx(want["min"])
        assert row["highest_c"] == pytest.approx(want["max"])
    by_day = local.groupby(local.index.strftime("%Y-%m-%d")).count()
    known = {d["date"]: d["hours_known"] for d in document["days"] if d["hours_known"]}
    assert known == by_day.to_dict()
    lost = [d for d in document["days"] if d["lowest_c"] is None]
    assert len(lost) == 2
    # Three nights and a piece of a fourth are gone.
    assert document["nights"] - document["nights_counted"] >= 3


def test_marks_stand_beside_the_day(capsys, tmp_path):
    series = truth()
    series.iloc[24 * 20 + 5] = 80.0
    path = tmp_path / "log.csv"
    table()(path, series)
    _, out, _ = call(capsys, path, *AT, "--clock", "utc", "--json")
    document = json.loads(out)
    assert document["weather"]["marks"][0]["mark"] == "range"
    assert "1 flagged reading" in document["sentence"]


def test_winters_that_count_are_enough_for_dates(capsys, tmp_path):
    path = logger_csv(
        tmp_path / "a.csv", long_truth("2017-07-01", 24 * 365 * 4), clock="utc"
    )
    _, out, _ = call(capsys, path, *AT, "--clock", "utc", "--json")
    document = json.loads(out)
    assert document["winters"] == 4
    assert "it holds 4 full winters: enough for dates" in document["worth"]


def test_text_and_files(capsys, holed, tmp_path):
    path, _ = holed
    page, rows = tmp_path / "log.html", tmp_path / "days.csv"
    status, out, _ = call(
        capsys, path, *AT, "--clock", "utc", "--html", page, "--csv", rows
    )
    assert status == 0
    assert "log.html, days.csv" in out
    _, out, _ = call(
        *(capsys, path, *AT, "--clock", "utc", "--html", page, "--csv", rows),
        "--details",
    )
    assert "fields separated by semicolon, decimal comma" in out
    assert f"Written: {page}" in out
    assert "day by day" not in out
    assert "Month by month" in page.read_text("utf-8")
    days = pd.read_csv(rows)
    assert days["hours_known"].sum() == len(holed[1])


def test_picture_shows_gaps_and_marks(capsys, holed):
    path, _ = holed
    _, out, _ = call(capsys, path, *AT, "--clock", "utc", "--json")
    result = LoggerResult.model_validate_json(out)
    figure = to_plotly(record_days(result))
    assert len(figure.layout.shapes) == 1
    assert figure.layout.shapes[0].x0 == "2021-02-26"
    days = [
        d.model_copy(update={"marked": 3}) if i in (2, 5) else d
        for i, d in enumerate(result.days)
    ]
    marked = to_plotly(record_days(result.model_copy(update={"days": days})))
    assert len(marked.data[-1].x) == 2


def test_what_is_no_logger_is_refused(capsys, tmp_path):
    path = epw(tmp_path / "a.epw", long_truth("2005-01-01", 8760).to_numpy())
    status, out, err = call(capsys, path, *AT)
    assert (status, out) == (2, "")
    assert "typical year" in err
    status, _, err = call(capsys)
    assert status == 2
    assert "no file given" in err
    status, _, err = call(capsys, tmp_path / "none.csv", *AT)
    assert status == 2
    assert "no such file" in err
