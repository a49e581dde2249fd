"""Listening: on this machine alone, unless a secret is stated."""

from __future__ import annotations

import ipaddress
import os
import sys
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from advisor.errors import BadRequest, Fault
from advisor.model.knowledge import RuleBase
from advisor.web.app import HERE, make_app
from advisor.web.asked import NOBODYS, House
from advisor.web.work import Workers
from explanations.wording import wording

SHORTEST_SECRET = 12
MOST_AT_ONCE = 600  # connections
LONGEST_HEAD = 32 << 10  # bytes before a request's body
SECONDS_KEPT = 10  # a connection is kept open without a request


def read_secret(path: Path | None) -> str:
    """The secret that a file holds in its first line; empty if there is no file.

    Raises:
        BadRequest: it cannot be read, or is too short to be one.
    """
    if path is None:
        return ""
    try:
        said = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        raise BadRequest([Fault(str(path), wording("web.serve.no_secret_file"))]) from None
    secret = said[0].strip() if said else ""
    if len(secret) < SHORTEST_SECRET:
        raise BadRequest([Fault(str(path), wording("web.serve.short_secret", least=SHORTEST_SECRET))])
    return secret


def check_address(host: str, secret: str) -> None:
    """Refuse to listen to others without a secret.

    Raises:
        BadRequest: the address is none, or is not this machine's alone and no secret is stated.
    """
    try:
        alone = host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        raise BadRequest([Fault("--address", wording("web.serve.no_address", given=host))]) from None
    if not alone and not secret:
        what, remedy = wording("web.serve.not_alone", address=host), wording("web.serve.secret")
        raise BadRequest([Fault("--address", what, remedy=remedy)])


def _has_a_screen() -> bool:
    """Whether a browser would open beside this terminal, and not within it."""
    return sys.platform != "linux" or any(os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))


def serve(
    base: RuleBase,
    host: str,
    port: int,
    secret: str,
    names: tuple[str, ...],
    opening: bool,
    say: Callable[[str], None],
    house: House = NOBODYS,
) -> None:
    """Serve the page until interrupted.

    Args:
        base: the rule base, read once.
        host: the address to listen on.
        port: 0 for any that is free.
        secret: what visitors must know; empty where only this machine's come.
        names: under which it may be spoken to besides the address and this machine's own.
        opening: whether to open a browser.
        say: takes a line for whoever started it.
        house: whose page it is.

    Raises:
        BadRequest: nothing can listen there.
    """
    check_address(host, secret)
    app = make_app(Workers(base, house=house), (*HERE, host, *names), secret)
    config = uvicorn.Config(
        app,
        host,
        port,
        log_level="warning",
        access_log=False,  # an address holds what somebody said of a floor
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST_AT_ONCE,
        timeout_keep_alive=SECONDS_KEPT,
        timeout_graceful_shutdown=5,
        h11_max_incomplete_event_size=LONGEST_HEAD,
        lifespan="on",
        http="h11",
        ws="none",
    )
    try:
        listening = config.bind_socket()
    except SystemExit:
        raise BadRequest([Fault("--port", wording("web.serve.taken", address=host, port=port))]) from None
    shown = f"[{host}]" if ":" in host else host
    at = f"http://{shown}:{listening.getsockname()[1]}/"
    say(wording("web.serve.listening", address=at))
    if opening and _has_a_screen():
        webbrowser.open(at)
    uvicorn.Server(config).run([listening])
