"""A plant profile: limits as lists of values, each with meaning, basis and sources."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from climrisk.core import quantities

Basis = Literal["published", "memory", "estimate", "yours"]
LimitKind = Literal[
    "preferred",
    "tolerated",
    "injury",
    "survived",
    "ceiling",
    "advised_top",
    "warm_night",
    "light_floor",
    "night_drop",
    "humidity_low_pct",
    "reports",
]

#: Where no source says what a plant tolerates, so far below the night minimum it
#: prefers (our estimate: societies' classes differ by as much). [K]
TOLERATED_BELOW_PREFERRED_K = 3.0

#: What each kind of limit may mean. Only these words are a limit of that kind.
MEANINGS: dict[str, tuple[str, ...]] = {
    "preferred": (
        "advised_night_low",
        "class_lower_bound",
        "general_rule",
        "grown_at",
        "leaf_loss_below",
        "move_in_night",
        "transport_low",
    ),
    "tolerated": ("tolerated_limit", "stated_minimum", "estimated"),
    "injury": ("injury_reported", "injury_reported_group"),
    "survived": ("survived_extreme",),
    "ceiling": ("ceiling",),
    "advised_top": ("advised_top",),
    "warm_night": ("suffers_above", "warm_regime_top", "advised_night_top"),
    "light_floor": ("advised_light", "light_class"),
    "night_drop": ("advised_fall", "general_rule"),
    "humidity_low_pct": ("advised_low", "general_rule", "grown_at"),
}


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)


class LimitRow(_Frozen):
    """One value of a limit.

    Parameters
    ----------
    value : float
        In °C, K (falls), % (humidity) or mol/m² a day (light).
    meaning : str
        What the source says about it; see `MEANINGS`.
    basis : {"published", "memory", "estimate", "yours"}
    sources : tuple of str
        Keys of SOURCES.toml; empty for memory and estimates.
    high : float, optional
        Upper end, for a fall given as a range.
    when : str, optional
        The state it holds in, such as ``in-spike`` or ``in-growth``.
    quantity : str, optional
        What a report is about.
    """

    value: float = Field(ge=-60, le=100)
    meaning: str
    basis: Basis
    sources: tuple[str, ...] = ()
    high: float | None = None
    when: str | None = None
    quantity: str | None = None

    @model_validator(mode="after")
    def _published_has_a_source(self) -> LimitRow:
        if self.basis == "published" and not self.sources:
            msg = "a published value needs a source"
            raise ValueError(msg)
        return self

    @property
    def firm(self) -> bool:
        """Whether a source or the grower gives it, not memory or an estimate."""
        return self.basis in ("published", "yours")


class Limits(_Frozen):
    """All limits of a plant; injury, survived and reports are never used as limits.

    Where sources disagree, all their rows are kept and the usual one comes first.
    """

    preferred: tuple[LimitRow, ...] = ()
    tolerated: tuple[LimitRow, ...] = ()
    injury: tuple[LimitRow, ...] = ()
    survived: tuple[LimitRow, ...] = ()
    ceiling: tuple[LimitRow, ...] = ()
    advised_top: tuple[LimitRow, ...] = ()
    warm_night: tuple[LimitRow, ...] = ()
    light_floor: tuple[LimitRow, ...] = ()
    night_drop: tuple[LimitRow, ...] = ()
    humidity_low_pct: tuple[LimitRow, ...] = ()
    reports: tuple[LimitRow, ...] = ()

    @model_validator(mode="after")
    def _meanings_fit(self) -> Limits:
        for kind, allowed in MEANINGS.items():
            for row in getattr(self, kind):
                if row.meaning not in allowed:
                    msg = (
                        f"{kind} cannot mean {row.meaning!r}, only {', '.join(allowed)}"
                    )
                    raise ValueError(msg)
        return self


class Note(_Frozen):
    """A word about a plant with its sources."""

    note: str
    basis: Basis
    sources: tuple[str, ...] = ()


class CultureFact(_Frozen):
    """A fact about duration, triggers, humidity or acclimation.

    The value is text: a number, a range ``a..b`` or a word, in `unit`.
    """

    quantity: str
    value: str
    unit: str
    condition: str
    basis: Basis
    sources: tuple[str, ...] = ()


class CitedSource(_Frozen):
    """Where a value was read."""

    publisher: str
    title: str
    year: str | None = None
    address: str | None = None
    kind: str


class Profile(_Frozen):
    """A plant, or a group that the trade grows alike.

    Parameters
    ----------
    name : str
    short : str
        The name in a list of plants; the name itself where not given.
    common_names, synonyms : tuple of str
    family : str
    label : {"warm", "intermediate", "cool"}
        Only a label: societies differ by 3 to 5 K on what it means.
    rest : {"none", "drier", "dry", "cool", "cool_dry"}
        How it winters.
    limits : Limits
    toxic, wind_sensitivity : Note or None
        None means nothing noted; it does not mean safe.
    dose : tuple of CultureFact
    own : bool
        Read from the user's folder.
    """

    name: str = Field(min_length=1)
    short: str = Field(default="", max_length=24)
    common_names: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    family: str = ""
    label: Literal["warm", "intermediate", "cool"]
    rest: Literal["none", "drier", "dry", "cool", "cool_dry"] = "none"
    limits: Limits
    toxic: Note | None = None
    wind_sensitivity: Note | None = None
    dose: tuple[CultureFact, ...] = ()
    own: bool = False

    def limit(self, kind: LimitKind, when: str | None = None) -> LimitRow | None:
        """Return the row that is judged by, or None.

        Among the rows of the state `when` (None: those for all states) published
        ones take precedence over memory. Of several, harm is judged by the most
        cautious (the highest tolerated minimum, the lowest ceiling or warm night),
        comfort by the first, which is the usual one. Without a tolerated row for all
        states, it is estimated from the preferred one.
        """
        every: tuple[LimitRow, ...] = getattr(self.limits, kind)
        rows = [row for row in every if row.when == when]
        rows = [r for r in rows if r.basis != "memory"] or rows
        if not rows:
            estimated = kind == "tolerated" and when is None
            return self._estimated_tolerated() if estimated else None
        if kind == "tolerated":
            return max(rows, key=lambda row: row.value)
        if kind in ("ceiling", "warm_night"):
            return min(rows, key=lambda row: row.value)
        return rows[0]

    def _estimated_tolerated(self) -> LimitRow | None:
        preferred = self.limit("preferred")
        if preferred is None:
            return None
        return LimitRow(
            value=preferred.value - TOLERATED_BELOW_PREFERRED_K,
            meaning="estimated",
            basis="estimate",
        )

    @property
    def toxic_note(self) -> str | None:
        """What is noted of toxicity; None is not safe, only nothing noted."""
        return None if self.toxic is None else self.toxic.note

    @property
    def night_drop_required_k(self) -> tuple[float, float] | None:
        """Fall of temperature that a source advises for this plant, or None. [K]

        General rules for all orchids, and advice that needs no fall, are none.
        """
        rows = [
            row
            for row in self.limits.night_drop
            if row.meaning == "advised_fall" and row.basis != "memory" and row.value > 0
        ]
        if not rows:
            return None
        row = min(rows, key=lambda row: row.value)
        return row.value, row.high if row.high is not None else row.value

    @property
    def source_keys(self) -> set[str]:
        """Every source key in the profile."""
        keys: set[str] = set()
        for kind in Limits.model_fields:
            for row in getattr(self.limits, kind):
                keys.update(row.sources)
        for part in (self.toxic, self.wind_sensitivity, *self.dose):
            if part is not None:
                keys.update(part.sources)
        return keys


def limit_kind(name: str) -> quantities.Kind:
    """Return which kind of quantity a limit is."""
    kinds = {
        "night_drop": quantities.DIFFERENCE,
        "light_floor": quantities.LIGHT,
        "humidity_low_pct": quantities.PERCENT,
    }
    return kinds.get(name, quantities.TEMPERATURE)
