"""Fifty readers at once for half a minute: errors, and how long an answer takes.

``python -m tests.bench.page [--readers 50] [--seconds 30]`` starts the page as a user
would, in a process of its own, on the built-in home. Every reader opens one screen
after the other, page and JSON twin in turn; what is measured first has been computed
once, because that is what readers of one home share.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import subprocess
import sys
import time
from dataclasses import dataclass, field

import httpx2
import numpy as np

SCREENS = (
    "/plants",
    "/check?plant=Phalaenopsis+hybrids&spot=balcony",
    "/year",
    "/winter?spot=balcony",
    "/weather",
    "/tonight?words=4,+wind+6+km/h,+clear",
)


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


def main() -> int:
    """Start the page, load it, print what was met."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--readers", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=30.0)
    args = parser.parse_args()
    command = [sys.executable, "-m", "climrisk", "serve", "--demo", "--no-open"]
    with subprocess.Popen(
        [*command, "--port", "0"], stdout=subprocess.PIPE, text=True
    ) as page:
        try:
            line = page.stdout.readline() if page.stdout else ""
            url = line.split()[-1].rstrip("/")
            seen = asyncio.run(load(url, args.readers, args.seconds))
        finally:
            page.terminate()
    middle, late = np.percentile(seen.seconds, (50, 95))
    print(
        f"{args.readers} readers, {args.seconds:.0f} s: {len(seen.seconds)} answers, "
        f"{len(seen.errors)} errors, {len(seen.seconds) / args.seconds:.0f} a second"
    )
    print(
        f"p50 {1000 * middle:.0f} ms, p95 {1000 * late:.0f} ms, largest answer "
        f"{max(seen.sizes) / 1000:.0f} kB"
    )
    for error in sorted(set(seen.errors)):
        print(f"error: {error}")
    return 1 if seen.errors else 0


if __name__ == "__main__":
    sys.exit(main())
