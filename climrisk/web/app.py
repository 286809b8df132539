"""The application: security, job queue, screens and JSON documents put together."""

from __future__ import annotations

import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.middleware.gzip import GZipMiddleware

from climrisk.core.version import __version__
from climrisk.home import remove_unfinished
from climrisk.web.job_queue import JobQueue
from climrisk.web.security import SecurityMiddleware
from climrisk.web.settings import MOST_UPLOAD_BYTES, Settings

#: Shorter answers are sent as they are.
_LEAST_ZIPPED_BYTES = 800


def make_app(settings: Settings) -> FastAPI:
    """Return the page as an ASGI application.

    Its job queue starts and stops with the application.
    """
    from climrisk.web import documents
    from climrisk.web.app_state import AppState
    from climrisk.web.pieces import load_templates
    from climrisk.web.preferences import PreferencesMiddleware
    from climrisk.web.routes import add_routes
    from climrisk.web.subscription import add_subscription

    jobs = JobQueue(
        workers=settings.workers,
        seconds=settings.seconds,
        memory_mb=settings.memory_mb,
    )

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        if settings.home is not None:
            remove_unfinished(settings.home)
        jobs.start()
        threading.Thread(target=load_templates, daemon=True, name="templates").start()
        try:
            yield
        finally:
            jobs.close()

    app = FastAPI(
        title="climrisk",
        version=__version__,
        summary="The same answers as JSON: the documents that the commands print.",
        docs_url=None,
        openapi_url=None,
        redoc_url=None,
        lifespan=life,
        telemetry={"auto_configure": False},
    )
    state = AppState(settings, jobs)
    documents.add_documents(app, state)
    add_subscription(app, state)
    add_routes(app, state)
    app.add_middleware(PreferencesMiddleware, units=state.units)
    # The last added stands outermost: its headers are on every answer.
    app.add_middleware(
        GZipMiddleware, minimum_size=_LEAST_ZIPPED_BYTES, compresslevel=6
    )
    app.add_middleware(RequestBodyLimitMiddleware, max_body_size=MOST_UPLOAD_BYTES)
    app.add_middleware(
        SecurityMiddleware,
        hosts=settings.hosts,
        any_address=settings.any_address,
        token=settings.token,
    )
    return app
