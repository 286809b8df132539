"""Sheets as HTML, drawn once for every question and reader."""

from __future__ import annotations

from collections import OrderedDict
from datetime import date
from threading import Lock
from typing import TYPE_CHECKING, Any

from climrisk.report.viewer import Viewer
from climrisk.web.pieces import engine

if TYPE_CHECKING:
    from markupsafe import Markup

    from climrisk.web.app_state import AppState
    from climrisk.web.screens import Screen

_MOST = 48
_LOCK = Lock()
_KEPT: OrderedDict[tuple[object, ...], Markup] = OrderedDict()


def drawn(
    state: AppState,
    screen: Screen,
    key: str,
    result: Any,
    today: date,
    viewer: Viewer,
    query: str,
) -> Markup:
    """Return a result's sheet as HTML, from memory where it was drawn before."""
    from markupsafe import Markup

    name = (screen.path, key, today, viewer, query)
    with _LOCK:
        held = _KEPT.get(name)
        if held is not None:
            _KEPT.move_to_end(name)
            return held
    sheet = state.sheet(screen, key, result, today, viewer)
    text = (
        engine()
        .get_template("answer.html")
        .render(sheet=sheet, zoom=f"/zoom/{screen.path}/", zoom_query=query)
    )
    with _LOCK:
        _KEPT[name] = Markup(text)
        while len(_KEPT) > _MOST:
            _KEPT.popitem(last=False)
    return Markup(text)
