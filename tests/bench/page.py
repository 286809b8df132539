"""Times and sizes of the page: first answers, 300 plants, every view, fifty readers.

``python -m tests.bench.page [--readers 50] [--seconds 30] [--only first plants sizes
readers]`` starts the page as a user would, in a process of its own. Beside the seconds
on the clock stand those of all its processors together, which other work on the
machine moves less; the load of the machine is printed first. Nothing is decided by a
clock.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import itertools
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from html import unescape
from pathlib import Path

import httpx2
import numpy as np

from climrisk.home import demo_home_text
from tests.page.test_browser import SHOWN

SCREENS = (
    "/plants",
    "/check?plant=Phalaenopsis+hybrids&spot=balcony",
    "/year",
    "/winter?spot=balcony",
    "/weather",
    "/tonight?words=4,+wind+6+km/h,+clear",
)
#: Plants whose first answer is asked for, each once.
PLANTS = (
    *("Adenium", "Dracula", "Pleione", "Aloe", "Agave", "Guarianthe", "Clivia"),
    *("Masdevallia", "Miltoniopsis"),
)
KINDS = (
    *("Phalaenopsis hybrids", "Masdevallia", "Cymbidium, standard hybrids"),
    *("Cattleya, standard large-flowered hybrids", "Clivia", "Miltoniopsis"),
    *("Dendrobium nobile type", "Vanda falcata (Neofinetia)"),
)
SPOTS = ("balcony", "shelf", "walkway")
_WORKING = ("card progress working", "Not computed yet")
_TICKS = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100


@dataclass(frozen=True)
class Served:
    """A page in a process of its own."""

    url: str
    pid: int

    def processor_s(self) -> float:
        """Return the processor seconds of the page and its workers; NaN unknown."""
        total, found = 0.0, False
        for stat in Path("/proc").glob("[0-9]*/stat"):
            with contextlib.suppress(OSError):
                words = stat.read_text().rpartition(")")[2].split()
                if self.pid in (int(stat.parent.name), int(words[1])):
                    total += (int(words[11]) + int(words[12])) / _TICKS
                    found = True
        return total if found else float("nan")


@contextlib.contextmanager
def page_of(*options: str) -> Iterator[Served]:
    """Start the page as a user would."""
    command = [sys.executable, "-m", "climrisk", "serve", "--no-open", *options]
    with subprocess.Popen(
        [*command, "--port", "0"], stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            line = process.stdout.readline() if process.stdout else ""
            yield Served(line.split()[-1].rstrip("/"), process.pid)
        finally:
            process.terminate()


def settled(client: httpx2.Client, address: str) -> httpx2.Response:
    """Open a page, again and again while it is worked on."""
    while True:
        answer = client.get(address)
        answer.raise_for_status()
        if not any(word in answer.text for word in _WORKING):
            return answer
        time.sleep(0.02)


def clocked(page: Served, act: Callable[[], object]) -> str:
    """Return how long something took: on the clock, and of processors."""
    used, start = page.processor_s(), time.perf_counter()
    act()
    took = time.perf_counter() - start
    return f"{took:.2f} s ({page.processor_s() - used:.2f} s of processors)"


def first_answers() -> None:
    """Print a first answer just after the start, and with warm workers."""
    ask = "/check?years=10&spot=wall-shelf&plant="
    with page_of("--demo") as page, client_of(page) as client:
        said = clocked(page, lambda: settled(client, ask + PLANTS[0]))
        print(f"first answer, page just started: {said}")
    with page_of("--demo") as page, client_of(page) as client:
        while client.get("/healthz").status_code != 200:
            time.sleep(0.05)
        wait_until_idle(page)
        said = clocked(page, lambda: settled(client, ask + PLANTS[0]))
        print(f"first answer, workers just started: {said}")
        # Both workers have the years then.
        for name in PLANTS[1:3]:
            settled(client, ask + name)
        rows = [clocked(page, partial(settled, client, ask + n)) for n in PLANTS[3:]]
        rows.sort(key=lambda row: float(row.split()[0]))
        print(f"first answer, 10 cached years, warm workers: {rows[len(rows) // 2]}")


def client_of(page: Served) -> httpx2.Client:
    """Return a client of a page."""
    return httpx2.Client(base_url=page.url, timeout=120)


def wait_until_idle(page: Served) -> None:
    """Wait until the workers have loaded what they need."""
    before = -1.0
    while (now := page.processor_s()) - before > 0.02:
        before = now
        time.sleep(0.4)


def home_of(count: int) -> str:
    """Return a home of so many plants, of 8 kinds on 3 spots in 6 sizes."""
    rows = "".join(
        f'\n[[plant]]\nname = "{KINDS[k % 8]}"\nspot = "{SPOTS[k % 3]}"\n'
        f'label = "no. {k}"\npot_diameter_cm = {10 + k % 6}\n'
        for k in range(count)
    )
    return demo_home_text().partition("[[plant]]")[0] + rows


def many_plants(count: int = 300) -> None:
    """Print how long a large collection takes to load, and to change."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home.toml"
        home.write_text(home_of(count), "utf-8")
        with page_of("--home", str(home)) as page, client_of(page) as client:
            wait_until_idle(page)
            said = clocked(page, lambda: settled(client, "/plants"))
            print(f"{count} plants, first time: {said}")
            said = clocked(page, lambda: settled(client, "/plants"))
            print(f"{count} plants, load: {said}")
            form = {"name": "Masdevallia", "spot": "shelf"}
            print(f"{count} plants, add: {changed(page, client, 'add', form)}")
            text = settled(client, "/plants").text
            row = re.findall(r'/plants/move\?row=([^"]+)"', text)[7]
            form = {"row": unescape(row), "spot": "sill", "how": "place"}
            print(f"{count} plants, move: {changed(page, client, 'move', form)}")


def changed(
    page: Served, client: httpx2.Client, what: str, form: dict[str, str]
) -> str:
    """Send a form; return how long until the notice, and until all dates are there."""
    headers = {"Origin": page.url}

    def send() -> None:
        answer = client.post(f"/plants/{what}", data=form, headers=headers)
        assert answer.status_code == 303, answer.text[:500]
        shown = client.get(answer.headers["location"])
        assert "notice" in shown.text

    noted = clocked(page, send)
    return (
        f"{noted}; then its dates {clocked(page, lambda: settled(client, '/plants'))}"
    )


def sizes() -> None:
    """Print what a first look at each view weighs, compressed as it is sent."""
    with page_of("--demo") as page, client_of(page) as client:
        addresses = {"start": "/start", "understand": "/understand", "homes": "/homes"}
        addresses |= {name: f"/{name}?{query}" for name, query in SHOWN.items()}
        for name, address in addresses.items():
            text = settled(client, address).text
            files = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', text))
            own = weight(client, address)
            every = own + sum(weight(client, f) for f in files)
            print(
                f"view {name:12} {own / 1000:5.0f} kB, with style, script and icons "
                f"{every / 1000:4.0f} kB (at most 150); {len(text) / 1000:4.0f} kB "
                "before compression"
            )


def weight(client: httpx2.Client, address: str) -> int:
    """Return the bytes of an answer as they are sent."""
    with client.stream("GET", address) as answer:
        return sum(len(part) for part in answer.iter_raw())


@dataclass
class Seen:
    """What the readers met."""

    seconds: list[float] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def twin(screen: str) -> str:
    """Return the address of a screen's JSON twin."""
    path, mark, query = screen.partition("?")
    return f"{path}.json{mark}{query}"


async def reader(url: str, until: float, begin: int, seen: Seen) -> None:
    """Open screens until the time is over."""
    screens = [a for s in SCREENS for a in (s, twin(s))]
    async with httpx2.AsyncClient(base_url=url, timeout=60) as client:
        for screen in itertools.islice(itertools.cycle(screens), begin, None):
            if time.perf_counter() > until:
                return
            start = time.perf_counter()
            try:
                answer = await client.get(screen)
            except httpx2.HTTPError as error:
                seen.errors.append(f"{screen}: {type(error).__name__}")
                continue
            seen.seconds.append(time.perf_counter() - start)
            seen.sizes.append(len(answer.content))
            working = b"card progress working" in answer.content
            if answer.status_code != 200 or working:
                seen.errors.append(f"{screen}: {answer.status_code}")


async def load(url: str, readers: int, seconds: float) -> Seen:
    """Warm every screen once, then let all readers in."""
    seen = Seen()
    async with httpx2.AsyncClient(base_url=url, timeout=120) as client:
        for screen in SCREENS:
            (await client.get(twin(screen))).raise_for_status()
            (await client.get(screen)).raise_for_status()
    until = time.perf_counter() + seconds
    await asyncio.gather(*(reader(url, until, i, seen) for i in range(readers)))
    return seen


def many_readers(readers: int, seconds: float) -> int:
    """Print how the page answers many readers; return how many errors they met."""
    with page_of("--demo") as page:
        seen = asyncio.run(load(page.url, readers, seconds))
    middle, late = np.percentile(seen.seconds, (50, 95))
    print(
        f"{readers} readers, {seconds:.0f} s: {len(seen.seconds)} answers, "
        f"{len(seen.errors)} errors, {len(seen.seconds) / seconds:.0f} a second"
    )
    print(
        f"p50 {1000 * middle:.0f} ms, p95 {1000 * late:.0f} ms, largest answer "
        f"{max(seen.sizes) / 1000:.0f} kB"
    )
    for error in sorted(set(seen.errors)):
        print(f"error: {error}")
    return len(seen.errors)


def main() -> int:
    """Print all measures, or those named."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readers", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=30.0)
    every = ("first", "plants", "sizes", "readers")
    parser.add_argument("--only", nargs="*", default=every, choices=every)
    args = parser.parse_args()
    if hasattr(os, "getloadavg"):
        print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}")
    if "first" in args.only:
        first_answers()
    if "plants" in args.only:
        many_plants()
    if "sizes" in args.only:
        sizes()
    errors = 0
    if "readers" in args.only:
        errors = many_readers(args.readers, args.seconds)
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main())
