"""Files that the page is made of, by name and never by path."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from importlib import resources

from fastapi import FastAPI, Request
from starlette.responses import Response

from climrisk.render import charts as draw
from climrisk.render.page import Picture

_JS, _CSS, _SVG = "text/javascript", "text/css", "image/svg+xml"
_FILES = {
    "pieces.css": ("climrisk.render", _CSS),
    "page.css": ("climrisk.web", _CSS),
    "page.js": ("climrisk.web", _JS),
    "zoom.js": ("climrisk.web", _JS),
    "htmx.min.js": ("climrisk.web", _JS),
    "mark.svg": ("climrisk.web", _SVG),
    "plotly-cartesian.min.js": ("climrisk.render", _JS),
}


def add_static(app: FastAPI) -> None:
    """Serve the files of the list above, and nothing else."""

    @app.get("/static/{name}", include_in_schema=False)
    async def static(request: Request, name: str) -> Response:
        if name not in _FILES:
            return Response("no such file", 404, media_type="text/plain")
        body, tag = _read(name)
        headers = {"ETag": tag, "Cache-Control": "no-cache"}
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers=headers)
        return Response(body, headers=headers, media_type=_FILES[name][1])


@lru_cache(maxsize=len(_FILES))
def _read(name: str) -> tuple[bytes, str]:
    body = resources.files(_FILES[name][0]).joinpath(f"static/{name}").read_bytes()
    return body, f'"{hashlib.sha256(body).hexdigest()[:16]}"'


def figure_data(picture: Picture) -> str:
    """Return a picture for the plot library, as JSON inside a script element."""
    held = {"figure": json.loads(picture.figure.to_json()), "config": draw.CONFIG}
    return json.dumps(held, separators=(",", ":")).replace("<", "\\u003c")
