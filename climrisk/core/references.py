"""Inputs that messages refer to, and hints of one interface, typed until they are read.

`field` stands for an input by its attribute's name. The command line shows it as an
option, the page as the label of its form, Python as the keyword; a home file has its
table and key. `by` stands for words that differ between interfaces, such as a command
to type next.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from typing import Literal

InterfaceName = Literal["cli", "page", "python"]
PLACES: tuple[InterfaceName, ...] = ("cli", "page", "python")

# All of the private use area, which no text holds otherwise. A reference is BEGIN @
# name | example END; what differs is OPEN text NEXT text NEXT text CLOSE, in the order
# of `PLACES`, and may hold references and quantities, but nothing that differs again.
_BEGIN, _END = "\ue000", "\ue001"
_OPEN, _NEXT, _CLOSE = "\ue002", "\ue003", "\ue004"
_FIELD = re.compile(rf"{_BEGIN}@([a-z_]+)\|([^{_END}]*){_END}")
_BY = re.compile(
    rf"{_OPEN}([^{_NEXT}]*){_NEXT}([^{_NEXT}]*){_NEXT}([^{_CLOSE}]*){_CLOSE}"
)


def field(name: str, example: str = "") -> str:
    """Return a reference to an input.

    Parameters
    ----------
    name : str
        Of the attribute that declares it, such as ``pot_diameter``.
    example : str, optional
        A value of it, or in capitals what a value looks like, such as ``LAT,LON``.
    """
    return f"{_BEGIN}@{name}|{example}{_END}"


def by(*, cli: str = "", page: str = "", python: str = "") -> str:
    """Return words that differ between interfaces; those without any show nothing."""
    return f"{_OPEN}{cli}{_NEXT}{page}{_NEXT}{python}{_CLOSE}"


def off_page(words: str) -> str:
    """Return words that the page does not show."""
    return by(cli=words, python=words)


def fields_in(text: str) -> tuple[str, ...]:
    """Return the inputs that a text refers to."""
    return tuple(match[1] for match in _FIELD.finditer(text))


def has_references(text: str) -> bool:
    """Whether a text refers to inputs or differs between interfaces."""
    return _BEGIN in text or _OPEN in text


#: With what their values look like.
AT, TOWN = field("at", "LAT,LON[,ELEVATION]"), field("town", "NAME[,COUNTRY]")
STATION, HOME = field("station", "ID"), field("home", "FILE")


@dataclass(frozen=True)
class Interface:
    """How inputs are called where somebody reads.

    Parameters
    ----------
    place : {"cli", "page", "python"}
    names : mapping of str to str
        Of those that are not called as usual, by attribute: long names of options
        without dashes, labels of forms, keywords.
    """

    place: InterfaceName
    names: Mapping[str, str] = dataclass_field(default_factory=dict, compare=False)

    def name(self, attribute: str) -> str:
        """Return what an input is called."""
        plain = attribute.rstrip("_")
        called = self.names.get(attribute)
        if self.place == "cli":
            return f"--{called or plain.replace('_', '-')}"
        return called or (plain if self.place == "python" else plain.replace("_", " "))

    def written(self, text: str) -> str:
        """Return a text with its references as they are called here."""
        if _OPEN in text:
            which = 1 + PLACES.index(self.place)
            text = _BY.sub(lambda match: match[which], text)
        return _FIELD.sub(self._refer, text) if _BEGIN in text else text

    def _refer(self, match: re.Match[str]) -> str:
        name, example = self.name(match[1]), match[2]
        if not example:
            return name
        if self.place == "cli":
            return f"{name} {example}"
        # In capitals it says only what a value looks like, which a form shows itself.
        pattern = example.upper() == example and example[0].isalpha()
        if self.place == "python":
            quoted = example[0] in "\"'" or example.replace(".", "").isdigit()
            return f"{name}={example if quoted else repr(example)}"
        if example[0] in "\"'":
            return example
        return name if pattern else f"{name} {example}"


#: As documents have it; a running command calls some of its options otherwise.
CLI = Interface("cli")
#: Of the others `inputs` says what inputs are called: `call` takes it.
PAGE, PYTHON = Interface("page", {}), Interface("python", {})


def call(interface: Interface, names: Mapping[str, str]) -> None:
    """Take down what an interface calls inputs, by their attributes."""
    held = interface.names
    assert isinstance(held, dict)
    held.update(names)
