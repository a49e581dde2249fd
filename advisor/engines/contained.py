"""The engine in a process of its own, for whoever must outlive it: an abort there is an error here.

durable-rules is a C library that can abort its process, and frees no network. A server asks a `Contained` instead of
a `Reasoner`: a case that kills the process fails alone, the next one starts another, and after some thousand cases the
process is replaced, with all the memory that it held.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from threading import Lock
from typing import Any, TypeVar

from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import EngineFault
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.trace import Trace

CASES = 5000  # asked of one process before the next takes its place

Answer = TypeVar("Answer")
_here: dict[str, Reasoner] = {}  # in the process of the engine: the one reasoner


class Contained:
    """A rule base made ready to reason in another process; safe to call from several threads. Use it as a context."""

    def __init__(self, base: RuleBase, cases: int = CASES, seed: int = 0) -> None:
        self.base, self.seed, self._cases = base, seed, cases
        self._lock = Lock()
        self._process: ProcessPoolExecutor | None = None

    def __enter__(self) -> Contained:
        """The engine itself; its process starts with the first case."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the process."""
        self._end(self._process)

    def reason(
        self, given: Mapping[str, Value], like: Mapping[str, Value] | None = None
    ) -> tuple[dict[str, Value], Trace]:
        """Run one case, as `Reasoner.reason` does.

        Raises:
            EngineFault: the engine failed, or its process died.
        """
        return self.run(_reason, given, like)

    def run(self, function: Callable[..., Answer], *arguments: Any, within: float | None = None) -> Answer:
        """Call a function of a module in the engine's process.

        Args:
            function: what to call.
            arguments: what it takes.
            within: seconds after which the process is killed; without end if not given.

        Raises:
            EngineFault: the process died, or was killed; another starts with the next call.
        """
        with self._lock:
            process = self._process = self._process or self._start()
        try:
            return process.submit(function, *arguments).result(within)
        except TimeoutError:
            self._stop(process)
            raise EngineFault(f"the engine's process took more than {within} s and was ended") from None
        except BrokenProcessPool:
            self._end(process)
            raise EngineFault("the engine's process died in this case; the next one starts another") from None

    def stop(self) -> None:
        """End the process, whatever it is at; who waits for it gets an `EngineFault`."""
        if process := self._process:
            self._stop(process)

    def _stop(self, process: ProcessPoolExecutor) -> None:
        for each in list((process._processes or {}).values()):  # an executor has no other way to stop what it does
            each.kill()
        self._end(process)

    def _start(self) -> ProcessPoolExecutor:
        made_ready = self.base, self.seed
        return ProcessPoolExecutor(
            1, get_context("spawn"), initializer=_prepare, initargs=made_ready, max_tasks_per_child=self._cases
        )

    def _end(self, process: ProcessPoolExecutor | None) -> None:
        with self._lock:
            if process is None or self._process is not process:
                return  # another thread ends it
            self._process = None
        process.shutdown(cancel_futures=True)


def reasoner_here() -> Reasoner:
    """The one reasoner of the engine's process, for a function that is called in it."""
    return _here["reasoner"]


def _prepare(base: RuleBase, seed: int) -> None:
    _here["reasoner"] = Reasoner(base, seed)


def _reason(given: Mapping[str, Value], like: Mapping[str, Value] | None) -> tuple[dict[str, Value], Trace]:
    return _here["reasoner"].reason(given, like)
