"""Views that a process can be lost with; apart, since that process imports the module."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator

from advisor.web import own
from advisor.web.asked import Asked, Desk, Reply
from advisor.web.trials import Heard


def slow(desk: Desk, asked: Asked) -> Reply:
    time.sleep(600)
    return Reply()


def dying(desk: Desk, asked: Asked) -> Reply:
    os.abort()


def nice(desk: Desk, asked: Asked) -> Reply:
    return Reply(str(os.getpriority(os.PRIO_PROCESS, 0)).encode())


def quick(desk: Desk, asked: Asked) -> Reply:
    return Reply(str(os.getpid()).encode())


def tells_and_hangs(sent: str) -> Iterator[Heard]:
    yield Heard("step", sent)
    time.sleep(600)


def tells_and_dies(sent: str) -> Iterator[Heard]:
    yield Heard("step", sent)
    os.abort()


def tells_all(sent: str) -> Iterator[Heard]:
    yield Heard("claim", "refuted", (sent, sent, sent))


def wearing(desk: Desk, asked: Asked) -> Reply:
    own._made = own.MOST_MADE
    return Reply(str(os.getpid()).encode())
