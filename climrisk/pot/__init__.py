"""Root-zone temperature from the heat balance of a pot."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from climrisk.pot.daily import daily_response as daily_response

__all__ = ["daily_response"]


def __getattr__(name: str) -> Any:
    """Load public names on first use: the kernel is not always needed."""
    if name == "daily_response":
        from climrisk.pot.daily import daily_response

        return daily_response
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
