"""The application: the ways' routes, what is served as it is, and the door where a secret is set."""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import AsyncIterator, Collection, Iterable
from contextlib import asynccontextmanager
from dataclasses import replace
from secrets import token_urlsafe
from urllib.parse import parse_qsl

from starlette.applications import Starlette
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route as Address
from starlette.types import ASGIApp

from advisor.errors import AdvisorError
from advisor.web import api, classroom, counter, home, keeper, lesson, reasons, start, trying, whatif, wrong
from advisor.web.asked import Asked, Reply, Route
from advisor.web.classes import Classes
from advisor.web.guard import DOOR, KEY, MOST_SENT, Guard, key_of, response_of, token_of
from advisor.web.held import Held
from advisor.web.rendering import page, refusal, static_files, trouble
from advisor.web.trials import Trials
from advisor.web.work import Answering, Here, Workers

ROUTES: tuple[Route, ...] = (
    *start.ROUTES,
    *home.ROUTES,
    *wrong.ROUTES,
    *counter.ROUTES,
    *whatif.ROUTES,
    *reasons.ROUTES,
    *lesson.ROUTES,
    *classroom.ROUTES,
    *keeper.ROUTES,
    *trying.ROUTES,
    *api.ROUTES,
)
HERE = ("127.0.0.1", "localhost", "::1")
MOST_FIELDS, MOST_FILES = 400, 2
VISITOR = "slab_visitor"
# What is said, and the status of it, where the framework refuses a request; a form that it cannot read is too large.
REFUSED = {
    400: ("too_much", 413),
    405: ("method", 405),
    408: ("too_slow", 408),
    413: ("too_much", 413),
}
ALWAYS = {"Cache-Control": "public, max-age=31536000, immutable"}  # another content has another address


def make_app(
    workers: Workers | Here, hosts: Collection[str] = HERE, secret: str = "", ways: Iterable[Route] = ROUTES
) -> ASGIApp:
    """The application.

    Args:
        workers: where views run.
        hosts: names under which it may be spoken to.
        secret: without it nobody comes in; empty where everybody may.
        ways: the addresses of all ways.
    """
    answering, held = Answering(workers), Held(Classes(), Trials(trying.telling))
    sealed = token_urlsafe(32)  # of this run: tokens of forms do not outlive it

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        async with workers:
            yield
        held.trials.close()

    def address(route: Route) -> Address:
        async def endpoint(request: Request) -> Response:
            try:
                return await _answered(request, route, answering, held, sealed)
            except asyncio.CancelledError:  # what is still under way when the server ends
                return response_of(trouble("ended", 503, request.url.path))

        return Address(route.path, endpoint, methods=[route.method], name=f"{route.method} {route.path}")

    async def door(request: Request) -> Response:
        return await _door(request, secret)

    routes = [address(each) for each in ways]
    routes += [Address("/static/{name:path}", _static), Address(DOOR, door, methods=["GET", "POST"])]
    handlers = {HTTPException: _no_page, Exception: _failed}
    return Guard(Starlette(routes=routes, exception_handlers=handlers, lifespan=lifespan), hosts, secret)


async def _answered(request: Request, route: Route, answering: Answering, held: Held, sealed: str) -> Response:
    said: list[tuple[str, str]] = []
    body = b""
    files: dict[str, tuple[str, bytes]] = {}
    if route.as_sent:
        body = await request.body()
    elif request.method == "POST":
        async with request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=MOST_SENT) as form:
            said = [(name, each) for name, each in form.multi_items() if isinstance(each, str)]
            for name, sent in form.multi_items():
                if isinstance(sent, UploadFile):
                    files[name] = (sent.filename or "", await sent.read())
    else:
        query = request.scope["query_string"].decode("latin-1")
        try:
            said = parse_qsl(query, keep_blank_values=True, max_num_fields=MOST_FIELDS)
        except ValueError:
            return response_of(trouble("address", 414, request.url.path))
    fields: dict[str, tuple[str, ...]] = {}
    for name, value in said:
        fields[name] = (*fields.get(name, ()), value)
    visitor, token = "", ""
    if route.changes:
        visitor = request.cookies.get(VISITOR, "") or token_urlsafe(16)
        token = token_of(sealed, visitor)
        sent_back = next(iter(fields.get("token", ())), "")
        if request.method == "POST" and not hmac.compare_digest(sent_back.encode(), token.encode()):
            return response_of(trouble("token", 403, request.url.path))
    asked = Asked(request.url.path, fields, request.method, files, token, body)
    response = response_of(await _reply(route, asked, answering, held))
    if visitor and not request.cookies.get(VISITOR):
        _keep(response, request, VISITOR, visitor)
    return response


async def _reply(route: Route, asked: Asked, answering: Answering, held: Held) -> Reply:
    if route.at_hand is not None:
        try:
            known = route.at_hand(held, asked)
        except AdvisorError as error:
            return refusal(error.faults)
        if isinstance(known, Reply):
            return known
        asked = replace(asked, held=known)
    assert route.view is not None, "what is at hand answers alone"
    kept = route.kept and not (route.changes and asked.method == "POST")
    return await answering.reply(route.view, asked, kept, route.slow)


def _keep(response: Response, request: Request, name: str, value: str) -> None:
    secure = request.url.scheme == "https"
    response.set_cookie(name, value, httponly=True, samesite="strict", secure=secure)


async def _static(request: Request) -> Response:
    found = static_files().get(request.path_params["name"])
    if found is None:
        return response_of(trouble("no_page", 404, request.url.path))
    return Response(found[0], media_type=found[1], headers=ALWAYS)


async def _door(request: Request, secret: str) -> Response:
    """Where the secret is asked for, and given a key that the browser keeps."""
    if request.method == "GET":
        return response_of(page("door.html", wrong=False))
    async with request.form(max_fields=4) as form:
        said = form.get("secret")
    if not secret or not isinstance(said, str) or not hmac.compare_digest(said.encode(), secret.encode()):
        return response_of(page("door.html", 403, wrong=True))
    response = response_of(Reply(status=303, to="/"))
    _keep(response, request, KEY, key_of(secret))
    return response


async def _no_page(request: Request, error: Exception) -> Response:
    what, status = REFUSED.get(error.status_code if isinstance(error, HTTPException) else 404, ("no_page", 404))
    return response_of(trouble(what, status, request.url.path))


async def _failed(request: Request, _: Exception) -> Response:
    return response_of(trouble("failed", 500, request.url.path))
