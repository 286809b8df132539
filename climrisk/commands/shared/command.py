"""A command: its inputs and what it runs."""

import shlex
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from climrisk.inputs.files import PageOutputs
from climrisk.inputs.option import Inputs

if TYPE_CHECKING:
    from climrisk.render.answer import Answer
    from climrisk.render.document import Result
    from climrisk.render.exports import Exports

R = TypeVar("R", bound="Result")


@dataclass(frozen=True)
class Shown:
    """A result and how it reads.

    Parameters
    ----------
    result : Result
    answer : callable
        From a result to its short answer.
    details : callable
        From a result to the whole text, for ``--details``.
    """

    result: "Result"
    answer: "Callable[[Any], Answer]"
    details: Callable[[Any], str] = str


@dataclass(frozen=True)
class Command:
    """A command.

    Parameters
    ----------
    name : str
    inputs : type of Inputs
    run : callable
        From inputs to what is shown; None where nothing is. Its docstring is the help.
    details : bool
        Whether its answer has details and is shown in units of choice.
    """

    name: str
    inputs: type[Inputs]
    run: Callable[[Any], Shown | None]
    details: bool = True

    @property
    def help(self) -> str:
        """What ``--help`` says of it."""
        return self.run.__doc__ or ""


def with_files(
    result: "R", exports: "Callable[[R], Exports]", given: PageOutputs, **more: Any
) -> "R":
    """Write page, picture and table where asked for; return the result with them.

    Parameters
    ----------
    result : Result
    exports : callable
        From a result, in the reader's units, to what can be written.
    given : PageOutputs
    **more
        Further fields of the result that follow from its files.
    """
    from climrisk.render.display_units import shown

    files = exports(shown(result)).write(**given.outputs)
    return result.model_copy(update={"files": files, **more})


_TYPED: ContextVar[tuple[str, str, Mapping[str, Any]]] = ContextVar("typed")


@contextmanager
def typed(command: str, plant: str, options: Mapping[str, Any]) -> Iterator[None]:
    """Remember what was typed, by long names of options, while a command runs."""
    token = _TYPED.set((command, plant, options))
    try:
        yield
    finally:
        _TYPED.reset(token)


def command_with(plant: str | None = None, **changed: str) -> str:
    """Return the running command as it was typed, with a plant and options changed."""
    command, argument, options = _TYPED.get()
    words = ["climrisk", command, plant or argument]
    more = {name.replace("_", "-"): value for name, value in changed.items()}
    for name, value in {**options, **more}.items():
        for one in value if isinstance(value, tuple) else [value]:
            words += [f"--{name}"] if one is True else [f"--{name}", str(one)]
    return shlex.join(words)
