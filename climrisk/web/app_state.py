"""What all requests share: the jobs, the home, and sheets already drawn."""

from __future__ import annotations

import asyncio
import time
from collections import OrderedDict
from contextlib import suppress
from dataclasses import replace
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool

from climrisk.core.errors import InputError
from climrisk.core.paths import cache_folder, data_folder
from climrisk.core.quantities import System
from climrisk.core.typed_text import Viewer, reading
from climrisk.home import Home, read_home
from climrisk.render.display_units import sheet_for, shown
from climrisk.render.page import Page
from climrisk.weather.selection import WeatherChoice
from climrisk.web.asks import WeatherAsk
from climrisk.web.changes import Changes
from climrisk.web.homes import Homes
from climrisk.web.job_queue import JobQueue, QueuedJob
from climrisk.web.messages import without_paths
from climrisk.web.screens import Screen
from climrisk.web.settings import Settings, log_file
from climrisk.web.tasks import Task

_MOST_SHEETS = 48
DEMO_HOME = Path(str(resources.files("climrisk").joinpath("data/veladrag.toml")))
_OTHER_WEATHER = {"demo", "town", "station", "at", "log"}


class NoWeatherError(InputError):
    """Neither the request nor a home says which weather."""

    def __init__(self) -> None:
        super().__init__(
            "no weather chosen",
            where="query",
            allowed="home=demo, demo=true, town=, at=, station= or log=",
            next_step="choose where your weather comes from first",
        )


class AppState:
    """Turns requests into tasks, and results into sheets."""

    def __init__(self, settings: Settings, jobs: JobQueue) -> None:
        self.settings = settings
        self.jobs = jobs
        self.changes = Changes()
        self.homes = Homes(None if settings.demo else settings.home)
        self._sheets: OrderedDict[tuple[object, ...], Page] = OrderedDict()

    @property
    def home(self) -> Path | None:
        """The home file, where there is one."""
        if self.settings.demo:
            return DEMO_HOME
        return self.homes.current

    def task(self, screen: Screen, ask: WeatherAsk) -> Task:
        """Return the task of a request.

        Raises
        ------
        InputError
        """
        choice, home = self._source(screen, ask)
        options = {**screen.usual, **ask.options()}
        files = [f for f in (home, choice.file) if f is not None]
        stamp = [n for f in files for n in _state(f)]
        if screen.minutes is not None:
            stamp.append(int(time.time() // (60 * screen.minutes)))
        return Task(
            screen.call,
            choice,
            home,
            tuple(sorted(options.items())),
            tuple(stamp),
        )

    def _source(
        self, screen: Screen, ask: WeatherAsk
    ) -> tuple[WeatherChoice, Path | None]:
        choice = ask.choice(lambda key: log_file(self.settings.logs, key))
        if ask.home == "demo":
            return choice, DEMO_HOME
        if screen.with_home and ask.log:
            return choice, self.home
        if ask.names_weather:
            return choice, None
        if self.home is not None:
            return choice, self.home
        raise NoWeatherError

    def units(self) -> System | None:
        """Return the units of the page's home file; None where it says none."""
        try:
            return None if self.home is None else read_home(self.home).units
        except InputError:
            return None

    def home_of(self, carried: dict[str, str]) -> Home | None:
        """Return the home that a request's weather belongs to, if it can be read."""
        path = DEMO_HOME if carried.get("home") == "demo" else self.home
        other = carried.get("home") != "demo" and carried.keys() & _OTHER_WEATHER
        if other or path is None:
            return None
        try:
            return read_home(path)
        except InputError:
            return None

    def home_fault(self) -> str:
        """Return why the page's home file cannot be read; empty where it can be."""
        try:
            if self.home is not None:
                read_home(self.home)
        except InputError as error:
            return error.line()
        return ""

    def weather_words(self, carried: dict[str, str]) -> str:
        """Return in a few words which weather a request is about."""
        home = self.home_of(carried)
        if home is not None:
            return home.name + (" (invented)" if home.weather.demo else "")
        if carried.get("log"):
            return "a logger's file"
        for key in ("town", "station", "at"):
            if carried.get(key):
                return f"{key} {carried[key]}" if key == "station" else carried[key]
        return "Veladrag (invented)" if carried.get("demo") else "none chosen"

    def public_text(self, line: str) -> str:
        """Return an error as the page says it."""
        folders = {self.settings.logs, data_folder(), cache_folder(), Path.cwd()}
        with suppress(RuntimeError):
            folders.add(Path.home())
        folders |= {entry.path.parent for entry in self.homes.listing()}
        if self.settings.home is not None:
            folders.add(self.settings.home.parent)
        return without_paths(line, folders)

    async def result(self, job: QueuedJob, seconds: float | None = None) -> Any:
        """Return the result of a job; TimeoutError when it is not there in time."""
        answer = asyncio.wrap_future(job.answer)
        # An error that comes when nobody waits any more must not reach a log.
        answer.add_done_callback(lambda done: done.cancelled() or done.exception())
        return await asyncio.wait_for(asyncio.shield(answer), seconds)

    async def document(self, job: QueuedJob) -> str:
        """Return the JSON document of a job, written once."""
        result = await self.result(job)
        text = job.document or str(await run_in_threadpool(result.to_json))
        job.document = text
        return text

    def sheet(
        self, screen: Screen, key: str, result: Any, today: date, viewer: Viewer
    ) -> Page:
        """Return a result as a sheet for its reader, drawn once."""
        name = (screen.path, key, today, viewer)
        held = self._sheets.get(name)
        if held is None:
            with reading(viewer):
                answer = shown(result)
                page = screen.sheet(answer, today)
                page = replace(page, summary=screen.summary(answer, today))
                held = sheet_for(viewer, page)
            self._sheets[name] = held
            while len(self._sheets) > _MOST_SHEETS:
                self._sheets.popitem(last=False)
        return held


def _state(file: Path) -> tuple[int, int]:
    try:
        state = file.stat()
    except OSError:
        return (0, 0)
    return (state.st_mtime_ns, state.st_size)
