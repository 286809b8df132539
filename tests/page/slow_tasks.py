"""Work made for tests of the desk: slow, greedy, broken or refused."""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.weather.stations.progress import tell


@dataclass(frozen=True)
class Made:
    """A made task."""

    do: str
    value: str = ""

    @property
    def subject(self) -> str:
        """What it is about."""
        return self.value

    @property
    def key(self) -> str:
        """As the desk asks."""
        return f"{self.do} {self.value}"


def warm() -> None:
    """Nothing to warm."""


def run(task: Made) -> object:
    """Do as the task says."""
    if task.do == "count":
        with Path(task.value).open("a") as file:
            file.write("x")
        time.sleep(0.3)
        return "counted"
    if task.do.startswith("who"):
        return os.getpid()
    if task.do.startswith("nap"):
        time.sleep(1.0)
        return os.getpid()
    if task.do == "sleep":
        tell("half way")
        time.sleep(60)
    if task.do == "greedy":
        return len(bytearray(4_000_000_000))
    if task.do == "die":
        os._exit(9)
    if task.do == "refuse":
        raise InputError("no", where="x")
    if task.do == "outage":
        raise WeatherUnavailableError("gone")
    if task.do == "fault":
        msg = "secret of the home"
        raise RuntimeError(msg)
    return task.value
