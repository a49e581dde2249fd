"""What is refused before any view is asked, and the headers of every reply.

Only known hosts are answered (so that no page elsewhere can speak to this one under another name), what another site's
page sends is refused, a request has a size and a time, and where a secret is set nobody without it comes in.
"""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Collection
from hashlib import sha256
from http.cookies import SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from advisor.web.asked import Reply
from advisor.web.problems import for_programs
from advisor.web.rendering import trouble

MOST_SENT = 256 << 10  # bytes of a request's body
SECONDS_TO_SEND = 15.0
LONGEST_ADDRESS = 14_000
DOOR, KEY = "/door", "slab_key"
CLASS = "/class/in"  # asks for the class's own word, which a pupil has in place of the secret
POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
PICTURE_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox"  # a drawing styles itself, and does no more
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # with "no-referrer" a browser would not say where a form comes from
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


def key_of(secret: str) -> str:
    """What a browser keeps that was let in: not the secret itself."""
    return hmac.new(secret.encode(), b"let in", sha256).hexdigest()


def token_of(secret: str, visitor: str) -> str:
    """What a form must send back that changes something, for one visitor."""
    return hmac.new(secret.encode(), visitor.encode(), sha256).hexdigest()[:32]


def response_of(reply: Reply) -> Response:
    """A reply as the server sends it."""
    headers = {"Location": reply.to} if reply.to else {}
    if reply.saved_as:
        headers["Content-Disposition"] = f'attachment; filename="{reply.saved_as}"'
    return Response(reply.body, reply.status, headers, media_type=reply.kind)


class Guard:
    """The outermost layer of the server."""

    def __init__(self, app: ASGIApp, hosts: Collection[str], secret: str = "") -> None:
        """Put it around an application.

        Args:
            app: what is behind it.
            hosts: the names, without port, under which this server may be spoken to.
            secret: without it nobody comes in; empty where everybody may.
        """
        self.app, self._hosts, self._secret = app, frozenset(hosts), secret

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refused = self._refused(scope, headers)
        if refused is not None:
            await response_of(refused)(scope, receive, _with_headers(send))
            return
        await self.app(scope, _limited(receive), _with_headers(send))

    def _refused(self, scope: Scope, headers: Headers) -> Reply | None:
        if _name_of(headers.get("host", "")) not in self._hosts:
            return trouble("host", 421, scope["path"])
        if len(scope.get("raw_path") or b"") + len(scope["query_string"]) > LONGEST_ADDRESS:
            return trouble("address", 414, scope["path"])
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return trouble("method", 405, scope["path"])
        if scope["method"] == "POST" and not _same_site(headers):
            return trouble("elsewhere", 403, scope["path"])
        if headers.get("content-length", "0").isdigit() and int(headers.get("content-length", "0")) > MOST_SENT:
            return trouble("too_much", 413, scope["path"])
        if self._secret and scope["path"] not in (DOOR, CLASS) and not scope["path"].startswith("/static/"):
            if self._let_in(headers):
                return None
            return trouble("secret", 401, scope["path"]) if for_programs(scope["path"]) else Reply(status=303, to=DOOR)
        return None

    def _let_in(self, headers: Headers) -> bool:
        """Whether a visitor has the key, or a proxy gives its word: the secret itself, as a bearer's."""
        cookies = SimpleCookie(headers.get("cookie", ""))
        has_key = KEY in cookies and hmac.compare_digest(cookies[KEY].value, key_of(self._secret))
        word = headers.get("authorization", "").encode()
        return has_key or hmac.compare_digest(word, f"Bearer {self._secret}".encode())


def _name_of(host: str) -> str:
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _same_site(headers: Headers) -> bool:
    """Whether what is sent comes from a page of this server, or from no page at all (a program)."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None:
        return site in ("same-origin", "none")
    return origin is None or urlsplit(origin).netloc == headers.get("host", "")


def _limited(receive: Receive) -> Receive:
    """What is received, as far as it comes in time and is not too much; else the application refuses it."""
    size, whole = 0, False

    async def limited() -> Message:
        nonlocal size, whole
        try:
            message = await asyncio.wait_for(receive(), None if whole else SECONDS_TO_SEND)
        except TimeoutError:
            raise HTTPException(408) from None
        size += len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if size > MOST_SENT:
            raise HTTPException(413)
        return message

    return limited


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            is_picture = headers.get("content-type", "").startswith("image/svg")
            headers["Content-Security-Policy"] = PICTURE_POLICY if is_picture else POLICY
            for name, value in HEADERS.items():
                headers[name] = value
            if "cache-control" not in headers:
                headers["Cache-Control"] = "private, no-cache"
        await send(message)

    return sent
