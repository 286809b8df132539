"""Security of the page: who may ask, from where, and what every answer carries."""

from __future__ import annotations

import hmac
import html
import ipaddress
import os
import re
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, quote, urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Hash of the empty text: the plot library makes an empty style element, and then
#: writes its rules through the object model, which needs no leave.
_EMPTY = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
#: Nothing but our own files; no inline script or style, no frame, no other host.
POLICY = (
    f"default-src 'none'; script-src 'self'; style-src 'self' {_EMPTY}; "
    "img-src 'self' data:; connect-src 'self'; manifest-src 'self'; "
    "form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(), microphone=()",
}
TOKEN_COOKIE = "climrisk_token"
#: Asked for by programs that keep no cookie: the token comes each time.
_NO_COOKIES = ("/calendar.ics",)
_READING = (None, "GET", "HEAD", "OPTIONS")
_HOST = re.compile(r"^(\[[0-9a-fA-F:.]+\]|[A-Za-z0-9.-]+)(?::(\d{1,5}))?$")

_DOOR = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>climrisk: token</title><h1>This page asks for its token</h1>
<p>It stands in the terminal where the page was started.</p>
<form method="get"><label>Token <input name="token" autocomplete="off"></label>
<button>Open</button></form></html>"""
_CLICK = """<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>climrisk</title><link rel="stylesheet" href="/static/pieces.css">
<link rel="stylesheet" href="/static/page.css">
<main id="main"><h1>Another website opened this page</h1>
<p>Nothing has been computed yet.</p>
<p><a class="button go" href="{address}">Open the page</a></p></main></html>"""


class SecurityMiddleware:
    """Stands before the page.

    Parameters
    ----------
    app : ASGIApp
    hosts : iterable of str
        Names by which the page may be asked for, beside the loopback's own: a page of
        another name that resolves to this machine is turned away.
    any_address : bool
        Whether any literal address will do, as behind ``--listen 0.0.0.0``.
    token : str, optional
        Asked of everybody, where the page listens beyond the loopback.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        hosts: Iterable[str] = (),
        any_address: bool = False,
        token: str | None = None,
    ) -> None:
        self.app = app
        self.hosts = {"127.0.0.1", "localhost", "[::1]", *hosts}
        self.any_address = any_address
        self.token = token

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it here."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        begun: list[bool] = []

        async def dressed(message: Message) -> None:
            begun.append(True)
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update(HEADERS)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        answer = self._refusal(scope) or self.app
        try:
            await answer(scope, receive, dressed)
        except Exception as fault:
            # A log would tell about the home; the reader is told all the same.
            if begun or os.environ.get("CLIMRISK_DEBUG"):
                raise
            words = f"a fault of climrisk, not of your input: {type(fault).__name__}"
            await PlainTextResponse(words, 500)(scope, receive, dressed)

    def _refusal(self, scope: Scope) -> ASGIApp | None:
        headers = Headers(scope=scope)
        if not self._known(headers.get("host", "")):
            return PlainTextResponse("this host name is not accepted here", 400)
        if _foreign(headers):
            # Nothing behind this point runs for another site, so that it can start
            # no work: the reader's own click comes from our page.
            if _opens_page(scope["method"], headers):
                return HTMLResponse(_CLICK.format(address=_address(scope)))
            return PlainTextResponse("a request from another site", 403)
        if self.token is None:
            return None
        return self._door(scope, headers)

    def _known(self, host: str) -> bool:
        match = _HOST.match(host)
        if match is None:
            return False
        name = match[1].lower()
        if name in self.hosts:
            return True
        return self.any_address and _is_address(name)

    def _door(self, scope: Scope, headers: Headers) -> ASGIApp | None:
        """Return None where the token is right; it comes once and stays as a cookie."""
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"))
        given = query.pop("token", [""])[0]
        if given and self._right(given):
            if scope["method"] not in _READING or scope["path"] in _NO_COOKIES:
                return None
            # One slash only: two would name another host.
            to = "/" + scope["path"].lstrip("/\\")
            to += "?" + urlencode(query, doseq=True) if query else ""
            answer = RedirectResponse(to, 303)
            answer.set_cookie(TOKEN_COOKIE, given, httponly=True, samesite="strict")
            return answer
        if self._right(_cookie(headers, TOKEN_COOKIE)):
            return None
        bearer = headers.get("authorization", "").removeprefix("Bearer ")
        if self._right(bearer):
            return None
        return HTMLResponse(_DOOR, 401)

    def _right(self, given: str) -> bool:
        wanted = self.token or ""
        return bool(wanted) and hmac.compare_digest(given.encode(), wanted.encode())


def _foreign(headers: Headers) -> bool:
    """Whether another site initiated a request.

    Browsers say so in ``Sec-Fetch-Site``, to a loopback address at least; else in
    ``Origin`` or ``Referer``. Programs that are no browsers send none of these.
    """
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return True
    said = headers.get("origin") or ("" if site else headers.get("referer"))
    if not said:
        return False
    try:
        return urlsplit(said).netloc.lower() != headers.get("host", "").lower()
    except ValueError:
        return True


def _opens_page(method: str, headers: Headers) -> bool:
    """Whether a request may open a page in a window of its own."""
    return (
        method in ("GET", "HEAD")
        and "origin" not in headers
        and headers.get("sec-fetch-mode", "navigate") == "navigate"
        and headers.get("sec-fetch-dest", "document") == "document"
    )


def _address(scope: Scope) -> str:
    """Return the address of a request on this page, escaped for HTML."""
    # One slash only: two would name another host.
    path = "/" + quote(scope["path"].lstrip("/\\"))
    query = scope.get("query_string", b"").decode("latin-1")
    return html.escape(path + ("?" + query if query else ""))


def _cookie(headers: Headers, name: str) -> str:
    jar: SimpleCookie = SimpleCookie()
    try:
        jar.load(headers.get("cookie", ""))
    except CookieError:
        return ""
    held: Any = jar.get(name)
    return "" if held is None else str(held.value)


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True
