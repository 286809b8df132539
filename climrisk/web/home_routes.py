"""First run, homes, where their weather comes from, and what is stored here."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from climrisk.commands.assess.year_svg import year_svg
from climrisk.core.errors import ClimriskError, InputError
from climrisk.home import edit_home
from climrisk.weather.selection import parse_at
from climrisk.web.app_state import DEMO_HOME, AppState
from climrisk.web.changes import Change
from climrisk.web.homes import (
    exported,
    remove_everything,
    remove_upload,
    uploaded_files,
)
from climrisk.web.pieces import engine
from climrisk.web.places import candidates, place_fields
from climrisk.web.preferences import Preferences
from climrisk.web.screens import BY_PATH
from climrisk.web.settings import copy_log, keep_log, log_file

#: So long a page waits for the station before it says that it is being looked for.
_PATIENCE_S = 0.8
#: Keys of a home's weather that say where it comes from; the others go with a file.
_SOURCE = ("demo", "file", "town", "at", "station", "combine")
_OF_FILE = ("temperature_unit", "date_order", "clock", "column", "measured_at")

#: What the first page shows of the sample home.
_SAMPLE = {"home": "demo", "plant": "Phalaenopsis hybrids", "spot": "balcony"}

Show = Callable[..., Response]


def add_home_routes(app: FastAPI, state: AppState, show: Show) -> None:
    """Add the first run and everything about homes and files.

    Parameters
    ----------
    app : FastAPI
    state : AppState
    show : callable
        Renders a template: ``show(request, template, status=..., **context)``.
    """
    _add_first_run(app, state, show)
    _add_files(app, state, show)
    _add_homes(app, state, show)


def _add_first_run(app: FastAPI, state: AppState, show: Show) -> None:
    @app.get("/start", include_in_schema=False)
    async def start(request: Request) -> Response:
        typed = request.query_params.get("town", "")[:80]
        context: dict[str, Any] = {
            "typed": typed,
            "found": await run_in_threadpool(candidates, typed),
            "sample_chart": "",
            "fault": await run_in_threadpool(state.home_fault),
        }
        # Where the processes are not ready yet, the chart follows by itself.
        with suppress(TimeoutError, ClimriskError):
            context["sample_chart"] = await _sample(state, request, _PATIENCE_S)
        return show(request, "start.html", **context)

    @app.get("/towns", include_in_schema=False)
    async def towns(request: Request) -> Response:
        typed = request.query_params.get("town", "")[:80]
        found = await run_in_threadpool(candidates, typed)
        text = engine().get_template("towns.html").render(typed=typed, found=found)
        return HTMLResponse(text)

    @app.get("/start/sample", include_in_schema=False)
    async def sample(request: Request) -> Response:
        return HTMLResponse(await _sample(state, request))

    @app.get("/start/station", include_in_schema=False)
    async def station(request: Request) -> Response:
        given = request.query_params
        typed = given.get("town", "").strip()[:80]
        place = (given.get("place") or typed)[:80]
        found = await run_in_threadpool(candidates, typed)
        if not given.get("place") and len(found) == 1:
            place = found[0].value
        context: dict[str, Any] = {"typed": typed, "found": found}
        try:
            fields = await run_in_threadpool(place_fields, place)
        except InputError as error:
            # Several towns of the name: they stand below the field, to choose from.
            context["fault"] = "" if found else error.line()
            return show(request, "start.html", status=422, **context)
        return await _station(state, show, request, place, fields, context)


async def _sample(
    state: AppState, request: Request, seconds: float | None = None
) -> str:
    """Return the chart of the sample home; TimeoutError if it is not there in time."""
    viewer = Preferences.of(request).viewer
    screen = BY_PATH["check"]
    task = state.task(screen, screen.ask.model_validate(_SAMPLE))
    result = await state.result(state.jobs.submit(task), seconds)
    return year_svg(result, task.choice.today, viewer, "sample")


async def _station(
    state: AppState,
    show: Show,
    request: Request,
    place: str,
    fields: dict[str, str],
    context: dict[str, Any],
) -> Response:
    """Show which station is nearest to a place, or that it is being looked for."""
    screen = BY_PATH["stations"]
    job = state.jobs.submit(state.task(screen, screen.ask.model_validate(fields)))
    context |= {"fields": fields, "place": place.partition(",")[0]}
    if "at" in fields:
        context["place"] = place
    try:
        result = await state.result(job, _PATIENCE_S)
    except TimeoutError:
        return show(request, "station.html", job=job, **context)
    except ClimriskError as error:
        context["fault"] = error.line()
        return show(request, "station.html", status=503, **context)
    return show(request, "station.html", result=result, **context)


def _add_files(app: FastAPI, state: AppState, show: Show) -> None:
    @app.post("/logs", include_in_schema=False)
    async def logs(request: Request) -> Response:
        async with request.form(max_files=1, max_fields=20) as form:
            handed = form.get("file")
            given = {k: str(v).strip()[:80] for k, v in form.items() if k != "file"}
            context = {"logger_town": given.get("town", ""), "found": [], "typed": ""}
            if not isinstance(handed, UploadFile) or not handed.filename:
                fault = "No file was chosen."
                return show(request, "start.html", status=422, fault=fault, **context)
            data, name = await handed.read(), handed.filename
        try:
            key = await run_in_threadpool(keep_log, state.settings.logs, name, data)
        except InputError as error:
            line = error.line()
            return show(request, "start.html", status=422, fault=line, **context)
        to = "learn" if given.get("to") == "learn" else "logger"
        query = {"log": key} | {k: given[k] for k in ("town", "at") if given.get(k)}
        if query.get("town"):
            # The file is kept: a town that is not found is asked about beside it.
            query |= _as_place(query.pop("town"))
        return RedirectResponse(f"/{to}?{urlencode(query)}", 303)

    @app.post("/files", include_in_schema=False)
    async def files(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=5)
        key = str(form.get("key"))[:16]
        try:
            await run_in_threadpool(remove_upload, state.settings.logs, key)
        except InputError as error:
            return show(
                request, "refused.html", status=422, fault=error.line(), back="/homes"
            )
        return RedirectResponse("/homes", 303)


def _as_place(text: str) -> dict[str, str]:
    try:
        return place_fields(text)
    except InputError:
        return {"town": text}


def _add_homes(app: FastAPI, state: AppState, show: Show) -> None:
    @app.get("/homes", include_in_schema=False)
    async def homes(request: Request) -> Response:
        return _homes(state, show, request)

    @app.get("/homes/export.zip", include_in_schema=False)
    async def export(_: Request) -> Response:
        data = await run_in_threadpool(exported, state.homes, state.settings.logs)
        headers = {"Content-Disposition": 'attachment; filename="climrisk-data.zip"'}
        return Response(data, media_type="application/zip", headers=headers)

    @app.post("/homes", include_in_schema=False)
    async def change(request: Request) -> Response:
        form = await request.form(max_files=0, max_fields=20)
        given = {k: str(v).strip()[:200] for k, v in form.items()}
        try:
            to = await run_in_threadpool(_changed, state, given)
        except InputError as error:
            return _homes(state, show, request, fault=error.line(), given=given)
        return RedirectResponse(to, 303)


def _homes(
    state: AppState,
    show: Show,
    request: Request,
    *,
    fault: str = "",
    given: dict[str, str] | None = None,
) -> Response:
    from climrisk.core.paths import shown_name

    path, home = state.home, state.home_of({})
    source = ""
    if home is not None and path is not None:
        weather = home.weather
        file = "" if weather.file is None else shown_name(path.parent / weather.file)
        source = (
            weather.town or (weather.station and f"station {weather.station}") or file
        )
        source = source or weather.at or ("invented weather" if weather.demo else "")
    return show(
        request,
        "homes.html",
        status=422 if fault else 200,
        fault=fault,
        given=given or {},
        homes=state.homes.listing(),
        current=state.homes.current_key,
        source=source,
        files=uploaded_files(state.settings.logs),
        demo_page=state.settings.demo,
    )


def _changed(state: AppState, given: dict[str, str]) -> str:
    """Do what a form about homes says; return where to go.

    Raises
    ------
    InputError
        What is wrong; nothing was changed.
    """
    if state.settings.demo:
        raise InputError("the sample home stays as it is", where="home")
    do = given.get("do", "")
    if do == "show":
        state.homes.choose(given.get("key", ""))
        return "/plants"
    if do == "source":
        return f"/homes?changed={_new_source(state, given)}"
    if do in ("remove", "everything"):
        if given.get("sure") != "yes":
            raise InputError(
                "nothing was deleted: tick the box beside the button first",
                where="sure",
            )
        if do == "remove":
            state.homes.remove(given.get("key", ""))
            return "/homes"
        remove_everything(state.homes, state.settings.logs)
        return "/start"
    raise InputError("nothing to do", where="do", value=do[:20])


def _new_source(state: AppState, given: dict[str, str]) -> str:
    """Let a home take its weather from elsewhere; return the name of the change."""
    path = state.home
    if path is None or path == DEMO_HOME:
        raise InputError("there is no home yet", where="home")
    values: dict[str, str] = {}
    if given.get("log"):
        copy = copy_log(log_file(state.settings.logs, given["log"]), path.parent)
        values["file"] = copy.name
        town = given.get("log_town", "")
        if town:
            values["at"] = _coordinates(town)
    elif given.get("station"):
        values["station"] = given["station"]
    elif given.get("town"):
        values |= place_fields(given["town"])
    else:
        raise InputError(
            "no source is chosen",
            where="weather",
            next_step="type a town or a station, or choose a file",
        )
    with edit_home(path) as home:
        for key in (*_SOURCE, *_OF_FILE):
            if key in values or key in home.document.get("weather", {}):
                home.set("weather", key, values.get(key))
    what = f"weather taken from {given.get('town') or given.get('station') or 'a file'}"
    return state.changes.add(Change(what, home.before, home.text()))


def _coordinates(place: str) -> str:
    """Return a town as latitude and longitude, where a file was measured."""
    from climrisk.weather.towns import find_town

    fields = place_fields(place)
    if "at" in fields:
        parse_at(fields["at"])
        return fields["at"]
    town = find_town(place)
    return f"{town.latitude_deg:g},{town.longitude_deg:g}"
