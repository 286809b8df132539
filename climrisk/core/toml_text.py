"""TOML as a person writes it; whatever is wrong with it is one kind of error."""

from __future__ import annotations

import tomllib
from typing import Any


def parse_toml(text: str) -> dict[str, Any]:
    """Return the content of a TOML text.

    Raises
    ------
    tomllib.TOMLDecodeError
        It is no TOML, nests too deeply, or has a number of thousands of digits.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except RecursionError:
        msg = "brackets nested too deeply"
        raise tomllib.TOMLDecodeError(msg) from None
    except ValueError:
        msg = "a number of too many digits"
        raise tomllib.TOMLDecodeError(msg) from None
