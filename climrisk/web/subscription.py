"""The moves as a calendar that other programs subscribe to, with tonight's warning."""

from __future__ import annotations

from urllib.parse import urlencode

from fastapi import FastAPI, Request
from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.responses import PlainTextResponse, Response

from climrisk.commands.calendar.exports import Notice, calendar_ics
from climrisk.commands.tonight.result import TonightResult
from climrisk.commands.tonight.text import tonight_warning
from climrisk.core.errors import ClimriskError
from climrisk.web.app_state import AppState
from climrisk.web.asks import WeatherAsk
from climrisk.web.documents import first_fault, http_status
from climrisk.web.screens import BY_PATH

#: A program that subscribed keeps no cookie, so that it sends the token each time.
PATH = "/calendar.ics"


def add_subscription(app: FastAPI, state: AppState) -> None:
    """Serve the calendar of the home."""

    @app.get(PATH, include_in_schema=False)
    async def subscribed(request: Request) -> Response:
        given = {k: v for k, v in request.query_params.items() if k != "token"}
        try:
            ask = WeatherAsk.model_validate(given)
        except ValidationError as error:
            return PlainTextResponse(first_fault(error.errors()), 422)
        try:
            return Response(await _calendar(state, ask), media_type="text/calendar")
        except ClimriskError as error:
            text = state.public_text(error.line())
            return PlainTextResponse(text, http_status(error))


async def _calendar(state: AppState, ask: WeatherAsk) -> bytes:
    year, tonight = BY_PATH["year"], BY_PATH["tonight"]
    given = ask.model_dump(exclude_unset=True, by_alias=True)
    # Both are asked for at once: there are two workers.
    moves = state.jobs.submit(state.task(year, year.ask.model_validate(given)))
    night = state.jobs.submit(state.task(tonight, tonight.ask.model_validate(given)))
    result = await state.result(moves)
    try:
        notices = tonight_notices(await state.result(night))
    except ClimriskError as error:
        # The moves are due all the same, and silence would look like a safe night.
        why = state.public_text(error.line())
        title = "Tonight is not judged: no forecast"
        notices = [Notice("no forecast", title, why, alarm=False)]
    return await run_in_threadpool(calendar_ics, result, notices, subscribed=True)


def tonight_notices(result: TonightResult) -> list[Notice]:
    """Return a warning for tonight where something must be done."""
    if not result.needed:
        return []
    return [Notice("tonight", *tonight_warning(result), alarm=True)]


def subscription_query(token: str | None, carried: list[tuple[str, str]]) -> str:
    """Return what follows the address: the token where one is needed."""
    pairs = [*carried, *([("token", token)] if token else [])]
    return f"?{urlencode(pairs)}" if pairs else ""
