"""Who works on a survey: this process, several, or the workers of a cluster."""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Any

from advisor.errors import AdvisorError, Fault
from explanations.wording import wording

_ADDRESS = re.compile(r"(?:(?:tcp|tls)://)?(?:[^\s/:\[\]]+|\[[\da-fA-F:.]+\]):\d{1,5}")


class NoCluster(AdvisorError):
    """The cluster cannot be worked on."""


def _leave_interrupts() -> None:
    """An interrupt is for the process that hands out the work; a worker ends with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def workers_of(count: int, cluster: str = "") -> Iterator[tuple[Executor | None, int]]:
    """Where a survey is worked on: this process, several, or the workers of a Dask scheduler.

    Raises:
        NoCluster: Dask is not installed, or nothing answers at the address.
    """
    if cluster:
        if not _ADDRESS.fullmatch(cluster):  # told here: the client tries for long, and falls over
            raise NoCluster(
                [Fault("--cluster", wording("survey.no_address", given=cluster), wording("survey.address"))]
            )
        try:
            from distributed import Client
        except ImportError:
            what, remedy = wording("survey.no_dask"), wording("survey.install_dask")
            raise NoCluster([Fault("--cluster", what, remedy=remedy)]) from None
        connect: Any = Client
        try:
            client = connect(cluster, timeout=10, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            said = str(error).splitlines()[0]
            what = wording("survey.no_scheduler", address=cluster, said=said)
            raise NoCluster([Fault("--cluster", what)]) from None
        with client:
            yield client.get_executor(), max(1, len(client.scheduler_info()["workers"]))
    elif count > 1:
        # Spawned, not forked: a fork would copy threads of NumPy and Arrow in any state.
        with ProcessPoolExecutor(count, get_context("spawn"), _leave_interrupts) as pool:
            yield pool, count
    else:
        yield None, 1
