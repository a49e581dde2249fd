"""What a request gives to a view, and what a view gives back: plain data, since a view runs in another process."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from advisor.engines.reasoning import Reasoner
from advisor.model.knowledge import RuleBase
from advisor.pages.shop import NOBODY, Shop
from advisor.sent import File

if TYPE_CHECKING:
    from advisor.web.held import Held

HTML = "text/html; charset=utf-8"


@dataclass(frozen=True)
class Asked:
    """A request.

    Attributes:
        path: of the address.
        fields: what the form or the address says, by name.
        method: GET or POST.
        files: what was sent along, by the field's name: the file's name and content.
        token: what a form that changes something on the server must send back.
        body: as sent, where the route takes it so.
        held: what the server holds of it, as it is now.
    """

    path: str
    fields: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    method: str = "GET"
    files: Mapping[str, tuple[str, bytes]] = field(default_factory=dict)
    token: str = ""
    body: bytes = b""
    held: Hashable = None

    def one(self, name: str) -> str:
        """The one value of a field; empty if it was not sent."""
        return next(iter(self.fields.get(name, ())), "")

    def all(self, name: str) -> tuple[str, ...]:
        """All values of a field."""
        return self.fields.get(name, ())


@dataclass(frozen=True)
class Reply:
    """What is sent back; `to` is where the browser is sent on to, `saved_as` the name under which it saves the body."""

    body: bytes = b""
    status: int = 200
    kind: str = HTML
    to: str = ""
    saved_as: str = ""


@dataclass(frozen=True)
class House:
    """Whose page this is: the shop at the head of its letters, and its price book; else the invented one."""

    shop: Shop = NOBODY
    prices: File | None = None


NOBODYS = House()


@dataclass(frozen=True)
class Desk:
    """What every view works with: a rule base made ready, the date, and whose page it is."""

    reasoner: Reasoner
    today: date
    house: House = NOBODYS

    @property
    def base(self) -> RuleBase:
        """The rule base."""
        return self.reasoner.base


View = Callable[[Desk, Asked], Reply]
AtHand = Callable[["Held", Asked], "Reply | Hashable"]


@dataclass(frozen=True)
class Route:
    """An address and the view behind it.

    Attributes:
        path: of the address.
        view: a function of a module; none where what is at hand answers.
        at_hand: called first, in the serving process, which alone holds something: gives what the view is to know of
            it, or the reply itself. It does nothing that takes long.
        method: GET or POST.
        changes: whether it changes something on the server: then its form must send the visitor's token back.
        slow: whether its view may take minutes: then it waits in a line of its own, and works when nobody else does.
        as_sent: whether the body is taken as it is sent, and is no form.
        kept: whether the same request always gets the same reply on one day, so that it need not be made anew; a form
            too, where nothing is kept on the server.
    """

    path: str
    view: View | None
    method: str = "GET"
    at_hand: AtHand | None = None
    changes: bool = False
    kept: bool = True
    as_sent: bool = False
    slow: bool = False


def on_to(address: str) -> Reply:
    """Send the browser on, so that loading the page again sends nothing again."""
    return Reply(status=303, to=address)
