"""Plant, spot, pot and risk as Python takes them; each becomes declared inputs."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Any, ClassVar

from climrisk.core.defaults import DEFAULT_DIAMETER_CM, DEFAULT_MEDIUM, DEFAULT_POT
from climrisk.core.references import PYTHON, call


class _Value:
    """Stands for several inputs; the first attribute is the value's own name."""

    #: The input that each attribute is.
    _names: ClassVar[dict[str, str]] = {}

    def __init_subclass__(cls) -> None:
        first, *others = cls._names
        keywords = {cls._names[key]: f"{cls.__name__}.{key}" for key in others}
        call(PYTHON, {cls._names[first]: cls.__name__.lower(), **keywords})

    def inputs(self) -> dict[str, Any]:
        """Return the inputs that it stands for, by their names."""
        return {name: getattr(self, key) for key, name in self._names.items()}


@dataclass(frozen=True)
class Plant(_Value):
    """A plant, its state, and limits of one's own.

    Parameters
    ----------
    name : str
        Name, synonym or trade name.
    state : {"established", "in-spike", "unrooted", "new-import"}
    preferred_c, tolerated_c, hot_c : float, optional
        Limits of one's own, in place of the profile's or for a plant without one: the
        night minimum it prefers, the coldest night it tolerates, the advised day
        maximum. [°C]
    source : str, optional
        Where they were read, or ``"memory"``; needed with any of them.
    height_cm : float, optional
        Above the rim, for the wind; as usual for the pot where not given. [cm]
    leaf_area_cm2 : float, optional
        Of all leaves, one side, for the wind. [cm²]

    Examples
    --------
    >>> Plant("Cattleya", state="in-spike").state
    'in-spike'
    """

    _names: ClassVar[dict[str, str]] = {
        "name": "plant",
        "state": "state",
        "preferred_c": "preferred",
        "tolerated_c": "tolerated",
        "hot_c": "hot_limit",
        "source": "limit_source",
        "height_cm": "plant_height",
        "leaf_area_cm2": "leaf_area",
    }

    name: str
    _: KW_ONLY
    state: str = "established"
    preferred_c: float | None = None
    tolerated_c: float | None = None
    hot_c: float | None = None
    source: str | None = None
    height_cm: float | None = None
    leaf_area_cm2: float | None = None


class Spot(_Value):
    """A kind of spot, or a spot of the home, and its particulars.

    Parameters
    ----------
    kind : str
        A name that ``climrisk help spots`` lists, or that of a spot of the home.
    elevation_m : float, optional
        Height of the home, where it is not the station's. [m]
    site
        Particulars such as ``facing="SE"``, ``floor=3`` or ``eaves=1.2``, as the keys
        of ``--site``.

    Examples
    --------
    >>> Spot("roofed-balcony", facing="SE", floor=3)
    Spot('roofed-balcony', facing='SE', floor=3)
    """

    _names: ClassVar[dict[str, str]] = {"kind": "spot", "elevation_m": "elevation"}

    def __init__(
        self, kind: str, *, elevation_m: float | None = None, **site: object
    ) -> None:
        self.kind, self.elevation_m, self.site = kind, elevation_m, site

    def __repr__(self) -> str:
        more = [f"{key}={value!r}" for key, value in self.site.items()]
        if self.elevation_m is not None:
            more.append(f"elevation_m={self.elevation_m:g}")
        return f"Spot({', '.join([repr(self.kind), *more])})"

    def inputs(self) -> dict[str, Any]:
        """Return the inputs that it stands for, by their names."""
        site = tuple(f"{key}={value}" for key, value in self.site.items())
        return {**super().inputs(), "site": site}


@dataclass(frozen=True)
class Pot(_Value):
    """A pot and its medium.

    Parameters
    ----------
    kind : str
        A name that ``climrisk help pots`` lists.
    diameter_cm : float
        Inner diameter. [cm]
    medium : str
        A medium, or a mix such as ``"50 akadama + 50 grit"``.
    wetness : {"wet", "damp", "dry"}
    crocking, top_dressing : str, optional
        A layer under and on the medium, in cm, such as ``"2 grit"``.
    stands_on : {"floor", "bench", "feet"}
    watered_every_d : float, optional
        Days between waterings; without it the medium stays as wet as it is.
    color : str, optional
        Of the wall; as usual for the kind where not given.
    setup : {"screening", "full"}, optional
        How finely it is computed.

    Examples
    --------
    >>> Pot("terracotta", 12, medium="50 akadama + 50 grit").diameter_cm
    12
    """

    _names: ClassVar[dict[str, str]] = {
        "kind": "pot",
        "diameter_cm": "pot_diameter",
        "medium": "medium",
        "wetness": "wetness",
        "crocking": "crocking",
        "top_dressing": "top_dressing",
        "stands_on": "stands_on",
        "watered_every_d": "watered_every",
        "color": "pot_color",
        "setup": "setup",
    }

    kind: str = DEFAULT_POT
    diameter_cm: float = DEFAULT_DIAMETER_CM
    medium: str = DEFAULT_MEDIUM
    _: KW_ONLY
    wetness: str = "damp"
    crocking: str | None = None
    top_dressing: str | None = None
    stands_on: str = "floor"
    watered_every_d: float | None = None
    color: str | None = None
    setup: str | None = None


@dataclass(frozen=True)
class Risk(_Value):
    """How much risk is accepted.

    Parameters
    ----------
    autumn : float, optional
        Share of years with a harmful night before moving in; the home's, else 0.1.
    spring : float, optional
        The same after moving out; twice that of autumn, up to 0.25, where not given.
    strict : bool
        Treat every night below what the plant prefers as harmful.
    """

    _names: ClassVar[dict[str, str]] = {
        "autumn": "risk",
        "spring": "spring_risk",
        "strict": "strict",
    }

    autumn: float | None = None
    spring: float | None = None
    strict: bool = False


call(PYTHON, {"site": "Spot", "from_": "first", "to": "last"})
