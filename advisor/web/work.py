"""Where views run: in processes of their own, each request within a time, so that none holds the others.

Python computes one thing at a time in one process, and what computes cannot be stopped there. So each view runs in one
of a few `Contained` processes: a request that takes too long costs its process, which is replaced, and nobody else's
answer. The rule base is read once, and handed to them. What was answered lately is kept, and the same request asked
for by many at once is worked out once.
"""

from __future__ import annotations

import asyncio
import gc
import os
import resource
from collections import OrderedDict
from collections.abc import Callable
from contextvars import copy_context
from datetime import date
from typing import Any

from advisor.answer.judging import judge_of
from advisor.engines.contained import Contained, reasoner_here
from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import EngineFault
from advisor.errors import AdvisorError, Fault
from advisor.model.knowledge import RuleBase
from advisor.physics.validity import OutsideValidity
from advisor.web.asked import NOBODYS, Asked, Desk, House, Reply, View
from advisor.web.own import desk_with, worn
from advisor.web.rendering import refusal, trouble
from advisor.web.visit import brings, unpack
from explanations.errors import CannotExplain
from explanations.wording import speaking_of

SECONDS, SLOW_SECONDS = 30.0, 300.0  # for one view
MOST_WAITING, MOST_WAITING_LONG = 400, 4  # requests; more are sent away at once
MEMORY = 6 << 30  # bytes of the addresses of a process that works for minutes
MOST_KEPT = 32 << 20  # bytes of replies
WORKERS = 2


def answer(reasoner: Reasoner, view: View, asked: Asked, today: date, house: House = NOBODYS) -> Reply:
    """What a view says to a request; what a person can mend is a page too."""

    def spoken() -> Reply:
        with speaking_of("web"):
            try:
                return view(_desk(Desk(reasoner, today, house), asked), asked)
            except AdvisorError as error:
                return refusal(error.faults)
            except CannotExplain as error:
                return refusal((Fault("", str(error)),))
            except OutsideValidity as error:
                from advisor.errors import refusal as refused

                return refusal((Fault("", refused(*error.args)),))

    return copy_context().run(spoken)


def _desk(desk: Desk, asked: Asked) -> Desk:
    """The desk with what the visitor brought along, if anything."""
    case = asked.one("case") or getattr(asked.held, "case", "")  # a class holds its floor
    return desk_with(desk, unpack(case, desk.base).own) if brings(case) else desk


def _answer_here(view: View, asked: Asked, today: date, house: House) -> tuple[Reply, bool]:
    """What a view says, and whether this process has worn out."""
    return answer(reasoner_here(), view, asked, today, house), worn()


def _answer_slowly(view: View, asked: Asked, today: date, house: House) -> tuple[Reply, bool]:
    """The same at the lowest priority, within a bound of memory."""
    os.setpriority(os.PRIO_PROCESS, 0, 19)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    return _answer_here(view, asked, today, house)


def _ready() -> None:
    """Called once in each process, so that the first visitor waits neither for its start nor for the judge's.

    What is there by then stays: no search for garbage need walk through it in the middle of an answer.
    """
    judge_of(reasoner_here())
    gc.collect()
    gc.freeze()


class Kept:
    """The replies given last, by what was asked, up to so many bytes."""

    def __init__(self, most: int = MOST_KEPT) -> None:
        self._most, self._size = most, 0
        self._replies: OrderedDict[Any, Reply] = OrderedDict()

    def get(self, key: Any) -> Reply | None:
        """The reply to the same request, if it is still kept."""
        if key in self._replies:
            self._replies.move_to_end(key)
        return self._replies.get(key)

    def put(self, key: Any, reply: Reply) -> None:
        """Keep a reply; the oldest go where it gets too much."""
        self._replies[key] = reply
        self._size += len(reply.body)
        while self._size > self._most:
            _, old = self._replies.popitem(last=False)
            self._size -= len(old.body)


class Line:
    """Requests that wait for one of a few processes, and these."""

    def __init__(
        self,
        base: RuleBase,
        answering: Callable[[View, Asked, date, House], tuple[Reply, bool]],
        processes: int,
        seconds: float,
        most_waiting: int,
    ) -> None:
        """A line of which no process is started yet.

        Args:
            base: the rule base, handed to each process.
            answering: a function of a module: what a process does with a request, and whether it has worn out by it.
            processes: how many.
            seconds: after which a request costs its process.
            most_waiting: requests; more are sent away at once.
        """
        self._answering, self._seconds, self._most_waiting = answering, seconds, most_waiting
        self.all = [Contained(base) for _ in range(processes)]
        self._free: asyncio.Queue[Contained] = asyncio.Queue()
        for each in self.all:
            self._free.put_nowait(each)
        self._waiting = 0
        self._starting: set[asyncio.Task[None]] = set()
        self._ended = False

    async def run(self, view: View, asked: Asked, today: date, house: House) -> Reply:
        """Answer one request, as soon as a process is free."""
        if self._waiting >= self._most_waiting:
            return trouble("busy", 503, asked.path)
        self._waiting += 1
        try:
            contained = await self._free.get()
        finally:
            self._waiting -= 1
        try:
            arguments = self._answering, view, asked, today, house
            reply, is_worn = await asyncio.to_thread(lambda: contained.run(*arguments, within=self._seconds))
        except EngineFault:
            self._replace(contained)
            return trouble("failed", 500, asked.path)
        except BaseException:
            self._free.put_nowait(contained)
            raise
        if is_worn:
            self._replace(contained)
        else:
            self._free.put_nowait(contained)
        return reply

    def _replace(self, contained: Contained) -> None:
        if self._ended:
            return
        self._starting.add(task := asyncio.ensure_future(self._started_again(contained)))
        task.add_done_callback(self._starting.discard)

    async def _started_again(self, contained: Contained) -> None:
        """Give a process back once its successor is ready, so that its start is nobody's time."""
        try:
            await asyncio.to_thread(contained.__exit__)
            await asyncio.to_thread(contained.run, _ready)
        finally:
            self._free.put_nowait(contained)

    async def start(self) -> None:
        """Start the processes."""
        await asyncio.gather(*(asyncio.to_thread(each.run, _ready) for each in self.all))

    async def end(self) -> None:
        """End them, whatever they are at."""
        self._ended = True
        for each in self.all:
            await asyncio.to_thread(each.stop)


class Workers:
    """The processes that answer requests. Use it as an asynchronous context."""

    def __init__(
        self, base: RuleBase, workers: int = WORKERS, seconds: float = SECONDS, house: House = NOBODYS
    ) -> None:
        self.base, self._house = base, house
        self._quick = Line(base, _answer_here, workers, seconds, MOST_WAITING)
        self._slow = Line(base, _answer_slowly, 1, SLOW_SECONDS, MOST_WAITING_LONG)

    async def __aenter__(self) -> Workers:
        """Start those for most requests; that for slow ones starts when it is first needed."""
        await self._quick.start()
        return self

    async def __aexit__(self, *_: object) -> None:
        """End them."""
        await self._quick.end()
        await self._slow.end()

    async def run(self, view: View, asked: Asked, today: date, slow: bool = False) -> Reply:
        """Answer one request; one that takes minutes waits for no other, and no other for it."""
        return await (self._slow if slow else self._quick).run(view, asked, today, self._house)


class Here:
    """Answers in this process, one at a time: for tests."""

    def __init__(self, reasoner: Reasoner, house: House = NOBODYS) -> None:
        self.base, self._reasoner, self._house = reasoner.base, reasoner, house
        self._lock = asyncio.Lock()

    async def __aenter__(self) -> Here:
        """Nothing to start."""
        return self

    async def __aexit__(self, *_: object) -> None:
        """Nothing to end."""

    async def run(self, view: View, asked: Asked, today: date, _: bool = False) -> Reply:
        """Answer one request."""
        async with self._lock:
            return await asyncio.to_thread(answer, self._reasoner, view, asked, today, self._house)


class Answering:
    """Requests to replies: what was asked before is not worked out again, what many ask at once is worked out once."""

    def __init__(self, workers: Workers | Here, today: Callable[[], date] = date.today) -> None:
        self.workers, self._today = workers, today
        self._kept = Kept()
        self._under_way: dict[Any, asyncio.Task[Reply]] = {}

    async def reply(self, view: View, asked: Asked, kept: bool, slow: bool = False) -> Reply:
        """The reply to a request.

        Args:
            view: what answers it.
            asked: the request.
            kept: whether the same request has the same reply all day.
            slow: whether it may take minutes.
        """
        today = self._today()
        if not kept or asked.files:
            return await asyncio.shield(asyncio.ensure_future(self.workers.run(view, asked, today, slow)))
        key = (asked.method, asked.path, asked.token, asked.held, today, tuple(sorted(asked.fields.items())))
        if (known := self._kept.get(key)) is not None:
            return known
        if key not in self._under_way:
            self._under_way[key] = asyncio.ensure_future(self.workers.run(view, asked, today, slow))
            self._under_way[key].add_done_callback(lambda done: self._done(key, done))
        return await asyncio.shield(self._under_way[key])

    def _done(self, key: Any, done: asyncio.Task[Reply]) -> None:
        del self._under_way[key]
        if not done.cancelled() and done.exception() is None and done.result().status < 500:
            self._kept.put(key, done.result())
