"""One inquiry for all tests of causes: the networks are made once."""

from __future__ import annotations

import pytest

from advisor.asking.causes import Inquiry
from advisor.engines.reasoning import Reasoner
from advisor.validation.loading import load_rulebase


@pytest.fixture(scope="session")
def inquiry() -> Inquiry:
    return Inquiry(load_rulebase())


@pytest.fixture(scope="session")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())
