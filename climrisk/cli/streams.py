"""Standard output of any encoding, closed, or on a full disk."""

from __future__ import annotations

import codecs
import errno
import os
import sys
import unicodedata
from io import TextIOWrapper

#: What an encoding without a character shows in its place; accents just go.
_PLAIN = {"°": " deg ", "−": "-", "–": "-", "—": "-", "─": "-", "→": "->", "·": "-"}
_PLAIN |= {"±": "+/-", "²": "2", "µ": "u", "“": '"', "”": '"', "’": "'", "ʼ": "'"}
_PLAIN |= {"…": "...", "≤": "<=", "≥": ">=", "×": "x", "ß": "ss", "Đ": "D", "đ": "d"}
_UNWRITABLE = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)


def prepare(*, json: bool) -> None:
    """Let standard output and error write every character in some way.

    Parameters
    ----------
    json : bool
        The output is JSON, where an escape stands for the character itself.
    """
    codecs.register_error("climrisk-json", _escaped)
    codecs.register_error("climrisk-plain", _plain)
    for stream, escape in ((sys.stdout, json), (sys.stderr, False)):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="climrisk-json" if escape else "climrisk-plain")


def is_closed_pipe(error: BaseException | None) -> bool:
    """Whether the reader of standard output has gone, such as ``head``."""
    return isinstance(error, OSError) and error.errno == errno.EPIPE


def is_full(error: OSError) -> bool:
    """Whether standard output cannot take more; errors of files name their file."""
    return error.filename is None and error.errno in _UNWRITABLE


def discard_output() -> None:
    """Send what is left to nowhere, so that leaving the program raises nothing."""
    null = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        if stream is None:
            continue
        try:
            stream.flush()
        except (OSError, ValueError):
            os.dup2(null, stream.fileno())
    os.close(null)


def _escaped(error: UnicodeError) -> tuple[str, int]:
    """Return the characters as escapes of JSON, in pairs beyond the basic plane."""
    assert isinstance(error, UnicodeEncodeError)
    lost = error.object[error.start : error.end]
    raw = lost.encode("utf-16-be", "surrogatepass")
    units = (raw[i : i + 2].hex() for i in range(0, len(raw), 2))
    return "".join(rf"\u{unit}" for unit in units), error.end


def _plain(error: UnicodeError) -> tuple[str, int]:
    """Return the characters as near as ASCII has them."""
    assert isinstance(error, UnicodeEncodeError)
    return "".join(map(_near, error.object[error.start : error.end])), error.end


def _near(character: str) -> str:
    known = _PLAIN.get(character)
    if known is None:
        parts = unicodedata.normalize("NFKD", character)
        known = "".join(c for c in parts if c.isascii()) or "?"
    return known
