"""The application: door, desk, screens and their twins put together."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware.body_limit import RequestBodyLimitMiddleware

from climrisk.core.version import __version__
from climrisk.home import remove_unfinished
from climrisk.web.desk import Desk
from climrisk.web.guard import Guard
from climrisk.web.settings import MOST_UPLOAD_BYTES, Settings


def make_app(settings: Settings) -> FastAPI:
    """Return the page as an ASGI application.

    Its desk opens with the application's life and closes with it.
    """
    from climrisk.web import twins
    from climrisk.web.room import Room
    from climrisk.web.routes import add_routes
    from climrisk.web.subscription import add_subscription

    desk = Desk(
        workers=settings.workers,
        seconds=settings.seconds,
        memory_mb=settings.memory_mb,
    )

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        if settings.home is not None:
            remove_unfinished(settings.home)
        desk.start()
        try:
            yield
        finally:
            desk.close()

    app = FastAPI(
        title="climrisk",
        version=__version__,
        summary="The same answers as JSON: the documents that the commands print.",
        docs_url=None,
        redoc_url=None,
        lifespan=life,
        telemetry={"auto_configure": False},
    )
    room = Room(settings, desk)
    twins.add_twins(app, room)
    add_subscription(app, room)
    add_routes(app, room)
    # The last added stands outermost: its headers are on every answer.
    app.add_middleware(RequestBodyLimitMiddleware, max_body_size=MOST_UPLOAD_BYTES)
    app.add_middleware(
        Guard,
        hosts=settings.hosts,
        any_address=settings.any_address,
        token=settings.token,
    )
    return app
