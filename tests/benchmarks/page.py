"""Measures the page as it is served: many browsers at once, and the memory of the server after many requests.

Prints times, asserts nothing. Each browser goes the way at home as far as `STEPS`, with one of a few floors, waiting a
while between its answers as people do; so some ask what another has just asked, and some what nobody has. Run behind
``make bench``; `python -m tests.benchmarks.page BROWSERS REQUESTS` for other numbers.
"""

from __future__ import annotations

import asyncio
import os
import re
import subprocess
import sys
import time
from html import unescape
from pathlib import Path
from random import Random
from urllib.parse import parse_qs, urlsplit

import httpx

BROWSERS, REQUESTS = 200, 20_000
STEPS, WAITS = 6, (0.5, 3.0)  # answers of each browser; seconds between them
FLOORS = 12  # different ways to answer


def field(text: str, name: str) -> str:
    """A hidden field of a page's form."""
    found = re.search(rf'name="{name}" value="([^"]*)"', text)
    return unescape(found[1]) if found else ""


def answer_to(text: str, chance: Random) -> dict[str, str | list[str]]:
    """An answer that the page offers: any one of the list, some of the boxes, else that nobody knows."""
    buttons = re.findall(r'name="answer" value="([^"]+)">', text)
    boxes = re.findall(r'name="picked" value="([^"]+)"', text)
    if buttons:
        return {"answer": unescape(chance.choice(buttons))}
    return {"picked": chance.sample(boxes, 2)} if boxes else {"dont_know": "yes"}


async def browse(client: httpx.AsyncClient, number: int, took: list[float], wrong: list[int]) -> None:
    """One browser: it answers, is sent on, and reads the next page; both together count as one answer."""
    chance, waits = Random(number % FLOORS), Random(number)
    await asyncio.sleep(waits.uniform(0, WAITS[1]))
    page = await client.get("/home")
    for _ in range(STEPS):
        await asyncio.sleep(waits.uniform(*WAITS))
        sent = {"case": field(page.text, "case"), "asked": field(page.text, "asked"), **answer_to(page.text, chance)}
        if not sent["asked"]:
            return
        start = time.perf_counter()
        page = await client.post("/home", data=sent, follow_redirects=True)
        took.append(time.perf_counter() - start)
        if page.status_code != 200:
            wrong.append(page.status_code)


async def many(at: str, browsers: int) -> tuple[list[float], list[int]]:
    """So many browsers at once: seconds of each answer, and what was refused."""
    took: list[float] = []
    wrong: list[int] = []
    limits = httpx.Limits(max_connections=browsers, max_keepalive_connections=browsers)
    async with httpx.AsyncClient(base_url=at, limits=limits, timeout=120) as client:
        await asyncio.gather(*(browse(client, number, took, wrong) for number in range(browsers)))
    return took, wrong


async def again_and_again(at: str, requests: int) -> None:
    """So many requests, each for a page of its own address, fifty at a time."""
    async with httpx.AsyncClient(base_url=at, timeout=120) as client:
        begun = await client.get("/example?floor=untested_garage&way=wrong")
        case = parse_qs(urlsplit(begun.headers["location"]).query)["case"][0]
        await client.get(f"/home/said?case={case}")
        for first in range(0, requests, 50):
            pages = (f"/home?case=x{n}" if n % 10 else f"/static/style.css?v={n}" for n in range(first, first + 50))
            await asyncio.gather(*map(client.get, pages))


def memory(process: int) -> float:
    """Memory of a process and of those that it started [MB]."""
    own = int(Path(f"/proc/{process}/statm").read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
    children = [path.read_text(encoding="ascii").split() for path in Path(f"/proc/{process}/task").glob("*/children")]
    return own + sum(memory(int(each)) for some in children for each in some)


def main(browsers: int = BROWSERS, requests: int = REQUESTS) -> None:
    """Serve, measure, print."""
    with subprocess.Popen(
        [sys.executable, "-m", "advisor", "serve", "--port", "0"], stdout=subprocess.PIPE, text=True
    ) as server:
        assert server.stdout is not None
        at = server.stdout.readline().split("at ")[1].split(" ")[0]
        try:
            with httpx.Client(transport=httpx.HTTPTransport(retries=30), timeout=120) as first:
                first.get(at)
            for run in ("first", "second"):
                took, wrong = asyncio.run(many(at, browsers))
                took.sort()
                middle, late = took[len(took) // 2], took[int(len(took) * 0.99)]
                told = f"median {middle * 1e3:.0f} ms, 99 % under {late * 1e3:.0f} ms"
                print(f"{browsers} browsers, {run} time: {len(took)} answers, {told}, refused {len(wrong)}")
            before = memory(server.pid)
            start = time.perf_counter()
            asyncio.run(again_and_again(at, requests))
            a_second = requests / (time.perf_counter() - start)
            held = f"{before:.0f} MB before, {memory(server.pid):.0f} MB after"
            print(f"{requests} requests, {a_second:.0f} a second: {held}")
        finally:
            server.terminate()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
