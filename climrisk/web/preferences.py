"""How a reader likes to read: unit, dates, light or dark; kept in a cookie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from climrisk.core.quantities import System, chosen
from climrisk.render.display_units import Viewer, from_languages

_COOKIE = "climrisk_view"
#: What the page calls the systems of units: by their degrees.
_UNITS: dict[str, System] = {"c": "metric", "f": "us"}
_DATES, _THEMES = ("dmy", "mdy", "ymd"), ("auto", "light", "dark")
_YEAR_S = 365 * 86_400


@dataclass(frozen=True)
class Preferences:
    """Unit and dates, and the theme: the system's own, light or dark."""

    viewer: Viewer
    theme: str = "auto"

    @classmethod
    def of(cls, request: Request) -> Preferences:
        """Return what the cookie says, else what the browser's language suggests."""
        usual = cls(from_languages(request.headers.get("accept-language", "")))
        usual = usual.changed({})
        parts = request.cookies.get(_COOKIE, "").split(".")
        if len(parts) != 3:
            return usual
        return usual.changed({"unit": parts[0], "dates": parts[1], "theme": parts[2]})

    def changed(self, given: dict[str, str]) -> Preferences:
        """Return other preferences; what is not known is passed over."""
        dates: Any = given.get("dates")
        theme = given.get("theme", "")
        viewer = Viewer(
            chosen(_UNITS.get(given.get("unit", "")), self.viewer.units),
            dates if dates in _DATES else self.viewer.dates,
        )
        return Preferences(viewer, theme if theme in _THEMES else self.theme)

    def keep(self, answer: Response) -> None:
        """Put it into the cookie."""
        value = f"{self.viewer.unit}.{self.viewer.dates}.{self.theme}"
        answer.set_cookie(
            _COOKIE, value, max_age=_YEAR_S, httponly=True, samesite="lax"
        )
