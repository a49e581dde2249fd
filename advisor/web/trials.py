"""Overlays being tried: one at a time, each in a process of its own that is ended where it takes too long.

What the process tells is heard by a thread and kept here; the page shows it as it comes. The process works at the
lowest priority, so that those who ask for advice do not wait for it.
"""

from __future__ import annotations

import os
import resource
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from secrets import token_urlsafe
from typing import Literal

from advisor.errors import BadRequest, Fault
from advisor.web.work import MEMORY
from explanations.wording import wording

MOST_KEPT, MOST_WAITING = 12, 3
MOST_TRIED = 200_000  # characters
MOST_HEARD = 2000
SECONDS = 600.0
State = Literal["waiting", "under_way", "done", "too_long", "died"]


@dataclass(frozen=True)
class Heard:
    """One thing that a trial tells: of which kind, of what, and how."""

    kind: Literal["step", "fault", "case", "claim"]
    name: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Trial:
    """An overlay being tried, as far as it has come."""

    key: str
    state: State
    heard: tuple[Heard, ...] = ()


Telling = Callable[[str], Iterator[Heard]]


class Trials:
    """All trials of one server."""

    def __init__(self, telling: Telling, seconds: float = SECONDS) -> None:
        """Begin with none.

        Args:
            telling: a function of a module: tries what was sent, and tells what it finds as it finds it.
            seconds: after which a trial is ended.
        """
        self._telling, self._seconds = telling, seconds
        self._lock = threading.Lock()
        self._all: dict[str, Trial] = {}
        self._waiting: deque[tuple[str, str]] = deque()
        self._busy = False
        self._process: BaseProcess | None = None

    def close(self) -> None:
        """End the trial that is under way, and begin none of those that wait."""
        with self._lock:
            self._waiting.clear()
            process = self._process
        if process and process.pid:
            process.kill()

    def begin(self, sent: str) -> str:
        """Try what was sent, when those before it are done; gives the key of the trial.

        Raises:
            BadRequest: nothing or too much was sent, or too many wait.
        """
        if not sent.strip():
            raise BadRequest([Fault("", wording("web_try.nothing"))])
        if len(sent) > MOST_TRIED:
            raise BadRequest([Fault("", wording("web.question.too_long", most=MOST_TRIED))])
        with self._lock:
            if len(self._waiting) >= MOST_WAITING:
                raise BadRequest([Fault("", wording("web_try.too_many", n=MOST_WAITING))])
            key = token_urlsafe(16)
            ended = [each for each, trial in self._all.items() if trial.state not in ("waiting", "under_way")]
            for oldest in ended[: max(0, len(self._all) + 1 - MOST_KEPT)]:
                del self._all[oldest]
            self._all[key] = Trial(key, "waiting")
            self._waiting.append((key, sent))
            if not self._busy:
                self._busy = True
                threading.Thread(target=self._work, daemon=True).start()
        return key

    def trial(self, key: str) -> Trial:
        """A trial as far as it has come.

        Raises:
            BadRequest: there is none, or it has made room for others.
        """
        with self._lock:
            if key not in self._all:
                raise BadRequest([Fault("", wording("web_try.gone"))])
            return self._all[key]

    def _work(self) -> None:
        while True:
            with self._lock:
                if not self._waiting:
                    self._busy = False
                    return
                key, sent = self._waiting.popleft()
                self._all[key] = replace(self._all[key], state="under_way")
            state = self._tried(key, sent)
            with self._lock:
                self._all[key] = replace(self._all[key], state=state)

    def _tried(self, key: str, sent: str) -> State:
        spawned = get_context("spawn")
        here, there = spawned.Pipe(duplex=False)
        process = spawned.Process(target=_told, args=(self._telling, sent, there), daemon=True)
        with self._lock:
            self._process = process
        process.start()
        there.close()
        until = time.monotonic() + self._seconds
        try:
            while here.poll(max(0.0, until - time.monotonic())):
                heard = here.recv()
                if heard is None:
                    return "done"
                with self._lock:
                    before = self._all[key]
                    self._all[key] = replace(before, heard=(*before.heard, heard)[:MOST_HEARD])
            return "too_long"
        except (EOFError, OSError):
            return "died"
        finally:
            process.kill()
            process.join()
            here.close()


def _told(telling: Telling, sent: str, to: Connection) -> None:
    """In the process: tell all that is found, and then that it is all."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who serves ends it
    os.nice(19)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for heard in telling(sent):
        to.send(heard)
    to.send(None)
