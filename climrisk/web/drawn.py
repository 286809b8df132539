"""Sheets as HTML, drawn once for every question and reader."""

from __future__ import annotations

from collections import OrderedDict
from datetime import date
from threading import Lock
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qsl, urlencode

from climrisk.core.typed_text import Viewer, reading
from climrisk.render.display_units import shown
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
    exact: str,
    *,
    own: bool,
) -> Markup:
    """Return a result's sheet as HTML, from memory where it was drawn before.

    `exact` is the query of the JSON document; `own` says whether changes can be saved,
    to the reader's own home.
    """
    from markupsafe import Markup

    name = (screen.path, key, today, viewer, query, exact, own)
    with _LOCK:
        held = _KEPT.get(name)
        if held is not None:
            _KEPT.move_to_end(name)
            return held
    sheet = state.sheet(screen, key, result, today, viewer)
    with reading(viewer):
        answer = shown(result)
    text = (
        engine()
        .select_template([f"answer_{screen.path}.html", "answer.html"])
        .render(
            screen=screen,
            sheet=sheet,
            result=answer,
            summary=sheet.summary,
            show=viewer.text,
            viewer=viewer,
            zoom=f"/zoom/{screen.path}/",
            query=query,
            exact=exact,
            rest="".join(f"&{urlencode([pair])}" for pair in _other(query)),
            own=own,
        )
    )
    with _LOCK:
        _KEPT[name] = Markup(text)
        while len(_KEPT) > _MOST:
            _KEPT.popitem(last=False)
    return Markup(text)


def _other(query: str) -> list[tuple[str, str]]:
    """Return what a question says beside its plant."""
    return [(k, v) for k, v in parse_qsl(query) if k != "plant"]
