"""Pictures without script: what the figure holds stands at its place in the SVG."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.commands.winter.chart import winter_ladder
from climrisk.core.typed_text import Viewer
from climrisk.render.charts import svg
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.scales import Scale, day_number, nice, scale
from climrisk.render.charts.units import for_viewer
from climrisk.weather.given import Weather
from tests import asking

EVIL = '<script>alert(1)</script> & "x"'


@pytest.fixture(scope="module")
def ladder():
    weather = Weather.demo(years=3)
    return asking.winter(weather, spot="open-rail", members=1)


@pytest.mark.parametrize("narrow", [False, True])
def test_a_bar_a_night_with_its_numbers(ladder, narrow):
    root = ET.fromstring(svg(drawn(ladder), "p", narrow=narrow))
    said = [t.text for t in root.iter("title")]
    known = [n for n in ladder.nights if n.lowest_c is not None]
    assert len(said) == len(known)
    for night in known:
        day = date.fromisoformat(night.evening)
        begin = f"{day:%d %b %Y}: lowest {night.lowest_c:.1f} °C"
        assert sum(text.startswith(begin) for text in said) == 1


def drawn(winter):
    """Return the chart of a winter as it is shown to a metric reader."""
    return for_viewer(winter_ladder(winter), Viewer())


def test_bars_stand_at_their_nights_and_degrees(ladder):
    root = ET.fromstring(svg(drawn(ladder), "p"))
    bars = [r for r in root.iter("rect") if "bar" in r.get("class", "").split()]
    foot = {}
    for bar in bars:
        words = bar.find("title").text
        lowest = float(re.search(r"lowest (-?[\d.]+)", words)[1])
        foot[lowest] = float(bar.get("y")) + float(bar.get("height"))
    # On a straight scale the pixels of any two nights tell the same kelvins apart.
    (c0, p0), (c1, p1) = min(foot.items()), max(foot.items())
    for c, p in foot.items():
        assert p == pytest.approx(p0 + (c - c0) * (p1 - p0) / (c1 - c0), abs=1.0)
    assert p0 > p1  # colder is lower


def test_words_from_users_are_escaped_and_colors_become_classes():
    figure = Chart()
    figure.add_scatter(x=[0, 1], y=[0, 1], mode="lines", line={"color": "#123f66"})
    figure.add_annotation(x=0, y=1, text=EVIL, showarrow=False)
    figure.update_layout(xaxis={"title": {"text": EVIL}})
    text = svg(figure, "p")
    assert "<script" not in text
    ET.fromstring(text)
    assert "s-b3" in text
    assert "#123f66" not in text


def test_an_unknown_trace_is_refused():
    figure = Chart()
    figure.add_heatmap(z=[[1]])
    with pytest.raises(ValueError, match="heatmap"):
        svg(figure, "p")


@given(
    st.floats(-50, 50),
    st.floats(0.5, 80),
    st.integers(3, 12),
)
def test_ticks_are_round_inside_and_not_crowded(least, span, most):
    at = Scale("linear", least, least + span, 0.0, 500.0)
    values = nice(at, most)
    assert values == sorted(set(values))
    assert all(least - 1e-6 <= v <= least + span + 1e-6 for v in values)
    assert len(values) <= most + 1
    if len(values) > 2:
        step = values[1] - values[0]
        power = 10 ** math.floor(math.log10(step) + 1e-9)
        assert any(
            step / power == pytest.approx(s, rel=1e-6) for s in (1, 2, 2.5, 5, 10)
        )


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)))
def test_days_are_counted_as_the_calendar_counts_them(day):
    assert day_number(day.isoformat()) == (day - date(1970, 1, 1)).days


def test_the_ends_of_an_axis_lie_at_its_pixels():
    at = scale({"range": [5, -3]}, [], 10.0, 90.0)
    assert (at.px(5), at.px(-3), at.px(1)) == (10.0, 90.0, 50.0)


def test_panels_stand_apart_and_show_only_what_lies_in_them():
    figure = Chart()
    figure.add_scatter(x=[0, 1], y=[0, 9], mode="lines", line={"color": "#123f66"})
    figure.add_scatter(
        x=[0, 1], y=[0, 1], xaxis="x2", yaxis="y2", line={"color": "#b4540a"}
    )
    figure.update_layout(
        yaxis={"domain": [0.6, 1.0], "range": [0, 1]},
        yaxis2={"domain": [0.0, 0.4], "range": [0, 1]},
        xaxis={"range": [0, 1]},
        xaxis2={"range": [0, 1]},
    )
    root = ET.fromstring(svg(figure, "p"))
    groups = [g for g in root.iter("g") if g.get("clip-path")]
    clips = {f"url(#{c.get('id')})": c.find("rect") for c in root.iter("clipPath")}
    assert len(groups) == len({g.get("clip-path") for g in groups}) == 2
    upper, lower = (clips[g.get("clip-path")] for g in groups)
    upper_foot = float(upper.get("y")) + float(upper.get("height"))
    assert upper_foot < float(lower.get("y"))
    # The upper line leaves its panel: the clip, not the lower panel, ends it.
    assert groups[0].find("path").get("class") == "s-b3"
    assert groups[1].find("path").get("class") == "s-limit"


def test_a_phone_gets_no_name_that_covers_the_words_beside():
    figure = Chart()
    figure.add_scatter(x=[5, 9], y=["a spot", "b"], mode="markers")
    figure.update_yaxes(type="category")
    figure.add_annotation(
        x=5, y="a spot", text="a rather long name", xanchor="right", showarrow=False
    )
    assert "rather long" in svg(figure, "p")
    assert "rather long" not in svg(figure, "p", narrow=True)
