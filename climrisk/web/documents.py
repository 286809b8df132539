"""The JSON document of every screen: the document that the command line prints."""

from threading import Lock
from typing import Annotated, Any

from fastapi import FastAPI, Query, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel
from starlette.responses import JSONResponse, Response

from climrisk.core.errors import ClimriskError, one_line
from climrisk.core.version import __version__
from climrisk.web.app_state import AppState
from climrisk.web.job_queue import BusyError, StoppedError
from climrisk.web.screens import SCREENS, Screen

_DESCRIBING = Lock()


class Trouble(BaseModel):
    """Why there is no answer, in one line, with the command line's exit status."""

    error: str
    exit_status: int


class Health(BaseModel):
    """The page is there."""

    status: str
    version: str


_TROUBLES: dict[int | str, dict[str, Any]] = {
    400: {"model": Trouble, "description": "A request that cannot be read."},
    422: {"model": Trouble, "description": "An argument or a file is wrong."},
    500: {"model": Trouble, "description": "A fault of ours."},
    503: {
        "model": Trouble,
        "description": "The weather cannot be downloaded; or busy.",
    },
    504: {"model": Trouble, "description": "Stopped, or out of time or memory."},
}


def http_status(error: ClimriskError) -> int:
    """Return the HTTP status of an error."""
    if isinstance(error, StoppedError):
        return 504
    if isinstance(error, BusyError):
        return 503
    return {2: 422, 3: 503}.get(error.exit_status, 500)


def add_documents(app: FastAPI, state: AppState) -> None:
    """Give an application the documents, ``/healthz`` and its errors as JSON."""
    for screen in SCREENS:
        _add_document(app, state, screen)

    # In a thread, because the first time takes seconds, and others go on meanwhile.
    @app.get("/openapi.json", include_in_schema=False)
    def description() -> Response:
        with _DESCRIBING:
            return JSONResponse(app.openapi())

    @app.get("/healthz", summary="Whether the page is there")
    async def healthz() -> Health:
        return Health(status="ok", version=__version__)

    @app.exception_handler(ClimriskError)
    async def trouble(_: Request, error: ClimriskError) -> Response:
        text = state.public_text(error.line())
        said = Trouble(error=text, exit_status=error.exit_status)
        return JSONResponse(said.model_dump(), http_status(error))

    @app.exception_handler(RequestValidationError)
    async def wrong(_: Request, error: RequestValidationError) -> Response:
        first = error.errors()[0]
        known = "" if first["type"] != "extra_forbidden" else ". See /openapi.json"
        said = Trouble(error=first_fault([first]) + known, exit_status=2)
        return JSONResponse(said.model_dump(), 422)


def _add_document(app: FastAPI, state: AppState, screen: Screen) -> None:
    async def document(ask: Any) -> Response:
        job = state.jobs.submit(state.task(screen, ask))
        return Response(await state.document(job), media_type="application/json")

    # The model is known only here, so that the annotation is set by hand.
    document.__annotations__ = {"ask": Annotated[screen.ask, Query()]}
    app.get(
        f"/{screen.path}.json",
        name=f"{screen.path}_json",
        summary=screen.question,
        response_model=screen.result,
        responses=_TROUBLES,
    )(document)


def first_fault(errors: Any) -> str:
    """Return the first of pydantic's faults as one line."""
    first = errors[0]
    names = [str(p) for p in first["loc"] if p not in ("query", "body")]
    where = ".".join(names) or "query"
    if first["type"] == "missing":
        return f"missing ({where}). Say it"
    if first["type"] == "extra_forbidden":
        return one_line(f"unknown option ({where[:120]})")
    return one_line(f"{first['msg']} ({where}): {str(first.get('input', ''))[:120]}")
