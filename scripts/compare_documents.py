"""Store the documents of about 200 calls, or compare them with stored ones.

For changes that must not move a number: store the documents before, compare after each
step. A call whose document differs is printed with the first keys that differ.

    python scripts/compare_documents.py store FOLDER
    python scripts/compare_documents.py compare FOLDER
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

os.environ.setdefault("CLIMRISK_DATA", tempfile.mkdtemp())
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from climrisk.cli.main import main
from tests.made_files import logger_csv, truth
from tests.unit import test_options
from tests.unit.test_home import EXAMPLE

ROOT = str(Path(__file__).resolve().parent.parent)

#: Keys renamed on purpose: path in the stored document -> path in the new one.
RENAMED: dict[str, str] = {}
#: Where a document says when, by what and from where it was made.
VOLATILE = {"version", "files", "report", "file", "seconds"}
HOME = ("--home", str(EXAMPLE))
FURTHER: dict[str, tuple[str, ...]] = {
    "plants": ("plants",),
    "plants one": ("plants", "Phalaenopsis hybrids"),
    "calendar of a home": ("calendar", *HOME),
    "review of a home": ("review", *HOME),
    "tonight of a home": ("tonight", *HOME, "--words", "4, clear, calm"),
    "tonight of the demo": ("tonight", "--demo"),
    "assess in a home": ("assess", "Phalaenopsis hybrids", *HOME),
    "winter in a home": ("winter", *HOME),
    "calendar of the demo": ("calendar", "--demo"),
    "exposure of a logger": ("exposure", "--below", "10", "LOG"),
    "assess by a logger": ("assess", "Phalaenopsis hybrids", "LOG"),
    "logger": ("logger", "LOG"),
    "several": ("assess", "Dendrobium", "--demo", "--years", "4", "--members", "2"),
}


def calls(folder: Path) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the name and the arguments of each call."""
    for command, base in test_options.BASE.items():
        yield command, base
    for (command, option), (values, *_) in test_options.MOVES.items():
        base = test_options.BASE[command]
        yield f"{command} --{option}", (*base, f"--{option}", *values)
    log = logger_csv(folder / "log.csv", truth("2021-05-01", 24 * 500), clock="utc")
    place = ("--at", "45.8,15.9", "--clock", "utc")
    for name, words in FURTHER.items():
        if words[-1] == "LOG":
            file = (str(log),) if name == "logger" else ("--file", str(log))
            words = (*words[:-1], *file, *place)
        yield name, words


def plain(value: Any, folder: str) -> Any:
    """Return a document without what differs from run to run."""
    if isinstance(value, dict):
        return {k: plain(v, folder) for k, v in value.items() if k not in VOLATILE}
    if isinstance(value, list):
        return [plain(v, folder) for v in value]
    if isinstance(value, str):
        return value.replace(folder, "FOLDER").replace(ROOT, "ROOT")
    return value


def document(words: tuple[str, ...], folder: Path) -> Any:
    """Run one call in this process and return its document."""
    given = [test_options.made_grid() if word == "GRID" else word for word in words]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([*given, "--json"])
    if status:
        return {"status": status, "error": err.getvalue().replace(str(folder), "F")}
    grid = str(Path(test_options.made_grid()).parent)
    return plain(plain(json.loads(out.getvalue()), str(folder)), grid)


def flat(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield the path and the value of every leaf."""
    if isinstance(value, dict | list) and value:
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in pairs:
            yield from flat(inner, f"{path}/{key}")
    else:
        yield path, value


def differences(old: Any, new: Any) -> list[str]:
    """Return one line for each leaf that differs."""
    before = {RENAMED.get(path, path): leaf for path, leaf in flat(old)}
    after = dict(flat(new))
    return [
        f"{path}: {before.get(path, 'absent')!r} -> {after.get(path, 'absent')!r}"
        for path in {**before, **after}
        if before.get(path, "absent") != after.get(path, "absent")
    ]


def run(what: str, store: Path) -> int:
    """Store or compare every document; return the number of calls that differ."""
    differing = 0
    store.mkdir(parents=True, exist_ok=True)
    own = Path(os.environ["CLIMRISK_DATA"]) / "plants"
    own.mkdir(parents=True, exist_ok=True)
    (own / "mine.toml").write_text(test_options.OWN, "utf-8")
    with tempfile.TemporaryDirectory() as name:
        every = list(calls(Path(name)))
        for title, words in every:
            path = store / f"{hashlib.sha256(title.encode()).hexdigest()[:16]}.json"
            new = document(words, Path(name))
            if what == "store":
                path.write_text(json.dumps(new, indent=1, sort_keys=True), "utf-8")
                continue
            if not path.exists():
                print(f"{title}: not stored")
                continue
            lines = differences(json.loads(path.read_text("utf-8")), new)
            differing += bool(lines)
            for line in lines[:5]:
                print(f"{title}: {line}")
            if len(lines) > 5:
                print(f"{title}: and {len(lines) - 5} further")
    print(f"{len(every)} calls, {differing} differ")
    return differing


if __name__ == "__main__":
    if len(sys.argv) != 3 or sys.argv[1] not in {"store", "compare"}:
        sys.exit(__doc__)
    sys.exit(1 if run(sys.argv[1], Path(sys.argv[2])) else 0)
