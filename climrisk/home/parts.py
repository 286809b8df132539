"""What every part of a home file shares."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from climrisk.core.defaults import Bounds
from climrisk.core.errors import InputError

ShortText = Annotated[str, Field(min_length=1, max_length=200)]


def within(bounds: Bounds) -> Any:
    """Return what a field says of the bounds of its number."""
    return Field(ge=bounds.lowest, le=bounds.highest)


class EntryError(ValueError):
    """A wrong entry found by us: where it stands, what is allowed, what next."""

    def __init__(
        self,
        what: str,
        *,
        at: tuple[str | int, ...] = (),
        value: object = None,
        allowed: str = "",
        next_step: str = "",
    ) -> None:
        self.what, self.at, self.value = what, at, value
        self.allowed, self.next_step = allowed, next_step
        super().__init__(what)

    @classmethod
    def of(cls, error: InputError, at: tuple[str | int, ...] = ()) -> EntryError:
        """Return an error of another room as a fault of an entry."""
        return cls(
            error.what,
            at=at,
            value=error.value,
            allowed=error.allowed,
            next_step=error.next_step,
        )


class HomePart(BaseModel):
    """Base of all parts: frozen, nothing unknown allowed."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)
