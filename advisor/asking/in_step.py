"""The engine kept in step with a case in the making.

Its session is told every fact as soon as it is settled, a worked-out one as soon as all it takes is, so after an answer
only what is new fires. An answer taken back or changed opens a new session.
"""

from __future__ import annotations

from collections.abc import Container, Mapping

from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import Session
from advisor.model.program import GroundRule, unbound
from advisor.model.values import Value


class InStep:
    """One case, told little by little.

    Attributes:
        fired: the ground rules that fire for what is settled, each after what it rests on.
    """

    def __init__(self, reasoner: Reasoner) -> None:
        self.fired: list[GroundRule] = []
        self._reasoner = reasoner
        self._session: Session | None = None
        self._told: dict[str, Value] = {}

    def close(self) -> None:
        """Free the engine's session."""
        if self._session:
            self._session.__exit__()
            self._session = None

    def sync(self, memory: Mapping[str, Value], declined: Container[str]) -> tuple[list[GroundRule], bool]:
        """Tell the engine what is settled now.

        Args:
            memory: the case's working memory.
            declined: the facts that will not be known.

        Returns:
            What fires and did not before; whether a new session was opened, for something told is no longer so.
        """
        wanted = _settled(memory, declined)
        afresh = any(wanted.get(name) != value for name, value in self._told.items())
        if afresh:
            self.close()
        if self._session is None:
            self._session, self._told, before = self._reasoner.session().__enter__(), {}, self.fired
            self.fired = self._session.tell(wanted)
            news = [rule for rule in self.fired if rule not in before]
        else:
            news = self._session.tell({name: value for name, value in wanted.items() if name not in self._told})
            self.fired += news
        self._told = wanted
        return news, afresh


def _settled(memory: Mapping[str, Value], declined: Container[str]) -> dict[str, Value]:
    """The facts that no further question is expected to change: known, assumed, or declared unknown."""

    def is_settled(name: str) -> bool:
        value = memory[name]
        if value.inputs:
            return all(is_settled(each) for each in value.inputs)
        return value.known or unbound(name)[0] in declined

    return {name: value for name, value in memory.items() if is_settled(name)}
