"""What the serving process holds of its visitors, since it must outlive a request: bounded in number, size and time."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.web.classes import Classes
from advisor.web.trials import Trials


@dataclass(frozen=True)
class Held:
    """All of it."""

    classes: Classes
    trials: Trials
