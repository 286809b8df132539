"""Limits that a user gives with a source of his own, by option."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.plants.model import LimitRow, Profile
from climrisk.plants.model import Limits as ProfileLimits

#: A label by night minimum, only to name it: midway between societies' classes.
_WARM_C, _INTERMEDIATE_C = 16.0, 11.5


@dataclass(frozen=True)
class OwnLimits:
    """Limits by option; None where not given.

    Parameters
    ----------
    preferred_c, tolerated_c, hot_c : float or None
    source : str or None
        Where they were read; required, and may be the word ``memory``.
    """

    preferred_c: float | None = None
    tolerated_c: float | None = None
    hot_c: float | None = None
    source: str | None = None

    @property
    def given(self) -> bool:
        """Whether any limit is given."""
        return (self.preferred_c, self.tolerated_c, self.hot_c) != (None, None, None)

    def checked(self) -> OwnLimits:
        """Raise InputError where a limit is out of range or has no source."""
        for value, where in (
            (self.preferred_c, field("preferred")),
            (self.tolerated_c, field("tolerated")),
            (self.hot_c, field("hot_limit")),
        ):
            if value is not None:
                validation.number_in(
                    value, -20, 60, what="limit", where=where, unit="°C"
                )
        if self.given and not (self.source or "").strip():
            raise InputError(
                "limits of your own need a source",
                where=field("limit_source"),
                allowed="where you read them, or the word memory",
                next_step=field("limit_source", '"the label"')
                + f", or {field('limit_source', 'memory')}",
            )
        if self.source and not self.given:
            raise InputError(
                "a source without a limit",
                where=field("limit_source"),
                value=self.source,
                allowed=f"together with {field('preferred')}, {field('tolerated')} or "
                + field("hot_limit"),
            )
        low, high = self.tolerated_c, self.preferred_c
        if low is not None and high is not None and low > high:
            raise InputError(
                "what is tolerated lies above what is preferred",
                where=f"{field('tolerated')}, {field('preferred')}",
                value=f"{low:g} and {high:g}",
                allowed="the tolerated minimum at or below the preferred one",
            )
        return self

    def profile(self, name: str, known: Profile | None) -> Profile:
        """Return a profile of these limits; those not given are the known plant's.

        Raises
        ------
        InputError
            An unknown plant without a night minimum.
        """
        if known is None and self.preferred_c is None:
            raise InputError(
                "an unknown plant needs a night minimum",
                where=field("preferred"),
                value=name,
                allowed="the lowest night it should have",
            )
        rows: dict[str, tuple[LimitRow, ...]] = {}
        for kind, value, meaning in (
            ("preferred", self.preferred_c, "advised_night_low"),
            ("tolerated", self.tolerated_c, "stated_minimum"),
            ("advised_top", self.hot_c, "advised_top"),
        ):
            if value is not None:
                rows[kind] = (
                    LimitRow(
                        value=value,
                        meaning=meaning,
                        basis="yours",
                        sources=(str(self.source).strip(),),
                    ),
                )
        if known is not None:
            least = self.preferred_c
            if least is not None and self.tolerated_c is None:
                # What the profile says it tolerates cannot lie above the own minimum.
                low = tuple(r for r in known.limits.tolerated if r.value <= least)
                rows["tolerated"] = low
            limits = known.limits.model_copy(update=rows)
            return known.model_copy(update={"limits": limits, "own": True})
        least = self.preferred_c or 0.0
        label: Literal["warm", "intermediate", "cool"] = (
            "warm"
            if least >= _WARM_C
            else "intermediate"
            if least >= _INTERMEDIATE_C
            else "cool"
        )
        return Profile(name=name, label=label, limits=ProfileLimits(**rows), own=True)
