"""The page as the tests ask it: in this process without a browser, or served and driven by a Chromium."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest

from advisor.web.app import make_app
from advisor.web.work import Here
from tests.answer.test_judging import REASONER

AT = "http://127.0.0.1:8765"


class Visitor:
    """Somebody who asks for pages and sends forms, and keeps cookies."""

    def __init__(self, app: Any, runner: asyncio.Runner, **more: Any) -> None:
        self._runner = runner
        self._client = httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url=AT, **more)

    def get(self, address: str, **more: Any) -> httpx.Response:
        return self._runner.run(self._client.get(address, **more))

    def post(self, address: str, **more: Any) -> httpx.Response:
        return self._runner.run(self._client.post(address, **more))

    def answer(self, page: httpx.Response, said: Mapping[str, Any], way: str = "/home") -> httpx.Response:
        """Send the form of a question, and follow to the page after it."""
        sent = self.post(way, data={"case": hidden(page, "case"), "asked": hidden(page, "asked"), **said})
        return self.get(sent.headers["location"]) if sent.status_code == 303 else sent

    def close(self) -> None:
        self._runner.run(self._client.aclose())


def hidden(page: httpx.Response, name: str) -> str:
    """A hidden field of a page's first form that has it; empty if none has."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page.text)
    return found[1] if found else ""


def case_in(address: str) -> str:
    """What an address says of the floor."""
    return parse_qs(urlsplit(str(address)).query).get("case", [""])[0]


@pytest.fixture(scope="session")
def runner() -> Iterator[asyncio.Runner]:
    with asyncio.Runner() as made:
        yield made


@pytest.fixture(scope="session")
def app() -> Any:
    return make_app(Here(REASONER))


@pytest.fixture
def visitor(app: Any, runner: asyncio.Runner) -> Iterator[Visitor]:
    made = Visitor(app, runner)
    yield made
    made.close()
