"""What is not let in, what every reply says to the browser, and that one request holds no other."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import date

import pytest

from advisor.errors import BadRequest
from advisor.validation.loading import read_rulebase
from advisor.web.app import make_app
from advisor.web.asked import Asked, Desk, Reply, Route
from advisor.web.guard import MOST_SENT
from advisor.web.serving import check_address, read_secret
from advisor.web.work import Answering, Here, Kept, Workers
from tests.answer.test_judging import REASONER
from tests.engines.test_contained import SMALL
from tests.web.conftest import Visitor
from tests.web.views import dying, nice, quick, slow

SECRET = "a word of some length"


def test_every_reply_forbids_script_and_style_from_anywhere_else(visitor: Visitor) -> None:
    for address in ("/", "/nothing", "/static/style.css?v=1", "/home?case=x"):
        headers = visitor.get(address).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"]


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "[", ""])
def test_another_name_is_not_answered(visitor: Visitor, host: str) -> None:
    assert visitor.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"sec-fetch-site": "same-origin"}, 422),
        ({"origin": "http://127.0.0.1:8765"}, 422),
        ({}, 422),
    ],
)
def test_only_forms_of_its_own_pages_are_taken(visitor: Visitor, headers: dict[str, str], status: int) -> None:
    sent = visitor.post("/home", data={"asked": "opening:reason"}, headers=headers)
    assert sent.status_code == status


def test_too_much_is_not_read(visitor: Visitor) -> None:
    assert visitor.post("/home", data={"answer": "7" * MOST_SENT}).status_code == 413
    assert visitor.post("/home", data={f"f{n}": "x" for n in range(500)}).status_code == 413
    assert visitor.get(f"/home?case={'A' * 15000}").status_code == 414
    assert visitor.get("/home?" + "&".join(f"f{n}=x" for n in range(500))).status_code == 414
    assert visitor.post("/home/said").status_code == 405


def pieces() -> Iterator[bytes]:
    for _ in range(2 + MOST_SENT // 50_000):
        yield b"a=" + b"7" * 50_000 + b"&"


def test_too_much_in_pieces_is_not_read_either(app: object, runner: asyncio.Runner) -> None:
    async def sent() -> int:
        import httpx

        async def body():
            for each in pieces():
                yield each

        transport = httpx.ASGITransport(app)  # type: ignore[arg-type]
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
            form = {"content-type": "application/x-www-form-urlencoded"}
            return (await client.post("/home", content=body(), headers=form)).status_code

    assert runner.run(sent()) == 413


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static//etc/passwd",
        "/static/..%2f..%2fapp.py",
        "/example?floor=/etc/passwd",
    ],
)
def test_no_file_of_the_machine_is_reached(visitor: Visitor, path: str) -> None:
    found = visitor.get(path)
    assert found.status_code in (404, 422)
    assert "root:" not in found.text
    assert "import" not in found.text


def test_where_a_secret_is_set_nobody_comes_in_without_it(runner: asyncio.Runner) -> None:
    outside = Visitor(make_app(Here(REASONER), secret=SECRET), runner)
    assert outside.get("/").headers["location"] == "/door"
    assert outside.get("/home").status_code == 303
    assert outside.get("/", headers={"authorization": "Bearer wrong"}).status_code == 303
    assert outside.get("/", headers={"authorization": f"Bearer {SECRET}"}).status_code == 200
    assert outside.post("/door", data={"secret": "wrong"}).status_code == 403
    let_in = outside.post("/door", data={"secret": SECRET})
    kept = let_in.headers["set-cookie"]
    assert SECRET not in kept
    assert "HttpOnly" in kept
    assert "SameSite=strict" in kept
    assert outside.get("/").status_code == 200
    outside.close()


def test_others_are_listened_to_only_with_a_secret(tmp_path) -> None:
    for address in ("127.0.0.1", "localhost", "::1"):
        check_address(address, "")
    for address in ("0.0.0.0", "::", "192.168.1.2"):
        check_address(address, SECRET)
        with pytest.raises(BadRequest, match="secret"):
            check_address(address, "")
    with pytest.raises(BadRequest, match="no address"):
        check_address("everybody", SECRET)
    (tmp_path / "short").write_text("short\n")
    with pytest.raises(BadRequest, match="fewer"):
        read_secret(tmp_path / "short")
    with pytest.raises(BadRequest, match="text file"):
        read_secret(tmp_path / "none")
    (tmp_path / "long").write_text(f"{SECRET}\n")
    assert read_secret(tmp_path / "long") == SECRET


def form(desk: Desk, asked: Asked) -> Reply:
    return Reply(asked.token.encode())


def test_what_changes_something_wants_the_token_of_the_same_visitor(runner: asyncio.Runner) -> None:
    ways = (Route("/form", form, changes=True), Route("/form", form, "POST", changes=True))
    app = make_app(Here(REASONER), ways=ways)
    one, other = Visitor(app, runner), Visitor(app, runner)
    token, others = one.get("/form").text, other.get("/form").text
    assert token != others
    assert one.post("/form", data={"token": token}).status_code == 200
    assert one.post("/form", data={"token": others}).status_code == 403
    assert one.post("/form", data={}).status_code == 403
    for each in (one, other):
        each.close()


# ---- one request holds no other --------------------------------------------------------------------------------


def test_what_takes_too_long_or_dies_costs_nobody_else_an_answer(runner: asyncio.Runner) -> None:
    async def all_at_once() -> None:
        async with Workers(read_rulebase(SMALL), workers=2, seconds=5.0) as workers:
            held = asyncio.ensure_future(workers.run(slow, Asked("/"), date.today()))
            await asyncio.sleep(0.1)
            answered = [await workers.run(quick, Asked("/"), date.today()) for _ in range(3)]
            assert not held.done()
            assert {each.status for each in answered} == {200}
            assert len({each.body for each in answered}) == 1
            assert (await held).status == 500
            assert (await workers.run(dying, Asked("/"), date.today())).status == 500
            both = await asyncio.gather(*(workers.run(quick, Asked("/"), date.today()) for _ in range(6)))
            assert {each.status for each in both} == {200}

    runner.run(all_at_once())


def test_what_takes_minutes_waits_in_a_line_of_its_own_at_the_lowest_priority(runner: asyncio.Runner) -> None:
    async def asked() -> None:
        async with Workers(read_rulebase(SMALL), workers=1) as workers:
            assert (await workers.run(nice, Asked("/"), date.today(), True)).body == b"19"
            assert (await workers.run(nice, Asked("/"), date.today())).body != b"19"
            held = [asyncio.ensure_future(workers.run(slow, Asked("/"), date.today(), True)) for _ in range(5)]
            await asyncio.sleep(0.1)
            assert (await workers.run(slow, Asked("/"), date.today(), True)).status == 503
            assert {(await workers.run(quick, Asked("/"), date.today())).status for _ in range(3)} == {200}
            for each in held[1:]:
                each.cancel()
        assert (await held[0]).status == 500  # ended with the server, not waited for

    runner.run(asked())


class Counted:
    """Workers that count what they are asked."""

    def __init__(self) -> None:
        self.asked = 0

    async def run(self, view: object, asked: Asked, today: date, slow: bool = False) -> Reply:
        self.asked += 1
        await asyncio.sleep(0.01)
        return Reply(b"x")


def test_what_many_ask_at_once_is_worked_out_once_and_what_is_sent_is_never_kept(runner: asyncio.Runner) -> None:
    async def asking() -> None:
        workers = Counted()
        answering = Answering(workers, lambda: date(2026, 11, 28))  # type: ignore[arg-type]
        one, two = Asked("/", {"case": ("a",)}), Asked("/", {"case": ("b",)})
        await asyncio.gather(*(answering.reply(quick, one, True) for _ in range(50)))
        assert workers.asked == 1
        await answering.reply(quick, one, True)
        await answering.reply(quick, two, True)
        assert workers.asked == 2
        for _ in range(2):
            await answering.reply(quick, one, False)
        assert workers.asked == 4

    runner.run(asking())


def test_only_so_much_is_kept() -> None:
    kept = Kept(most=100)
    for n in range(10):
        kept.put(n, Reply(b"x" * 30))
    assert [n for n in range(10) if kept.get(n)] == [7, 8, 9]
