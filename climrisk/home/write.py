"""Home files changed: comments kept, written whole or not at all, each undone alone."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.core.atomic_files import remove_leftovers, replace_file, temporary_of
from climrisk.core.errors import InputError
from climrisk.core.references import by, field
from climrisk.home.model import Home, HomePlant, references
from climrisk.home.read import parse_home, read_text
from climrisk.home.undo import without_change
from climrisk.home.version import upgraded
from climrisk.spot.kinds import spot_kind

if TYPE_CHECKING:
    from tomlkit import TOMLDocument
    from tomlkit.items import Table

_LOCK_S = 20.0


class HomeEdit:
    """A home file while it is changed; values are those of TOML.

    Parameters
    ----------
    text : str
        Of the file.

    Examples
    --------
    >>> with edit_home(path) as home:  # doctest: +SKIP
    ...     home.set("risk", 0.2)
    ...     home.spot("balcony")["kind"] = "recessed-balcony"
    ...     home.add("plant", name="Masdevallia", spot="balcony")
    """

    def __init__(self, text: str) -> None:
        import tomlkit

        self.before = text
        self.document: TOMLDocument = tomlkit.parse(text)
        self._returns = "\r\n" in text

    def set(self, *path_and_value: Any) -> None:
        """Set a key of the file or of one of its tables; None takes it out.

        ``set("risk", 0.2)``, ``set("weather", "years", 15)``.
        """
        import tomlkit

        *tables, key, value = path_and_value
        place: Any = self.document
        for name in tables:
            if name not in place:
                place[name] = tomlkit.table()
            place = place[name]
        _put(place, key, value)

    def spot(self, name: str) -> Table:
        """Return the table of a spot or room; what is set in it is written."""
        try:
            return self._row("room", "name", name)
        except InputError:
            return self._row("spot", "name", name)

    def plant(self, called: str) -> Table:
        """Return the table of a plant by its label, else by its name.

        Raises
        ------
        InputError
            No plant, or more than one, is called so.
        """
        try:
            return self._row("plant", "label", called)
        except InputError:
            return self._row("plant", "name", called)

    def plant_of(self, reference: str) -> Table:
        """Return the table of a plant by its `reference`.

        Raises
        ------
        InputError
            The plant was changed or removed since the reference was given.
        """
        rows: Any = self.document.get("plant", [])
        plants = [HomePlant.model_validate(row.unwrap()) for row in rows]
        for row, known in zip(rows, references(plants), strict=True):
            if known == reference:
                return row  # type: ignore[no-any-return]
        raise InputError(
            "this plant was changed or removed meanwhile",
            where="plant",
            next_step="look at the list again; nothing was changed",
        )

    def carry(self, row: Table, to: str, on: date) -> None:
        """Record that a plant was carried to a spot or room on a day."""
        import tomlkit

        moves = row.get("moves")
        if moves is None:
            inline = not isinstance(row, tomlkit.items.Table)
            moves = tomlkit.array().multiline(not inline)
            _put(row, "moves", moves)
            moves = row["moves"]
        move = tomlkit.inline_table()
        move.update({"on": on, "to": to})
        # After those of the same day: the last of a day holds.
        index = sum(str(m["on"]) <= on.isoformat() for m in moves)
        moves.insert(index, move)

    def change(self, table: Table, **values: Any) -> None:
        """Set several keys of a table; None takes a key out."""
        for key, value in values.items():
            _put(table, key, value)

    def add(self, kind: str, /, **values: Any) -> None:
        """Add a spot, room or plant; values that are None are left out."""
        import tomlkit
        from tomlkit.items import Array

        if kind not in self.document:
            self.document.add(kind, tomlkit.aot())
        rows: Any = self.document[kind]
        row: Any = tomlkit.table()
        if isinstance(rows, Array):
            row = tomlkit.inline_table()
        else:
            row.trivia.indent = "\n"
        for key, value in values.items():
            if value is not None:
                row[key] = value
        if len(rows) and not isinstance(rows, Array):
            # A remark on what follows in the file goes on standing before that.
            row.value.body.extend(_remark_after(rows[-1]))
        rows.append(row)

    def remove(self, kind: str, called: str | Table) -> None:
        """Take a spot, room or plant out, by what it is called or by its table."""
        row: Any = called
        if isinstance(called, str):
            named = kind != "plant"
            row = self._row(kind, "name", called) if named else self.plant(called)
        rows: Any = self.document[kind]
        # By identity: two rows may hold the same words.
        del rows[next(i for i, r in enumerate(rows) if r is row)]
        if len(rows) == 0:
            del self.document[kind]

    def rename_place(self, name: str, new: str) -> None:
        """Give a spot or room another name, wherever the file uses it."""
        row = self.spot(name)
        old = str(row["name"])
        if new == old:
            return
        _put(row, "name", new)
        for table, key in self._uses():
            if str(table[key]).lower() == old.lower():
                table[key] = new

    def remove_place(self, name: str, to: str | None = None) -> None:
        """Take a spot or room out; its plants go to another.

        Parameters
        ----------
        name : str
        to : str, optional
            Where the plants stand from now on that stand there, or are carried there.
            Past moves to the place are no longer noted.

        Raises
        ------
        InputError
            Plants stand or are carried there and `to` is not given.
        """
        row = self.spot(name)
        old, rows = str(row["name"]).lower(), self._rows("plant")
        other = None if to is None else str(self.spot(to)["name"])
        for plant in rows:
            self._forget(plant, old, other)
        for table, key in self._uses():
            if str(table[key]).lower() != old:
                continue
            if key == "room" and (other is None or not self._indoors(other)):
                del table[key]
            elif other is None:
                raise InputError(
                    f"plants stand on {row['name']}",
                    where="spot",
                    next_step="say where they go",
                )
            else:
                table[key] = other
        kind = "room" if any(r is row for r in self._rows("room")) else "spot"
        self.remove(kind, row)

    def _forget(self, plant: Any, old: str, other: str | None) -> None:
        """Leave out past moves to a place; the last one leads to another place."""
        moves: Any = plant.get("moves") or ()
        for i in reversed(range(len(moves))):
            last = i == len(moves) - 1
            if str(moves[i]["to"]).lower() == old and not (last and other):
                if last:
                    raise InputError(
                        f"{plant.get('label') or plant['name']} stands there",
                        where="spot",
                        next_step="say where it goes",
                    )
                del moves[i]

    def _indoors(self, name: str) -> bool:
        kind = self.spot(name).get("kind")
        return kind is None or spot_kind(str(kind)).indoors

    def _rows(self, kind: str) -> list[Any]:
        return list(self.document.get(kind, []))

    def _uses(self) -> list[tuple[Any, str]]:
        """Return every table and key that names a spot or room elsewhere."""
        plants = self._rows("plant")
        out = [(p, key) for p in plants for key in ("spot", "room") if key in p]
        out += [(s, "room") for s in self._rows("spot") if "room" in s]
        return out + [(m, "to") for p in plants for m in p.get("moves") or ()]

    def answer(self, typed: str, meant: str) -> None:
        """Remember what an ambiguous name was said to mean."""
        self.set("answers", typed, meant)

    def text(self) -> str:
        """Return the text as it would be written: a change upgrades an older file."""
        text = self.document.as_string()
        # New lines end as the others of the file do.
        text = re.sub(r"\r?\n", "\r\n", text) if self._returns else text
        return text if text == self.before else upgraded(text)

    def _row(self, kind: str, key: str, wanted: str) -> Table:
        rows: Any = self.document.get(kind, [])
        found = [r for r in rows if str(r.get(key, "")).lower() == wanted.lower()]
        if len(found) == 1:
            return found[0]  # type: ignore[no-any-return]
        names = [str(r.get("label") or r.get("name")) for r in rows]
        if found:
            raise InputError(
                f"{len(found)} entries are called so",
                where="home file",
                value=wanted,
                next_step="give each a label of its own",
            )
        raise InputError(
            f"no such {kind} in the home file",
            where="home file",
            value=wanted,
            allowed=", ".join(names) or "none",
        )


@contextmanager
def edit_home(path: Path) -> Iterator[HomeEdit]:
    """Change a home file: nothing is written unless the outcome is valid.

    Other programs wait meanwhile. Comments and order stay, and a file of an older
    version is upgraded. The file as it was before is kept beside it with ``.undo``
    after its name; `undo_change` takes a change back.

    Raises
    ------
    InputError
        The file cannot be read or written, or would not be valid; it stays as it was.
    """
    path = path.resolve()
    with _held(path):
        before = read_text(path)
        edit = HomeEdit(_checked(before, path))
        yield edit
        after = edit.text()
        if after != before:
            _write(path, _checked(after, path))


def undo_change(path: Path, before: str, after: str) -> str:
    """Take one change back while later ones stay; return the text as it is then.

    Parameters
    ----------
    path : Path
    before, after : str
        The text right before and right after the change.

    Raises
    ------
    InputError
        What the change wrote was changed again since; the file stays as it was.
    """
    path = path.resolve()
    with _held(path):
        current = read_text(path)
        if current != after:
            # The upgrade of an older file is no part of the change.
            before = upgraded(before)
        text = _checked(without_change(current, before, after), path)
        _write(path, text)
    return text


def undo_path(path: Path) -> Path:
    """Return where the text before the last change is kept."""
    return path.with_name(path.name + ".undo")


def remove_unfinished(path: Path) -> None:
    """Remove what a killed change of a home file left, if it can be removed."""
    path = path.resolve()
    if any(os.path.lexists(file) for file in _unfinished(path)):
        with suppress(InputError), _held(path):
            pass


def _unfinished(path: Path) -> list[Path]:
    return [temporary_of(file) for file in (path, undo_path(path))]


def new_home(path: Path, text: str, *, force: bool) -> Home:
    """Write a new home file, read back before it is written.

    Raises
    ------
    InputError
        One is there and `force` is not set; its text is then kept to undo.
    """
    home = parse_home(text, where=str(path))
    if not path.parent.is_dir():
        raise InputError("no such folder", where="home file", value=path.parent)
    path = path.resolve()
    with _held(path):
        if not path.exists():
            _replaced(path, text.encode("utf-8"))
        elif not force:
            raise InputError(
                "this file is there already",
                where="home file",
                value=path,
                allowed="another name" + by(cli=f", or {field('force')} to replace it"),
            )
        else:
            _write(path, text)
    return home


def _put(place: Any, key: str, value: Any) -> None:
    from tomlkit.items import Table

    if value is None:
        if key in place:
            del place[key]
    elif key in place or not isinstance(place, Table):
        place[key] = value
    else:
        # Behind the last key: remarks below the table go on standing below it.
        body = place.value.body
        remarks = []
        while body and body[-1][0] is None:
            remarks.append(body.pop())
        place[key] = value
        body.extend(reversed(remarks))


def _remark_after(row: Any) -> list[Any]:
    """Take off what follows a row after an empty line, and return it."""
    from tomlkit.items import Whitespace

    body = row.value.body
    first = len(body)
    while first and body[first - 1][0] is None:
        first -= 1
    for i in range(first, len(body)):
        if isinstance(body[i][1], Whitespace):
            if not any(not isinstance(item, Whitespace) for _, item in body[i:]):
                return []
            remark = list(body[i:])
            del body[i:]
            return remark
    return []


def _checked(text: str, path: Path) -> str:
    parse_home(text, where=str(path))
    return text


def _write(path: Path, text: str) -> None:
    """Write a home file; the bytes before are kept beside it."""
    _replaced(undo_path(path), path.read_bytes())
    _replaced(path, text.encode("utf-8"))
    remove_leftovers(path.parent)


def _replaced(path: Path, data: bytes) -> None:
    try:
        replace_file(path, data, private=True, locked=True)
    except OSError as error:
        raise InputError(
            "cannot write the home file",
            where="home file",
            value=path,
            allowed=f"a place that can be written ({error.strerror})",
        ) from error


@contextmanager
def _held(path: Path) -> Iterator[None]:
    from filelock import FileLock, Timeout

    lock = FileLock(path.with_name(f".{path.name}.lock"), timeout=_LOCK_S, mode=0o600)
    try:
        lock.acquire()
    except Timeout as error:
        raise InputError(
            "the home file is in use by another program",
            where="home file",
            value=path,
            next_step="wait until it has finished, and try again",
        ) from error
    except OSError as error:
        raise InputError(
            "cannot write beside the home file",
            where="home file",
            value=path,
            allowed=f"a folder that can be written ({os.strerror(error.errno or 0)})",
        ) from error
    try:
        for file in _unfinished(path):
            with suppress(OSError):
                file.unlink(missing_ok=True)
        yield
    finally:
        lock.release()
