"""The addresses of My plants: the list, its forms, each plant, spots and downloads."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import RedirectResponse, Response

from climrisk.commands.assess.result import AssessResult
from climrisk.commands.assess.year_svg import year_svg
from climrisk.commands.calendar.exports import calendar_csv, calendar_ics
from climrisk.commands.calendar.next_moves import NextMove, plant_lines
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.ribbon import (
    RibbonSpan,
    axis_svg,
    plant_ribbon_svg,
    ribbon_words,
    year_ribbon,
)
from climrisk.commands.calendar.sheet import sheet_parts
from climrisk.commands.calendar.tables import labels_table
from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.remedies.text import saves
from climrisk.core.calendar import today_here
from climrisk.core.errors import ClimriskError, InputError
from climrisk.core.frozen import for_reader
from climrisk.core.quantities import HEIGHT, LENGTH, quantity
from climrisk.core.typed_text import reading
from climrisk.home import Home, HomePlant
from climrisk.home.model import references
from climrisk.render.answer import spoken
from climrisk.render.charts.drawings import drawn_kinds, facing_svg
from climrisk.render.display_units import table_for
from climrisk.spot.kinds import spot_kind
from climrisk.web.app_state import DEMO_HOME, AppState, NoWeatherError
from climrisk.web.asks import WeatherAsk
from climrisk.web.choices import choices
from climrisk.web.documents import http_status
from climrisk.web.home_form import change
from climrisk.web.job_queue import QueuedJob
from climrisk.web.plants_forms import Meaning, meaning, pasted_rows
from climrisk.web.plants_view import SORTS, collection, limit_lines, today_words
from climrisk.web.preferences import Preferences
from climrisk.web.screens import BY_PATH, Screen

#: Words of an address that say which plants are shown, and how.
SHOWING = ("place", "sort", "find", "labels")
#: Screens whose pages are made here.
OWN_PAGES = ("plants", "print")
#: So long the list waits for its dates before it is shown without them.
_PATIENCE_S = 0.4
_MOST_FIELDS = 8000
#: Entries of a long list.
_MANY = 60
_SHOWN_NEAR = 6
#: Remedies on the page of a plant.
_BEST = 3
#: What a row's button does, and the form that it stands for.
_BUTTONS = {
    "inside": {"do": "carried", "way": "in"},
    "outside": {"do": "carried", "way": "out"},
    "remove": {"do": "remove-plant"},
}


class PageRenderer(Protocol):
    """Renders a template for a request."""

    def __call__(
        self, request: Request, template: str, *, status: int = 200, **context: Any
    ) -> Response:
        """Return the page."""


Read = Callable[[Screen, Request], tuple[WeatherAsk | None, str]]


def add_plants(
    app: FastAPI,
    state: AppState,
    page: PageRenderer,
    read: Read,
    back_to: Callable[..., str],
) -> None:
    """Give an application the addresses of My plants.

    Parameters
    ----------
    app : FastAPI
    state : AppState
    page : callable
        Renders a template.
    read : callable
        Reads what a request asks of a screen.
    back_to : callable
        Returns an address of our own with how it is shown, such as a change.
    """
    plants = _Plants(state, page, read, back_to)
    for path, shown in (
        ("/plants", plants.listed),
        ("/plants/name", plants.name),
        ("/plants/add", plants.adding),
        ("/plants/paste", plants.pasting),
        ("/plants/edit", plants.editing),
        ("/plants/move", plants.moving),
        ("/plants/carry", plants.carrying),
        ("/plants/plant", plants.plant),
        ("/plants/helps", plants.helps),
        ("/plants/strip", plants.strip),
        ("/plants/spots", plants.spots),
        ("/plants/spot", plants.spot),
        ("/print", plants.sheet),
        ("/plants/moves.ics", plants.moves),
        ("/plants/year.csv", plants.year),
    ):
        _add(app, "GET", path, shown)
    for path, posted in (
        ("/plants", plants.pressed),
        ("/plants/add", plants.added),
        ("/plants/paste", plants.pasted),
        ("/plants/edit", plants.edited),
        ("/plants/move", plants.moved),
        ("/plants/carry", plants.carried),
        ("/plants/spot", plants.spot_saved),
        ("/plants/spots", plants.spot_removed),
    ):
        _add(app, "POST", path, posted)


Answers = Callable[[Request], Awaitable[Response]]


def _add(app: FastAPI, method: str, path: str, handler: Answers) -> None:
    async def answer(request: Request) -> Response:
        return await handler(request)

    app.add_api_route(path, answer, methods=[method], include_in_schema=False)


@dataclass(frozen=True)
class _Plants:
    state: AppState
    page: PageRenderer
    read: Read
    back_to: Callable[..., str]

    # -- the list ---------------------------------------------------------------------

    async def listed(self, request: Request, fault: str = "") -> Response:
        """Show the plants with what comes next, as soon as that is known."""
        said = request.query_params
        home = self._home(request)
        if home is None and not said:
            fault = fault or self.state.home_fault()
            if not fault:
                return RedirectResponse("/start?to=plants", 303)
        result: CalendarResult | None = None
        job: QueuedJob | None = None
        context: dict[str, Any] = {"screen": BY_PATH["plants"], "fault": fault}
        status = 422 if fault else 200
        if said if home is None else home.plant:
            try:
                # A change of a long list is confirmed at once, its dates follow.
                many = home is not None and len(home.plant) > _MANY
                patience = 0.02 if many and "changed" in said else _PATIENCE_S
                result, job = await self._calendar(request, patience)
            except NoWeatherError:
                return RedirectResponse("/start?to=plants", 303)
            except ClimriskError as error:
                context["fault"] = context["fault"] or error.line()
                status = http_status(error)
        prefs = Preferences.of(request)
        today = self._today(request, result)
        shown = None
        if home is not None or result is not None:
            shown = await run_in_threadpool(
                collection,
                *(home, result, today, prefs.viewer),
                place=said.get("place", "")[:200],
                sort=said.get("sort", "next") if said.get("sort") in SORTS else "next",
                find=said.get("find", "")[:80],
            )
        return self.page(
            request,
            "plants.html",
            status=status,
            **context,
            job=job,
            result=result,
            list=shown,
            home=home,
            sorts=SORTS,
            sort=said.get("sort", "next"),
            held="held" in said,
        )

    async def pressed(self, request: Request) -> Response:
        """Do what a button of a row says."""
        form = await self._form(request)
        given = dict(form)
        back = self._back(given, "/plants")
        button = next((b for b in _BUTTONS if given.get(b)), None)
        if button is None:
            return RedirectResponse(back, 303)
        rows = [("row", ref) for ref in given[button].split(",")]
        command = [*_BUTTONS[button].items(), *rows]
        if "once" in given:
            command.append(("once", f"{given['once']} {button} {given[button][:40]}"))
        try:
            done = await run_in_threadpool(change, self.state, command)
        except ClimriskError as error:
            return await self.listed(request, fault=error.line())
        return RedirectResponse(self.back_to(back, changed=done), 303)

    # -- names ------------------------------------------------------------------------

    async def name(self, request: Request) -> Response:
        """Say what the name means that is being typed."""
        typed = request.query_params.get("name", "").strip()[:200]
        show = Preferences.of(request).viewer.text
        meant = await run_in_threadpool(self._meaning, typed, self._own_home(), show)
        return self.page(request, "plants_name.html", meant=meant)

    def _meaning(
        self, typed: str, home: Home | None, show: Callable[[str], str]
    ) -> dict[str, Any] | None:
        if len(typed) < 2:
            return None
        return _described(meaning(typed, home), show)

    # -- forms ------------------------------------------------------------------------

    async def adding(self, request: Request) -> Response:
        """Ask what is left to ask about a new plant."""
        return self._plant_form(request, dict(request.query_params), "add")

    async def added(self, request: Request) -> Response:
        """Add a plant."""
        return await self._plant_sent(request, "add")

    async def editing(self, request: Request) -> Response:
        """Show what is said of a plant, to be changed."""
        found = self._plant_of(request.query_params.get("row", ""))
        if found is None:
            return await self.listed(request, fault=_GONE)
        plant = found[1]
        given = {
            k: "" if v is None else str(v)
            for k, v in plant.model_dump(exclude={"moves"}).items()
        }
        given["pot_diameter_cm"] = _size_text(plant, request)
        given["row"] = found[0]
        return self._plant_form(request, given, "edit")

    async def edited(self, request: Request) -> Response:
        """Change a plant."""
        return await self._plant_sent(request, "edit")

    async def _plant_sent(self, request: Request, what: str) -> Response:
        form = await self._form(request)
        given = dict(form)
        home = self._own_home()
        meant = meaning(given.get("name", ""), home)
        picked = given.get("means", "")
        means = meant.name or meaning(picked, home).name
        if means is None:
            return self._plant_form(request, given, what, status=422)
        if meant.unknown:
            form.append(("name", picked))
        form += [("means", means), ("do", f"{what}-plant")]
        inches = Preferences.of(request).viewer.units == "us"
        try:
            done = await run_in_threadpool(change, self.state, form, inches=inches)
        except ClimriskError as error:
            fault = error.line()
            return self._plant_form(request, given, what, fault=fault, status=422)
        back = self._back(given, "/plants")
        return RedirectResponse(self.back_to(back, changed=done), 303)

    def _plant_form(
        self,
        request: Request,
        given: Mapping[str, str],
        what: str,
        *,
        fault: str = "",
        status: int = 200,
    ) -> Response:
        home = self._own_home()
        if home is None:
            return self._no_home(request)
        typed = given.get("name", "")
        known = {p.name.lower() for p in home.places}
        spot = given.get("spot", "")
        return self.page(
            request,
            "plants_form.html",
            status=status,
            screen=BY_PATH["plants"],
            fault=fault,
            what=what,
            given=given,
            meant=self._meaning(typed, home, Preferences.of(request).viewer.text),
            home=home,
            spot=spot if spot.lower() in known else "",
            other_spot=spot if spot.lower() not in known else "",
            **_drawings(),
            labels={d.name: d.label for d in BY_PATH["check"].declared},
            once=secrets.token_hex(8),
        )

    async def moving(self, request: Request, fault: str = "") -> Response:
        """Ask where a plant goes."""
        found = self._plant_of(request.query_params.get("row", ""))
        home = self._own_home()
        if found is None or home is None:
            return await self.listed(request, fault=_GONE)
        ref, plant, unique = found
        return self.page(
            request,
            "plants_move.html",
            status=422 if fault else 200,
            screen=BY_PATH["plants"],
            fault=fault,
            row=ref,
            plant=plant,
            unique=unique,
            home=home,
            now=home.now_at(plant, today_here()),
            **_drawings(),
            once=secrets.token_hex(8),
        )

    async def moved(self, request: Request) -> Response:
        """Move a plant: for good, or carried for now."""
        form = await self._form(request)
        given = dict(form)
        home = self._own_home()
        to = given.get("spot", "")
        if given.get("how") == "carried" and home is not None and home.knows_spot(to):
            way = "in" if home.spot_named(to).as_kind.indoors else "out"
            form = [("do", "carried"), ("way", way), ("on", given.get("on", ""))]
            form.append(("row", f"{given.get('row', '')}/{to}"))
            form.append(("to", to))
        else:
            form.append(("do", "move-plant"))
        try:
            done = await run_in_threadpool(change, self.state, form)
        except ClimriskError as error:
            return await self.moving(request, fault=error.line())
        back = self._back(given, "/plants")
        return RedirectResponse(self.back_to(back, changed=done), 303)

    async def carrying(self, request: Request) -> Response:
        """Ask which plants were carried in or out."""
        return self._carry_form(request, [])

    async def carried(self, request: Request) -> Response:
        """Note several plants as carried in or out on a day."""
        form = await self._form(request)
        command = [*form, ("do", "carried")]
        try:
            done = await run_in_threadpool(change, self.state, command)
        except ClimriskError as error:
            return self._carry_form(request, form, error.line())
        return RedirectResponse(self.back_to("/plants", changed=done), 303)

    def _carry_form(
        self, request: Request, form: Sequence[tuple[str, str]], fault: str = ""
    ) -> Response:
        home = self._own_home()
        if home is None:
            return self._no_home(request)
        return self.page(
            request,
            "plants_carry.html",
            status=422 if fault else 200,
            screen=BY_PATH["plants"],
            fault=fault,
            given=dict(form),
            ticked={value for key, value in form if key == "row"},
            placed=choices(self.state, []).placed,
            once=secrets.token_hex(8),
        )

    async def pasting(self, request: Request) -> Response:
        """Ask for a list of plants."""
        return self._paste_page(request, {}, None)

    async def pasted(self, request: Request) -> Response:
        """Show how a list was understood, or add its plants."""
        form = await self._form(request)
        given = dict(form)
        home = self._own_home()
        if home is None:
            return self._no_home(request)
        if given.get("file"):
            given["list"] = given["file"]
        try:
            rows = await run_in_threadpool(
                pasted_rows, given.get("list", ""), home, given
            )
        except InputError as error:
            return self._paste_page(request, given, None, error.line())
        if given.get("add") != "yes":
            return self._paste_page(request, given, rows)
        form = [(k, v) for k, v in given.items() if k != "do"] + [("do", "add-plants")]
        try:
            done = await run_in_threadpool(change, self.state, form)
        except ClimriskError as error:
            return self._paste_page(request, given, rows, error.line())
        return RedirectResponse(self.back_to("/plants", changed=done), 303)

    def _paste_page(
        self,
        request: Request,
        given: Mapping[str, str],
        rows: Any,
        fault: str = "",
    ) -> Response:
        home = self._own_home()
        if home is None:
            return self._no_home(request)
        places = {p.name.lower() for p in home.places}
        others = {
            r.spot.lower(): r.spot
            for r in rows or ()
            if r.spot and r.spot.lower() not in places
        }
        return self.page(
            request,
            "plants_paste.html",
            status=422 if fault else 200,
            screen=BY_PATH["plants"],
            fault=fault,
            given=given,
            rows=rows,
            open_rows=[r for r in rows or () if r.name is None or r.problem],
            others=list(others.values()),
            home=home,
            length=lambda cm: quantity(LENGTH, cm),
            once=secrets.token_hex(8),
        )

    # -- one plant --------------------------------------------------------------------

    async def plant(self, request: Request) -> Response:
        """Show a plant: its year, limits with sources, remedies, history of moves."""
        home = self._home(request)
        ref = request.query_params.get("row", "")
        found = None if home is None else _found(home, ref)
        if home is None or found is None:
            return await self.listed(request, fault=_GONE)
        result, job = await self._calendar(request, _PATIENCE_S)
        plant, unique = found
        viewer = Preferences.of(request).viewer
        profile = home.profile(plant.name)
        today = self._today(request, result)
        line = None
        if result is not None:
            lines = plant_lines(result)
            line = next((x for x in lines if x.row.row == ref), None)
        span = RibbonSpan(today)
        stretches = [] if line is None else year_ribbon(line.row, span)
        now = home.now_at(plant, today)
        query = {
            "plant": profile.name,
            "spot": plant.spot,
            "pot": plant.pot,
            "pot_diameter": f"{plant.pot_diameter_cm:g}",
            "medium": plant.medium,
            "wetness": plant.wetness,
            "state": plant.state,
        }
        weather = WeatherAsk.model_fields
        query |= {k: v for k, v in request.query_params.items() if k in weather}
        return self.page(
            request,
            "plants_plant.html",
            screen=BY_PATH["plants"],
            job=job,
            row=ref,
            plant=plant,
            unique=unique,
            profile=profile,
            now=now,
            place=home.spot_named(plant.spot),
            line=line,
            axis=axis_svg(span, today_words(today)),
            ribbon=plant_ribbon_svg(stretches, span) if stretches else "",
            alone=_alone(line),
            words=viewer.text(ribbon_words(stretches, today)) if stretches else "",
            limits=limit_lines(profile, viewer),
            plant_query=urlencode({k: v for k, v in query.items() if v}),
            size=_size_text(plant, request),
            **_drawings(),
        )

    async def helps(self, request: Request) -> Response:
        """Return what helps a plant most, for its page."""
        screen = BY_PATH["help"]
        ask, fault = self.read(screen, request)
        result: RemediesResult | None = None
        job: QueuedJob | None = None
        if ask is not None:
            try:
                job = self.state.jobs.submit(self.state.task(screen, ask))
                found = await self.state.result(job, _PATIENCE_S)
                result = for_reader(found, Preferences.of(request).viewer)
                job = None
            except TimeoutError:
                pass
            except ClimriskError as error:
                fault, job = error.line(), None
        best = [] if result is None else [r for r in result.remedies if r.clear]
        return self.page(
            request,
            "plants_helps.html",
            fault=fault,
            job=job,
            result=result,
            helps=best[:_BEST],
            saves=saves,
            plant_query=request.url.query,
        )

    async def strip(self, request: Request) -> Response:
        """Return the year of a plant at its spot, for its page."""
        screen = BY_PATH["check"]
        ask, fault = self.read(screen, request)
        drawing = ""
        if ask is not None:
            try:
                task = self.state.task(screen, ask)
                job = self.state.jobs.submit(task)
                result = await self.state.result(job, _PATIENCE_S)
                if isinstance(result, AssessResult):
                    viewer, today = Preferences.of(request).viewer, task.choice.today
                    drawing = await run_in_threadpool(year_svg, result, today, viewer)
            except TimeoutError:
                # The ribbon stays, and the page comes again.
                return Response(status_code=204)
            except ClimriskError as error:
                fault = error.line()
        return self.page(request, "plants_strip.html", fault=fault, drawing=drawing)

    def _plant_of(self, ref: str) -> tuple[str, HomePlant, str] | None:
        home = self._own_home()
        found = None if home is None else _found(home, ref)
        return None if found is None else (ref, *found)

    # -- spots ------------------------------------------------------------------------

    async def spots(self, request: Request, fault: str = "") -> Response:
        """Show the spots and rooms of the home."""
        home = self._home(request)
        if home is None:
            return RedirectResponse("/plants", 303)
        today = today_here()
        counts: dict[str, int] = {}
        for plant in home.plant:
            for name in {plant.spot.lower(), home.now_at(plant, today).name.lower()}:
                counts[name] = counts.get(name, 0) + 1
        return self.page(
            request,
            "plants_spots.html",
            status=422 if fault else 200,
            screen=BY_PATH["plants"],
            fault=fault,
            home=home,
            counts=counts,
            **_drawings(),
            once=secrets.token_hex(8),
        )

    async def spot(self, request: Request) -> Response:
        """Ask what kind of spot it is, which way it faces and what is above it."""
        said = request.query_params
        home = self._own_home()
        given: dict[str, str] = {k: v for k, v in said.items() if k in _SPOT_FIELDS}
        called = said.get("called", "")
        if home is not None and called and home.knows_spot(called):
            place = home.spot_named(called)
            given = {
                "called": place.name,
                "name": place.name,
                "kind": place.kind,
                "facing": "" if place.facing is None else str(place.facing),
                "eaves": ""
                if place.eaves is None
                else f"{place.eaves:g}"
                if isinstance(place.eaves, float)
                else str(place.eaves),
            }
        return self._spot_form(request, given)

    async def spot_saved(self, request: Request) -> Response:
        """Add or change a spot."""
        form = await self._form(request)
        given = dict(form)
        kind = given.get("kind", "")
        if not kind:
            return self._spot_form(request, given, "Which kind of spot is it?")
        if spot_kind(kind).group == "room":
            # Neither the sun's way nor a roof matters there.
            form += [("facing", ""), ("eaves", "")]
        do = "edit-spot" if given.get("called") else "add-spot"
        try:
            done = await run_in_threadpool(change, self.state, [*form, ("do", do)])
        except ClimriskError as error:
            return self._spot_form(request, given, error.line())
        back = self._back(given, "/plants/spots")
        return RedirectResponse(self.back_to(back, changed=done), 303)

    def _spot_form(
        self, request: Request, given: Mapping[str, str], fault: str = ""
    ) -> Response:
        home = self._own_home()
        if home is None:
            return self._no_home(request)
        return self.page(
            request,
            "plants_spot.html",
            status=422 if fault else 200,
            screen=BY_PATH["plants"],
            fault=fault,
            given=given,
            home=home,
            eaves=drawn_kinds("eaves"),
            ways=_WAYS,
            facing_svg=facing_svg,
            **_drawings(),
            once=secrets.token_hex(8),
        )

    async def spot_removed(self, request: Request) -> Response:
        """Remove a spot; its plants go where the form says."""
        form = await self._form(request)
        command = [*form, ("do", "remove-spot")]
        try:
            done = await run_in_threadpool(change, self.state, command)
        except ClimriskError as error:
            return await self.spots(request, fault=error.line())
        return RedirectResponse(self.back_to("/plants/spots", changed=done), 303)

    # -- downloads --------------------------------------------------------------------

    async def sheet(self, request: Request) -> Response:
        """Show the moves of the year on one page to print."""
        try:
            result, job = await self._calendar(request, _PATIENCE_S)
        except NoWeatherError:
            return RedirectResponse("/start?to=plants", 303)
        except ClimriskError as error:
            fault, status = error.line(), http_status(error)
            return self.page(request, "refused.html", fault=fault, status=status)
        viewer = Preferences.of(request).viewer
        sheet = labels = None
        if result is not None and "labels" in request.query_params:
            with reading(viewer):
                labels = table_for(viewer, labels_table(result))
        elif result is not None:
            with reading(viewer):
                sheet = sheet_parts(result)
        return self.page(
            request,
            "plants_sheet.html",
            screen=BY_PATH["print"],
            job=job,
            sheet=sheet,
            labels=labels,
            show=viewer.text,
        )

    async def moves(self, request: Request) -> Response:
        """Return the moves as a calendar file."""
        return await self._file(request, calendar_ics, "text/calendar", "moves.ics")

    async def year(self, request: Request) -> Response:
        """Return the months of every plant as CSV."""
        return await self._file(request, calendar_csv, "text/csv", "year.csv")

    async def _file(
        self,
        request: Request,
        make: Callable[[CalendarResult], bytes | str],
        media: str,
        name: str,
    ) -> Response:
        try:
            result, _ = await self._calendar(request, None)
            if result is None:
                raise TimeoutError
            with reading(Preferences.of(request).viewer):
                body = await run_in_threadpool(make, result)
        except ClimriskError as error:
            fault, status = error.line(), http_status(error)
            return self.page(request, "refused.html", fault=fault, status=status)
        headers = {"Content-Disposition": f'attachment; filename="{name}"'}
        return Response(body, media_type=media, headers=headers)

    # -- what all share ---------------------------------------------------------------

    async def _calendar(
        self, request: Request, patience_s: float | None
    ) -> tuple[CalendarResult | None, QueuedJob | None]:
        """Return the calendar, or the job while it is computed.

        Raises
        ------
        ClimriskError
        """
        screen = BY_PATH["plants"]
        ask, fault = self.read(screen, request)
        if ask is None:
            raise InputError(fault or "this cannot be read", where="address")
        if "held" in request.query_params:
            return None, None
        job = self.state.jobs.submit(self.state.task(screen, ask))
        try:
            result = await self.state.result(job, patience_s)
        except TimeoutError:
            return None, job
        return for_reader(result, Preferences.of(request).viewer), None

    def _home(self, request: Request) -> Home | None:
        """Return the home that the request is about."""
        said = dict(request.query_params)
        if said.get("demo") and not said.keys() & {"town", "at", "station", "log"}:
            said = {"home": "demo"}
        return self.state.home_of(said)

    def _no_home(self, request: Request) -> Response:
        fault = self.state.home_fault() or _NO_HOME
        return self.page(request, "refused.html", fault=fault, status=422)

    def _own_home(self) -> Home | None:
        """Return the home that can be changed."""
        if self.state.home in (None, DEMO_HOME):
            return None
        return self.state.home_of({})

    def _today(self, request: Request, result: CalendarResult | None) -> date:
        if result is not None:
            return date.fromisoformat(result.as_of)
        try:
            return date.fromisoformat(request.query_params.get("as_of", ""))
        except ValueError:
            return today_here()

    async def _form(self, request: Request) -> list[tuple[str, str]]:
        form = await request.form(max_files=1, max_fields=_MOST_FIELDS)
        out = []
        for key, value in form.multi_items():
            if isinstance(value, str):
                out.append((key, value))
            else:
                data = await value.read()
                out.append((key, data.decode("utf-8-sig", "replace")))
        return out

    def _back(self, given: Mapping[str, str], to: str) -> str:
        return self.back_to(given.get("back") or to)


_NO_HOME = "There is no home of your own yet: begin one first."
_GONE = "This plant was changed or removed meanwhile. Nothing was changed now."
_SPOT_FIELDS = ("name", "kind", "facing", "eaves", "back")
_WAYS = (
    ("N", "North"),
    ("NE", "North-east"),
    ("E", "East"),
    ("SE", "South-east"),
    ("S", "South"),
    ("SW", "South-west"),
    ("W", "West"),
    ("NW", "North-west"),
)


def _drawings() -> dict[str, Any]:
    return {
        "length": lambda cm: quantity(LENGTH, cm),
        "height": lambda m: quantity(HEIGHT, float(m)),
        "spot_kinds": drawn_kinds("spot"),
        "pot_kinds": drawn_kinds("pot"),
        "medium_kinds": drawn_kinds("medium"),
    }


def _alone(line: NextMove | None) -> str:
    """Return when a plant would come in that moves earlier, on a trip with others."""
    row = None if line is None else line.row
    if row is None or row.trip_in is None or row.trip_in == row.move_in.month_day:
        return ""
    return spoken(row.move_in.month_day)


def _found(home: Home, ref: str) -> tuple[HomePlant, str] | None:
    known = dict(
        zip(
            references(home.plant),
            zip(home.plant, home.plant_names, strict=True),
            strict=True,
        )
    )
    return known.get(ref)


def _described(meant: Meaning, show: Callable[[str], str]) -> dict[str, Any]:
    """Return what a name means with a line on each plant that it may be."""
    from climrisk.plants.questions import described
    from climrisk.plants.registry import find

    lines = {}
    for name in (meant.name, *meant.choices[:_SHOWN_NEAR]):
        if name is not None:
            try:
                lines[name] = show(described(find(name)))
            except InputError:
                lines[name] = ""
    return {"said": meant, "lines": lines, "more": len(meant.choices) > _SHOWN_NEAR}


def _size_text(plant: HomePlant, request: Request) -> str:
    """Return a pot's diameter in the reader's unit."""
    if Preferences.of(request).viewer.units == "us":
        return f"{plant.pot_diameter_cm / 2.54:.1f} in".replace(".0 in", " in")
    return f"{plant.pot_diameter_cm:g} cm"
