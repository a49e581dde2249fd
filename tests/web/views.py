"""Views that a process can be lost with; apart, since that process imports the module."""

from __future__ import annotations

import os
import time

from advisor.web.asked import Asked, Desk, Reply


def slow(desk: Desk, asked: Asked) -> Reply:
    time.sleep(600)
    return Reply()


def dying(desk: Desk, asked: Asked) -> Reply:
    os.abort()


def quick(desk: Desk, asked: Asked) -> Reply:
    return Reply(str(os.getpid()).encode())
