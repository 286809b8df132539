"""Sheets as HTML, drawn once for every question and reader."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
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
_DRAWN: OrderedDict[tuple[object, ...], Markup] = OrderedDict()


@dataclass(frozen=True)
class Reader:
    """Who reads a sheet, when, and at which address.

    Parameters
    ----------
    viewer : Viewer
    today : date
    query, exact : str
        Of the address, and of that of the JSON document.
    own : bool
        Whether changes can be saved, to the reader's own home.
    """

    viewer: Viewer
    today: date
    query: str
    exact: str
    own: bool


def drawn(
    state: AppState, screen: Screen, key: str, result: Any, reader: Reader
) -> Markup:
    """Return a result's sheet as HTML, from memory where it was drawn before."""
    from markupsafe import Markup

    name = (screen.path, key, reader)
    with _LOCK:
        held = _DRAWN.get(name)
        if held is not None:
            _DRAWN.move_to_end(name)
            return held
    viewer, query = reader.viewer, reader.query
    sheet = state.sheet(screen, key, result, reader.today, viewer)
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
            exact=reader.exact,
            rest="".join(f"&{urlencode([pair])}" for pair in _other(query)),
            own=reader.own,
        )
    )
    with _LOCK:
        _DRAWN[name] = Markup(text)
        while len(_DRAWN) > _MOST:
            _DRAWN.popitem(last=False)
    return Markup(text)


def _other(query: str) -> list[tuple[str, str]]:
    """Return what a question says beside its plant."""
    return [(k, v) for k, v in parse_qsl(query) if k != "plant"]
