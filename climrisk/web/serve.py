"""Start the page: a free port, a browser, and nothing in any log."""

from __future__ import annotations

import ipaddress
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.errors import InputError
from climrisk.core.paths import data_folder
from climrisk.core.references import field
from climrisk.web.settings import Settings, new_token

USUAL_PORT = 8713


@dataclass(frozen=True)
class ServedAt:
    """Where the page is served."""

    address: str
    port: int
    settings: Settings
    bound: socket.socket

    @property
    def url(self) -> str:
        """What to open in a browser; with the token where there is one."""
        return self._address("")

    @property
    def subscription(self) -> str:
        """What a calendar subscribes to: the moves, and tonight's warning."""
        return self._address("calendar.ics")

    def _address(self, path: str) -> str:
        host = f"[{self.address}]" if ":" in self.address else self.address
        if self.address in ("0.0.0.0", "::"):
            host = "127.0.0.1"
        token = self.settings.token
        return f"http://{host}:{self.port}/{path}" + (
            f"?token={token}" if token else ""
        )


def usual_home() -> Path:
    """Return where the home file lies if none is named: here, else with our data."""
    here = Path("home.toml")
    return here.resolve() if here.is_file() else data_folder() / "home.toml"


def place(
    *,
    home: Path | None = None,
    demo: bool = False,
    port: int | None = None,
    listen: str = "127.0.0.1",
) -> ServedAt:
    """Bind the page's socket; beyond the loopback it gets a token.

    Parameters
    ----------
    home : Path, optional
        The home file; it need not be there yet.
    demo : bool
        Walk through the built-in home.
    port : int, optional
        The usual one if it is free, else any; 0 is any.
    listen : str
        An address of this machine.

    Raises
    ------
    InputError
        No address, or a port that is taken.
    """
    try:
        given = ipaddress.ip_address("127.0.0.1" if listen == "localhost" else listen)
    except ValueError as error:
        raise InputError(
            "not an address",
            where=field("listen"),
            value=listen,
            allowed="an IP address of this machine, such as 127.0.0.1 or 0.0.0.0",
        ) from error
    bound = _bound(given, port)
    beyond = not given.is_loopback
    settings = Settings(
        home=home or usual_home(),
        demo=demo,
        hosts=(socket.gethostname().lower(), _host(given)) if beyond else (),
        any_address=given.is_unspecified,
        token=new_token() if beyond else None,
    )
    return ServedAt(str(given), bound.getsockname()[1], settings, bound)


Address = ipaddress.IPv4Address | ipaddress.IPv6Address


def _host(address: Address) -> str:
    return f"[{address}]" if address.version == 6 else str(address)


def _bound(address: Address, port: int | None) -> socket.socket:
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    tries = (USUAL_PORT, 0) if port is None else (port,)
    for one in tries:
        bound = socket.socket(family)
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            bound.bind((str(address), one))
        except OSError as error:
            bound.close()
            if one == tries[-1]:
                raise InputError(
                    "cannot listen there",
                    where=field("port"),
                    value=f"{address} {one} ({error.strerror})",
                    next_step=f"leave {field('port')} out to have a free one",
                ) from error
        else:
            return bound
    raise AssertionError


def serve(where: ServedAt, *, open_browser: bool, ready: Callable[[], None]) -> None:
    """Serve until interrupted.

    Parameters
    ----------
    where : ServedAt
    open_browser : bool
    ready : callable
        Called once the page answers.
    """
    import uvicorn

    from climrisk.web.app import make_app
    from climrisk.web.connections import server_config

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets=sockets)
            if self.started:
                ready()
                if open_browser:
                    threading.Thread(
                        target=webbrowser.open, args=(where.url,), daemon=True
                    ).start()

    Server(server_config(make_app(where.settings))).run(sockets=[where.bound])
