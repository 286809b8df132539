"""Every screen in US units: sentences, tables and charts show no metric unit."""

from __future__ import annotations

import re
from datetime import date

import pytest

from climrisk.core.days import MONTH_NAMES
from climrisk.core.typed_text import Viewer, reading
from climrisk.render.charts.chart import plotly_json
from climrisk.render.display_units import sheet_for, shown
from climrisk.render.page import render
from climrisk.weather.selection import WeatherChoice
from climrisk.web.screens import BY_PATH
from climrisk.web.tasks import Task, run
from tests.page.conftest import TODAY
from tests.page.test_documents import FEW, LEFT_OUT, SAME
from tests.unit.test_answers import METRIC

US = Viewer("us", "mdy")
#: A day before its month, or in the order of documents.
DAY_FIRST = re.compile(
    rf"\b\d{{1,2}}[ \u00a0](?:{'|'.join(name[:3] for name in MONTH_NAMES)})"
    r"|(?<![\w/-])\d{4}-\d\d-\d\d"
)


def strings(held):
    """Yield every text of a chart."""
    if isinstance(held, str):
        yield held
    elif isinstance(held, dict):
        for value in held.values():
            yield from strings(value)
    elif isinstance(held, list | tuple):
        for value in held:
            yield from strings(value)


@pytest.mark.parametrize("path", sorted(SAME))
def test_a_screen_in_us_units_has_no_metric_ones(path):
    screen = BY_PATH[path]
    fields = screen.ask.model_fields
    given = {
        k: [v] if isinstance(v, str) and "list" in str(fields[k].annotation) else v
        for k, v in SAME[path][0].items()
        if v
    }
    if "members" not in LEFT_OUT.get(path, ()):
        given["members"] = FEW["members"]
    parsed = screen.ask.model_validate(given)
    today = date.fromisoformat(TODAY)
    choice = WeatherChoice(demo=True, years=6, as_of=today)
    if path in ("tonight", "learn"):
        choice = WeatherChoice(demo=True, as_of=today)
    options = tuple(sorted({**screen.usual, **parsed.options()}.items()))
    result = run(Task(screen.call, choice, None, options))
    with reading(US):
        page = sheet_for(US, screen.sheet(shown(result), today))
        html = render(page)
    body = re.sub(r"<(script|style).*?</\1>", "", html, flags=re.DOTALL)
    texts = re.sub(r"<[^>]+>", "\n", body).split("\n")
    read = [*texts, *re.findall(r'aria-label="([^"]*)"', body)]
    assert [t for t in read if DAY_FIRST.search(t)] == []
    for section in page.sections:
        for picture in section.figures:
            texts += strings(plotly_json(picture.figure))
    metric = [t for t in texts if METRIC.search(t) and "read as" not in t]
    assert metric == []
    assert not [t for t in texts if re.search("[\ue000-\uf8ff]", t)]
    assert any("°F" in t for t in texts)
