"""One input as every interface needs to know it, and the base of all groups of them."""

from collections.abc import Iterator
from dataclasses import MISSING, dataclass, fields
from inspect import get_annotations
from typing import Annotated, Any, get_args, get_origin

from climrisk.core.defaults import Bounds
from climrisk.core.quantities import (
    AREA,
    HEIGHT,
    LENGTH,
    TEMPERATURE,
    WIND,
    Kind,
    System,
)

#: Kind of quantity of a bare number, by the unit that its option declares.
KINDS = {"°C": TEMPERATURE, "cm": LENGTH, "cm2": AREA, "m": HEIGHT, "m/s": WIND}


@dataclass(frozen=True, slots=True)
class Option:
    """What is said about an input beside its name, type and default.

    Parameters
    ----------
    help : str
        One line.
    label : str, optional
        What a form calls it, without its unit; the name's words otherwise.
    unit : str, optional
        Of a bare number: ``°C cm cm2 m m/s``.
    default : str, optional
        What applies where nothing is given, where the field's own default does not say
        so.
    name : str, optional
        Long name where it is not the field's.
    argument : bool
        Given by its position on the command line.
    metavar : str, optional
        How an argument is shown.
    writes : bool
        Names a file to write.
    repeated : bool
        Part of the question that a document repeats.
    page : bool
        Can be asked for on the page.
    home : str, optional
        Key in the home file.
    bounds : Bounds, optional
        Of a number, in its unit.
    step : float, optional
        By which a form changes it.
    choices : sequence of str or of (str, str)
        The words allowed, each with what a form shows where that is another text.
    listed : str, optional
        Which list names what may be given: ``plants pots media spots``.
    """

    help: str
    label: str | None = None
    unit: str | None = None
    default: str | None = None
    name: str | None = None
    argument: bool = False
    metavar: str | None = None
    writes: bool = False
    repeated: bool = True
    page: bool = True
    home: str | None = None
    bounds: Bounds | None = None
    step: float | None = None
    choices: tuple[str | tuple[str, str], ...] = ()
    listed: str | None = None

    @property
    def text(self) -> str:
        """The line of help with what applies where nothing is given."""
        return self.help + (f" [default: {self.default}]" if self.default else "")


@dataclass(frozen=True, slots=True)
class Declared:
    """An input of a command.

    Parameters
    ----------
    name : str
        Of the field.
    type : type
        As annotated, such as ``float | None`` or ``tuple[str, ...]``.
    default : object
        `dataclasses.MISSING` where it must be given.
    option : Option
    """

    name: str
    type: Any
    default: Any
    option: Option

    @property
    def long_name(self) -> str:
        """Name on the command line, without dashes before it."""
        return self.option.name or self.name.rstrip("_").replace("_", "-")

    @property
    def label(self) -> str:
        """What a form calls it."""
        plain = self.name.rstrip("_").replace("_", " ")
        return self.option.label or plain[:1].upper() + plain[1:]

    @property
    def several(self) -> bool:
        """Whether it can be given several times."""
        return get_origin(self.type) is tuple

    @property
    def kind(self) -> Kind | None:
        """Kind of quantity of a bare number; None without a unit that differs."""
        return KINDS.get(self.option.unit or "")

    def metric(self, value: Any, units: System) -> Any:
        """Return a number, or several, of the metric unit."""
        kind = self.kind
        if kind is None or units == "metric" or value is None:
            return value
        if isinstance(value, tuple | list):
            return tuple(self.metric(one, units) for one in value)
        return round(kind.metric_of(value), 6)

    @property
    def item(self) -> Any:
        """Type of one value of several, else the type."""
        return get_args(self.type)[0] if self.several else self.type


@dataclass(frozen=True, kw_only=True)
class Inputs:
    """Base of all groups of inputs."""

    @classmethod
    def declared(cls) -> Iterator[Declared]:
        """Yield the inputs: a command's own first, then those of its groups."""
        by_name = {f.name: f for f in fields(cls)}
        for group in cls.__mro__:
            for name in get_annotations(group):
                field = by_name.pop(name, None)
                if field is None or get_origin(field.type) is not Annotated:
                    continue
                kind, option = get_args(field.type)
                default = field.default
                assert field.default_factory is MISSING
                yield Declared(name, kind, default, option)

    def said(self, *, defaults: bool = False) -> Iterator[tuple[Declared, Any]]:
        """Yield each input that was given with its value; with defaults, all set."""
        for declared in self.declared():
            value = getattr(self, declared.name)
            if value not in (None, ()) and (defaults or value != declared.default):
                yield declared, value
