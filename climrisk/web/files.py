"""Files that the page is made of, by name and never by path."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from importlib import resources

from fastapi import FastAPI, Request
from starlette.responses import Response

from climrisk.render import charts as draw
from climrisk.render.charts.chart import plotly_json
from climrisk.render.page import Picture

_JS, _CSS, _SVG, _PNG = "text/javascript", "text/css", "image/svg+xml", "image/png"
_FILES = {
    "pieces.css": ("climrisk.render", _CSS),
    "page.css": ("climrisk.web", _CSS),
    "plants.css": ("climrisk.web", _CSS),
    "page.js": ("climrisk.web", _JS),
    "zoom.js": ("climrisk.web", _JS),
    "htmx.min.js": ("climrisk.web", _JS),
    "mark.svg": ("climrisk.web", _SVG),
    "icon-180.png": ("climrisk.web", _PNG),
    "icon-192.png": ("climrisk.web", _PNG),
    "icon-512.png": ("climrisk.web", _PNG),
    "icon-maskable.png": ("climrisk.web", _PNG),
    "plotly-cartesian.min.js": ("climrisk.render", _JS),
}
#: What a phone puts on its home screen. Nothing here needs a secure origin.
_MANIFEST = {
    "name": "climrisk",
    "short_name": "climrisk",
    "description": "When tender plants in pots must come in.",
    "start_url": "/",
    "scope": "/",
    "display": "standalone",
    "background_color": "#f6f5f0",
    "theme_color": "#f6f5f0",
    "icons": [
        {"src": "/static/mark.svg", "sizes": "any", "type": _SVG},
        {"src": "/static/icon-192.png", "sizes": "192x192", "type": _PNG},
        {"src": "/static/icon-512.png", "sizes": "512x512", "type": _PNG},
        {
            "src": "/static/icon-maskable.png",
            "sizes": "512x512",
            "type": _PNG,
            "purpose": "maskable",
        },
    ],
    "shortcuts": [
        {"name": "Tonight", "url": "/tonight"},
        {"name": "My plants", "url": "/plants"},
        {"name": "Before buying", "url": "/check"},
    ],
}


def add_static(app: FastAPI) -> None:
    """Serve the manifest and the files of the list above, and nothing else."""

    @app.get("/manifest.webmanifest", include_in_schema=False)
    async def manifest() -> Response:
        return Response(
            json.dumps(_MANIFEST),
            headers={"Cache-Control": "no-cache"},
            media_type="application/manifest+json",
        )

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
    held = {"figure": plotly_json(picture.figure), "config": draw.CONFIG}
    return json.dumps(held, separators=(",", ":")).replace("<", "\\u003c")
