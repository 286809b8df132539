"""A plant profile: limits as lists of values, each with meaning, basis and sources."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

Basis = Literal["published", "memory", "yours"]
Kind = Literal[
    "preferred",
    "tolerated",
    "injury",
    "survived",
    "hot_limit",
    "warm_night",
    "night_drop",
    "humidity_low_pct",
    "reports",
]

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
    "tolerated": ("tolerated_limit", "stated_minimum"),
    "injury": ("injury_reported", "injury_reported_group"),
    "survived": ("survived_extreme",),
    "hot_limit": ("advised_top", "ceiling"),
    "warm_night": ("suffers_above", "warm_regime_top", "advised_night_top"),
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
        In °C, K (falls) or % (humidity).
    meaning : str
        What the source says about it; see `MEANINGS`.
    basis : {"published", "memory", "yours"}
    sources : tuple of str
        Keys of SOURCES.toml; empty for memory.
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


class Limits(_Frozen):
    """All limits of a plant; injury, survived and reports are never used as limits."""

    preferred: tuple[LimitRow, ...] = ()
    tolerated: tuple[LimitRow, ...] = ()
    injury: tuple[LimitRow, ...] = ()
    survived: tuple[LimitRow, ...] = ()
    hot_limit: tuple[LimitRow, ...] = ()
    warm_night: tuple[LimitRow, ...] = ()
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


class Dose(_Frozen):
    """A fact about duration, triggers, humidity or acclimation.

    The value is text: a number, a range ``a..b`` or a word, in `unit`.
    """

    quantity: str
    value: str
    unit: str
    condition: str
    basis: Basis
    sources: tuple[str, ...] = ()


class Source(_Frozen):
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
    common_names, synonyms : tuple of str
    family : str
    label : {"warm", "intermediate", "cool"}
        Only a label: societies differ by 3 to 5 K on what it means.
    rest : {"none", "drier", "dry", "cool_dry"}
        How it winters.
    limits : Limits
    toxic, wind_sensitivity : Note or None
        None means nothing noted; it does not mean safe.
    dose : tuple of Dose
    own : bool
        Read from the user's folder.
    """

    name: str = Field(min_length=1)
    common_names: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    family: str = ""
    label: Literal["warm", "intermediate", "cool"]
    rest: Literal["none", "drier", "dry", "cool_dry"] = "none"
    limits: Limits
    toxic: Note | None = None
    wind_sensitivity: Note | None = None
    dose: tuple[Dose, ...] = ()
    own: bool = False

    def limit(self, kind: Kind, when: str | None = None) -> LimitRow | None:
        """Return the row that is judged by, or None.

        Among the rows of the state `when` (None: those for all states) published
        goes before memory, and of several the most cautious: the highest minimum,
        the lowest top.
        """
        every: tuple[LimitRow, ...] = getattr(self.limits, kind)
        rows = [row for row in every if row.when == when]
        rows = [r for r in rows if r.basis != "memory"] or rows
        if not rows:
            return None
        pick = min if kind in ("hot_limit", "warm_night") else max
        return pick(rows, key=lambda row: row.value)

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
