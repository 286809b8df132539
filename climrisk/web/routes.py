"""The page's own addresses: screens, first run, what is handed over, how one reads."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import partial
from typing import Any
from urllib.parse import parse_qsl, urlencode

from fastapi import FastAPI, Request
from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from climrisk.commands.help.topics import NAMES, topic
from climrisk.core.errors import ClimriskError
from climrisk.render.page import Page
from climrisk.web import files
from climrisk.web.app_state import DEMO_HOME, AppState, NoWeatherError
from climrisk.web.asks import WeatherAsk
from climrisk.web.documents import first_fault, http_status
from climrisk.web.drawn import Reader, drawn
from climrisk.web.form_fields import fields_of
from climrisk.web.home_form import (
    change,
    collection_now,
    home_text_now,
    learned,
    lesson_task,
)
from climrisk.web.home_routes import add_home_routes
from climrisk.web.plants_routes import OWN_PAGES, SHOWING, add_plants
from climrisk.web.preferences import Preferences
from climrisk.web.screens import AREAS, BY_PATH, DEEP, SCREENS, Screen
from climrisk.web.subscription import PATH, subscription_query

#: Fields of a form: of 300 plants each may be ticked.
_MOST_FIELDS = 1000
#: Words of an address that say how a page is shown, not what is asked.
_SHOWING = ("held", "stay", "changed")
#: So long a page waits for its answer before it says that work goes on.
_PATIENCE_S = 0.8
_WEATHER_WORDS = tuple(
    f.alias or name for name, f in WeatherAsk.model_fields.items() if name != "as_of"
)
_UNIT = [("temperature_unit", "f")]
_SAYS = {"home", "demo", "town", "at", "station", "log"}
#: A number and its degrees stay on one line: in texts, not in what a field holds.
_DEGREES_APART = re.compile(r"(?<=\d) (?=°[CF][^<>]*<)")
_LOCAL = re.compile(r"^/(?![/\\])[\w/.-]*(\?[^\s\\]*)?$")


def add_routes(app: FastAPI, state: AppState) -> None:
    """Give an application its screens."""
    files.add_static(app)
    add_plants(app, state, partial(_page, state), _read, _back)
    for screen in (s for s in SCREENS if s.path not in OWN_PAGES):
        _add_screen(app, state, screen)

    @app.get("/", include_in_schema=False)
    async def front(request: Request) -> Response:
        known = state.home is not None or request.query_params.keys() & _SAYS
        to = f"/{SCREENS[0].path}" if known else "/start"
        query = f"?{request.url.query}" if request.url.query else ""
        return RedirectResponse(to + query, 303)

    @app.get("/understand", include_in_schema=False)
    async def understand(request: Request) -> Response:
        area = next(a for a in AREAS if a.path == "understand")
        return _page(
            state, request, "understand.html", area=area.path, screens=area.screens
        )

    _add_around(app, state)

    @app.exception_handler(404)
    async def missing(request: Request, _: Exception) -> Response:
        return _page(state, request, "missing.html", status=404)

    def show(request: Request, template: str, **context: Any) -> Response:
        return _page(state, request, template, **context)

    add_home_routes(app, state, show)
    _add_collection(app, state)
    _add_posts(app, state)
    _add_zoom(app, state)


def _add_around(app: FastAPI, state: AppState) -> None:
    @app.get("/kinds/media", include_in_schema=False)
    async def media(request: Request) -> Response:
        return _page(state, request, "kinds_media.html")

    @app.get("/settings", include_in_schema=False)
    async def settings(request: Request) -> Response:
        return _page(state, request, "settings.html", back=_back(request.url.path))

    @app.get("/about", include_in_schema=False)
    async def about(request: Request) -> Response:
        every = [topic(name) for name in NAMES]
        return _page(state, request, "about.html", topics=every, topic=None)

    @app.get("/about/{name}", include_in_schema=False)
    async def about_topic(request: Request, name: str) -> Response:
        if name not in NAMES:
            return _page(state, request, "missing.html", status=404)
        return _page(state, request, "about.html", topics=(), topic=topic(name))


def _add_collection(app: FastAPI, state: AppState) -> None:
    @app.get("/collection.csv", include_in_schema=False)
    async def collection(request: Request) -> Response:
        try:
            text = await run_in_threadpool(collection_now, state)
        except ClimriskError as error:
            line = error.line()
            return _page(state, request, "refused.html", fault=line, status=422)
        headers = {"Content-Disposition": 'attachment; filename="plants.csv"'}
        return Response(text, media_type="text/csv", headers=headers)


def _add_posts(app: FastAPI, state: AppState) -> None:
    @app.post("/stop", include_in_schema=False)
    async def stop(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=5)
        state.jobs.stop(str(form.get("key"))[:40])
        return RedirectResponse(_back(str(form.get("back")), held=True), 303)

    @app.post("/home", include_in_schema=False)
    async def home(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=_MOST_FIELDS)
        said = [(k, str(v)) for k, v in form.multi_items()]
        given = dict(said)
        back = _back(given.get("back") or "/plants")
        try:
            if given.get("do") == "learn":
                task = lesson_task(state, given)
                before = await run_in_threadpool(home_text_now, state)
                await state.result(state.jobs.submit(task))
                done = await run_in_threadpool(learned, state, before, given["spot"])
            else:
                done = await run_in_threadpool(change, state, said)
        except ClimriskError as error:
            return _page(
                state,
                request,
                "refused.html",
                fault=error.line(),
                status=422,
                back=back,
            )
        return RedirectResponse(_with(back, changed=done), 303)

    @app.post("/view", include_in_schema=False)
    async def view(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=8)
        prefs = Preferences.of(request).changed({k: str(v) for k, v in form.items()})
        answer = RedirectResponse(_back(str(form.get("back"))), 303)
        prefs.keep(answer)
        return answer


def _add_zoom(app: FastAPI, state: AppState) -> None:
    @app.get("/zoom/{path}/{picture}", include_in_schema=False)
    async def zoom(request: Request, path: str, picture: str) -> Response:
        screen = BY_PATH.get(path)
        if screen is None:
            return _page(state, request, "missing.html", status=404)
        ask, fault = _read(screen, request)
        if ask is None or fault:
            return _page(state, request, "missing.html", fault=fault, status=422)
        try:
            sheet = await _sheet(state, screen, ask, request)
        except ClimriskError as error:
            line = error.line()
            return _page(state, request, "missing.html", fault=line, status=422)
        found = [p for s in sheet.sections for p in s.figures if p.id == picture]
        if not found:
            return _page(state, request, "missing.html", status=404)
        query = request.url.query
        back = f"/{screen.path}" + (f"?{query}" if query else "")
        data = files.figure_data(found[0])
        return _page(
            state, request, "zoom.html", picture=found[0], data=data, back=back
        )


def _add_screen(app: FastAPI, state: AppState, screen: Screen) -> None:
    @app.get(f"/{screen.path}", include_in_schema=False, name=screen.path)
    async def shown(request: Request) -> Response:
        ask, fault = _read(screen, request)
        context: dict[str, Any] = {"screen": screen, "fault": fault}
        status = 422 if fault else 200
        held = "held" in request.query_params
        said = dict(_given(request)).keys() - {"home"}
        if screen.needs_place and not said and not _is_own(state, request):
            ask = None
        if ask is not None and not held:
            try:
                context |= await _answer(state, screen, ask, request)
            except NoWeatherError:
                return RedirectResponse(f"/start?to={screen.path}", 303)
            except ClimriskError as error:
                context["fault"] = error.line()
                status = http_status(error)
        return _page(state, request, "screen.html", status=status, held=held, **context)


def _read(screen: Screen, request: Request) -> tuple[WeatherAsk | None, str]:
    """Return what is asked; None with a fault, or without one where more is needed."""
    given: dict[str, Any] = {}
    for name, value in request.query_params.multi_items():
        if name in (*_SHOWING, *SHOWING) or (screen.path == "plants" and name == "row"):
            continue
        given.setdefault(name, []).append(value)
    fields = screen.ask.model_fields
    lists = {n for n, f in fields.items() if str(f.annotation).startswith("list")}
    # A choice by drawings may be followed by a field for what none of them shows.
    flat = {
        k: v if k in lists else next((x for x in reversed(v) if x), "")
        for k, v in given.items()
    }
    if any(not any(map(flat.get, need.split("|"))) for need in screen.needs):
        return None, ""
    if _in_fahrenheit(flat, request):
        flat["temperature_unit"] = "f"
    try:
        return screen.ask.model_validate(flat), ""
    except ValidationError as error:
        return None, first_fault(error.errors())


def _in_fahrenheit(given: Mapping[str, Any], request: Request) -> bool:
    """Whether typed words that name no unit are in °F, because the reader chose it.

    Words alone: the degrees of a file do not follow from how its reader likes them.
    """
    typed = given.get("words") and not given.get("temperature_unit")
    return bool(typed) and Preferences.of(request).viewer.unit == "f"


async def _answer(
    state: AppState, screen: Screen, ask: WeatherAsk, request: Request
) -> dict[str, Any]:
    """Return the sheet, or the job while the work goes on."""
    task = state.task(screen, ask)
    job = state.jobs.submit(task)
    try:
        result = await state.result(job, _PATIENCE_S)
    except TimeoutError:
        return {"job": job}
    viewer = Preferences.of(request).viewer
    today = task.choice.today
    reader = Reader(
        viewer,
        today,
        request.url.query,
        urlencode(_exact(request)),
        own=_is_own(state, request),
    )
    html = await run_in_threadpool(drawn, state, screen, task.key, result, reader)
    page = state.sheet(screen, task.key, result, today, viewer)
    understood = page.summary.understood if page.summary else ()
    return {"answer": html, "result": result, "understood": understood}


def _is_own(state: AppState, request: Request) -> bool:
    """Whether a request is about the reader's own home, which it may change."""
    elsewhere = any(request.query_params.get(word) for word in _SAYS)
    return state.home not in (None, DEMO_HOME) and not elsewhere


async def _sheet(
    state: AppState, screen: Screen, ask: WeatherAsk, request: Request
) -> Page:
    task = state.task(screen, ask)
    result = await state.result(state.jobs.submit(task))
    viewer = Preferences.of(request).viewer
    today: date = task.choice.today
    return await run_in_threadpool(state.sheet, screen, task.key, result, today, viewer)


def _back(to: str, *, held: bool = False, changed: str | None = None) -> str:
    """Return an address of our own to go back to, whatever was sent."""
    if not _LOCAL.match(to):
        to = "/"
    return _with(to, held="1" if held else None, changed=changed)


def _with(address: str, **showing: str | None) -> str:
    """Return an address that says how it is shown; None says nothing."""
    path, _, query = address.partition("?")
    pairs = [(k, v) for k, v in parse_qsl(query) if k not in _SHOWING]
    pairs += [(k, v) for k, v in showing.items() if v]
    return path + (f"?{urlencode(pairs)}" if pairs else "")


def _given(request: Request) -> list[tuple[str, str]]:
    """Return what an address says of the question, without how it is shown."""
    given = request.query_params.multi_items()
    return [(k, v) for k, v in given if k not in _SHOWING and v]


def _exact(request: Request) -> list[tuple[str, str]]:
    """Return the same for the document, whose address says the unit."""
    given = _given(request)
    return [*given, *_UNIT[: _in_fahrenheit(dict(given), request)]]


def _page(
    state: AppState,
    request: Request,
    template: str,
    *,
    status: int = 200,
    **context: Any,
) -> Response:
    from climrisk.web.choices import choices
    from climrisk.web.pieces import engine

    carried = [
        (k, v)
        for k, v in request.query_params.multi_items()
        if k in _WEATHER_WORDS
        and v
        # The unit of typed words goes no further; that of a file goes with the file.
        and (k != "temperature_unit" or "log" in request.query_params)
    ]
    fault = state.public_text(context.get("fault", ""))
    context["fault"] = fault[:1].upper() + fault[1:]
    prefs = Preferences.of(request)
    screen, offered = context.get("screen"), choices(state, carried)
    query = "?" + urlencode(carried) if carried else ""
    pairs, exact = _given(request), _exact(request)
    here = request.url.path + ("?" + urlencode(pairs) if pairs else "")
    text = (
        engine()
        .get_template(template)
        .render(
            **{
                "screen": None,
                "answer": "",
                "job": None,
                "held": False,
                "back": "/plants",
                "result": None,
                "understood": (),
                "found": (),
                "typed": "",
                "sample_chart": "",
                "form": fields_of(screen, request.query_params, prefs.viewer, offered),
                "show": prefs.viewer.text,
                "area": context["screen"].area if context.get("screen") else "",
                **context,
            },
            areas=AREAS,
            deep=DEEP,
            carried=carried,
            carried_query=query,
            query=request.query_params,
            address=here,
            document=f"{request.url.path}.json"
            + ("?" + urlencode(exact) if exact else ""),
            prefs=prefs,
            choices=offered,
            weather_words=state.weather_words(dict(carried)),
            own_home=_is_own(state, request),
            subscription=f"{request.url.netloc}{PATH}"
            + subscription_query(state.settings.token, carried),
            may_begin=state.settings.home is not None and not state.settings.demo,
            sample=request.query_params.get("home") == "demo" or state.settings.demo,
            has_home=state.home not in (None, DEMO_HOME),
            changed=state.changes.named(request.query_params.get("changed", "")),
            keepers=() if state.settings.demo else choices(state, []).own_spots,
        )
    )
    headers = {"Vary": "Cookie, Accept-Language"}
    return HTMLResponse(_DEGREES_APART.sub("\u00a0", text), status, headers)
