"""The verb: it listens on this machine, answers, ends with Ctrl-C; no sentence stands in its modules or templates."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from tests.sentences import sentences

WEB = Path(__file__).parents[2] / "advisor" / "web"
ADVISOR = [sys.executable, "-m", "advisor"]


@contextmanager
def served() -> Iterator[tuple[subprocess.Popen[str], str, httpx.Client]]:
    """A server, where it is, and somebody who asks it."""
    with subprocess.Popen(
        [*ADVISOR, "serve", "--port", "0"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        at = re.search(r"http://127\.0\.0\.1:\d+/", server.stdout.readline())
        assert at is not None
        with httpx.Client(transport=httpx.HTTPTransport(retries=20), timeout=300) as client:
            yield server, at[0], client


def ended(server: subprocess.Popen[str]) -> None:
    """Tell it to end, which it does without a word."""
    server.send_signal(signal.SIGINT)
    _, errors = server.communicate(timeout=300)
    assert server.returncode == 130
    assert "Traceback" not in errors


def test_it_listens_answers_and_ends_when_told_to() -> None:
    with served() as (server, at, client):
        assert client.get(at).status_code == 200
        asked = client.get(f"{at}home")
        assert asked.status_code == 200
        assert "server" not in asked.headers
        ended(server)


def test_it_ends_when_told_to_in_the_midst_of_what_takes_minutes() -> None:
    with served() as (server, at, client), ThreadPoolExecutor() as pool:
        assert client.get(at).status_code == 200
        long = pool.submit(client.get, f"{at}api/v1/lessons")
        time.sleep(1)
        ended(server)
        assert long.result().status_code == 503


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--address", "0.0.0.0"], "State a secret"),
        (["--address", "everybody"], "no address"),
        (["--secret", "no_such_file"], "text file"),
    ],
)
def test_it_refuses_in_words_before_it_reads_any_rule(options: list[str], told: str) -> None:
    done = subprocess.run([*ADVISOR, "serve", *options], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert told in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("path", sorted(WEB.rglob("*.py")), ids=lambda path: path.stem)
def test_no_sentence_stands_in_python(path: Path) -> None:
    assert list(sentences(path)) == []


@pytest.mark.parametrize(
    "path", sorted((*WEB.rglob("*.html"), *WEB.glob("templates/**/*.svg"))), ids=lambda path: path.stem
)
def test_no_word_and_no_script_or_style_stands_in_a_template(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\bstyle=|\son\w+=", text)
    read = re.sub(r"<code>.*?</code>", " ", text, flags=re.DOTALL)  # what one types is no word
    bare = re.sub(r"\{[%{#].*?[%}#]\}|<[^>]*>", " ", read, flags=re.DOTALL)
    assert re.findall(r"[A-Za-z]{2,}", bare) == []
