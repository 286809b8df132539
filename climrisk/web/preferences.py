"""How a reader likes to read: unit, dates, light or dark; kept in a cookie."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from climrisk.core.days import ORDERS
from climrisk.core.quantities import System, chosen
from climrisk.core.references import Interface
from climrisk.core.typed_text import Viewer, reading
from climrisk.render.display_units import from_languages
from climrisk.web.form_fields import page_of
from climrisk.web.screens import BY_PATH

_COOKIE = "climrisk_view"
#: What the page calls the systems of units: by their degrees.
_UNITS: dict[str, System] = {"c": "metric", "f": "us"}
_THEMES = ("auto", "light", "dark")
_YEAR_S = 365 * 86_400


@dataclass(frozen=True)
class Preferences:
    """Unit and dates, and the theme: the system's own, light or dark."""

    viewer: Viewer
    theme: str = "auto"

    @classmethod
    def of(cls, request: Request) -> Preferences:
        """Return those of a request, which `PreferencesMiddleware` has found."""
        found: Preferences = request.scope["climrisk_preferences"]
        return found

    @classmethod
    def read(cls, request: Request, home: System | None = None) -> Preferences:
        """Return what the cookie says, else the home file, else the browser.

        The browser's language suggests units and order of dates.
        """
        viewer = from_languages(request.headers.get("accept-language", ""))
        units = chosen(home, viewer.units)
        usual = cls(
            replace(viewer, units=units, interface=_interface(request.url.path))
        )
        parts = request.cookies.get(_COOKIE, "").split(".")
        if len(parts) != 3:
            return usual
        return usual.changed({"unit": parts[0], "dates": parts[1], "theme": parts[2]})

    def changed(self, given: dict[str, str]) -> Preferences:
        """Return other preferences; what is not known is passed over."""
        dates: Any = given.get("dates")
        theme = given.get("theme", "")
        viewer = replace(
            self.viewer,
            units=chosen(_UNITS.get(given.get("unit", "")), self.viewer.units),
            dates=dates if dates in ORDERS else self.viewer.dates,
        )
        return Preferences(viewer, theme if theme in _THEMES else self.theme)

    def keep(self, answer: Response) -> None:
        """Put it into the cookie."""
        value = f"{self.viewer.unit}.{self.viewer.dates}.{self.theme}"
        answer.set_cookie(
            _COOKIE, value, max_age=_YEAR_S, httponly=True, samesite="lax"
        )


def _interface(path: str) -> Interface:
    """Return what the page at an address calls inputs."""
    return page_of(BY_PATH.get(path.strip("/").removesuffix(".json")))


class PreferencesMiddleware:
    """Answer every request as its reader reads; errors and hints are the page's.

    Parameters
    ----------
    app : ASGIApp
    units : callable
        Returns the units of the page's home file, None without any.
    """

    def __init__(self, app: ASGIApp, units: Callable[[], System | None]) -> None:
        self.app, self.units = app, units

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        found = Preferences.read(Request(scope), self.units())
        scope["climrisk_preferences"] = found
        with reading(found.viewer):
            await self.app(scope, receive, send)
