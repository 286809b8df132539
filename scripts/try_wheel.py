"""Install the wheel in empty environments and do the main jobs; see ``try_wheel``."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
import urllib.request
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
OLDEST = (3, 11)
FEW = ("--demo", "--years", "3", "--members", "2")


def pythons() -> dict[tuple[int, int], str]:
    """Return an interpreter of every supported version that is installed here."""
    names = [f"python3.{minor}" for minor in range(OLDEST[1], 30)]
    found = [sys.executable, *filter(None, map(shutil.which, names))]
    versions = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    found += map(str, sorted(versions.glob("*/bin/python3")))
    out: dict[tuple[int, int], str] = {}
    ask = "import sys, venv; print(sys.version_info[0], sys.version_info[1])"
    for path in found:
        said = subprocess.run([path, "-c", ask], capture_output=True, text=True)
        if said.returncode == 0:
            major, minor = map(int, said.stdout.split())
            if (major, minor) >= OLDEST:
                out.setdefault((major, minor), path)
    return dict(sorted(out.items()))


def lowest() -> Iterator[str]:
    """Yield the lowest version of each dependency that pyproject.toml allows."""
    extra = PROJECT["optional-dependencies"]["grid"]
    for need in [*PROJECT["dependencies"], *extra]:
        name = re.match(r"[\w.-]+", need)
        least = re.search(r">=([\w.]+)", need)
        if name and least:
            yield f"{name[0]}=={least[1]}"


def environment(python: str, folder: Path, wheel: Path, constraints: str) -> Path:
    """Return the interpreter of a new environment that holds the wheel."""
    subprocess.run([python, "-m", "venv", str(folder)], check=True)
    inside = folder / "bin" / "python"
    file = folder / "constraints.txt"
    file.write_text(constraints, "utf-8")
    pip = [
        str(inside),
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
    ]
    # The pip that comes with old versions of Python cannot read all metadata.
    subprocess.run([*pip, "--upgrade", "pip>=25.1"], check=True)
    subprocess.run([*pip, "-c", str(file), f"{wheel}[grid]"], check=True)
    return inside


def try_jobs(python: Path, folder: Path) -> None:
    """Do the main jobs where nothing of the checkout is; raise where one fails."""
    folder.mkdir()
    env = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    env["CLIMRISK_DATA"] = str(folder / "data")

    def run(*words: str) -> str:
        done = subprocess.run(
            [str(python), "-P", "-m", "climrisk", *words],
            capture_output=True,
            text=True,
            cwd=folder,
            env=env,
        )
        if done.returncode:
            raise SystemExit(f"climrisk {' '.join(words)}: {done.stderr}")
        return done.stdout

    run("--help")
    json.loads(run("schema"))
    json.loads(run("plants", "Phalaenopsis hybrids", "--json"))
    document = run("assess", "Masdevallia", *FEW, "--html", "a.html", "--json")
    (folder / "a.json").write_text(document, "utf-8")
    again = json.loads(run("--repeat", "a.json"))
    if again["verdict"] != json.loads(document)["verdict"]:
        raise SystemExit("--repeat gave another verdict")
    run("calendar", *FEW, "--html", "c.html", "--ics", "c.ics", "--csv", "c.csv")
    run("init", "home.toml", "--demo", "--plant", "Masdevallia")
    run("tonight", "--home", "home.toml", "--words", "4, wind 6 km/h, clear")
    made = [str(python), str(ROOT / "examples" / "made_region.py"), "in.zarr"]
    size = ["--rows", "2", "--columns", "2", "--hours", "480"]
    subprocess.run([*made, *size], check=True, cwd=folder, env=env, capture_output=True)
    for out in ("maps.nc", "maps.zarr"):
        run("region", "in.zarr", "--plant", "Masdevallia", "--out", out)
    run("region", "maps.nc", "--at", "36.05,-8", "--json")
    _try_page(python, folder, env)


def _try_page(python: Path, folder: Path, env: dict[str, str]) -> None:
    words = ["-P", "-m", "climrisk", "serve", "--demo", "--port", "0", "--no-open"]
    with subprocess.Popen(
        [str(python), "-u", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
        env=env,
    ) as page:
        try:
            line = page.stdout.readline() if page.stdout else ""
            address = line.rpartition(" ")[2].strip()
            health = f"{address.rstrip('/')}/healthz"
            with urllib.request.urlopen(health, timeout=60) as answer:
                if json.load(answer)["status"] != "ok":
                    raise SystemExit("the page is not well")
        finally:
            page.terminate()


def main() -> int:
    """Try every Python, and the lowest versions with the oldest of them."""
    found = pythons()
    with tempfile.TemporaryDirectory() as made:
        top = Path(made)
        build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps"]
        subprocess.run([*build, "--wheel-dir", made, str(ROOT)], check=True)
        (wheel,) = top.glob("climrisk-*.whl")
        tries = [(f"{v[0]}.{v[1]}", path, "") for v, path in found.items()]
        oldest = next(iter(found.values()))
        tries.append(("lowest", oldest, "\n".join(lowest()) + "\n"))
        for number, (name, path, constraints) in enumerate(tries):
            if sys.argv[1:] and name not in sys.argv[1:]:
                continue
            began = time.monotonic()
            folder = top / str(number)
            python = environment(path, folder, wheel, constraints)
            try_jobs(python, folder / "jobs")
            took = time.monotonic() - began
            what = "lowest versions" if constraints else f"Python {name}"
            print(f"{what}: installed and tried, {took:.0f} s", flush=True)
            shutil.rmtree(folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
