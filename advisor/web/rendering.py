"""Templates to pages. Every sentence comes from the texts by its key; every value is escaped."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from urllib.parse import urlencode

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from advisor.errors import Fault
from advisor.pages.blocks import Block, Heading, Page, Picture
from advisor.pages.html import body_of
from advisor.web.asked import Reply
from advisor.web.problems import for_programs, http_problem
from explanations.wording import has_text, label, wording
from explanations.words import visible_lines

HERE = Path(__file__).parent
STATIC, DRAWINGS = HERE / "static", HERE / "templates" / "drawings"
KINDS = {".css": "text/css; charset=utf-8", ".svg": "image/svg+xml", ".js": "text/javascript; charset=utf-8"}


_PERCENT = re.compile(r"(\d) %(?=[^<>]*<)")  # outside of tags a figure and its sign stay together on a line


@cache
def static_files() -> dict[str, tuple[bytes, str]]:
    """What is served as it is: content and type by name. Nothing else of the machine can be asked for."""
    files = {path.name: (path.read_bytes(), KINDS[path.suffix]) for path in sorted(STATIC.iterdir())}
    for path in sorted(DRAWINGS.iterdir()):
        name = f"{DRAWINGS.name}/{path.name}"
        files[name] = _templates().get_template(name).render().encode(), KINDS[path.suffix]
    return files


@cache
def static(name: str) -> str:
    """The address of a file that is served as it is; another content has another address."""
    return f"/static/{name}?{urlencode({'v': sha256(static_files()[name][0]).hexdigest()[:8]})}"


def address(path: str, **fields: str | Sequence[str]) -> str:
    """An address with what it says, a field of several values each after the other; what is empty is left out."""
    said = urlencode({name: value for name, value in fields.items() if value}, doseq=True)
    return f"{path}?{said}" if said else path


@cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {"say": wording, "label": label, "static": static, "address": address, "has_text": has_text}
    made.globals["drawing_of"] = drawing_of
    made.filters["id"] = broken_where_it_may
    return made


def broken_where_it_may(name: str) -> Markup:
    """An id whose line may end after each of its parts, and not in the midst of a word.

    >>> broken_where_it_may("vapour.dense_film")
    Markup('vapour.<wbr>dense_<wbr>film')
    """
    return Markup(re.sub("([._])", r"\1<wbr>", str(escape(name))))


def drawing_of(fact: str) -> str:
    """The name of the drawing that shows how a fact is found out, the fact's; empty where there is none."""
    return fact if f"{DRAWINGS.name}/{fact}.svg" in static_files() else ""


def page(template: str, status: int = 200, **values: object) -> Reply:
    """A page from a template."""
    told = _templates().get_template(template).render(**values).replace("\r\n", "\n")
    told = visible_lines(told)  # what was sent may be told back
    return Reply(_PERCENT.sub("\\1\u00a0%", told).encode(), status)


def body(told: Page, without_title: bool = False) -> Markup:
    """A page of the adviser as part of a page of the browser's; pictures have addresses of their own here."""
    blocks = tuple(_shown(told, without_title))
    return Markup(body_of(replace(told, blocks=blocks)))  # its writer escapes every text


def _shown(told: Page, without_title: bool) -> Iterator[Block]:
    for block in told.blocks:
        if isinstance(block, Heading):
            if without_title and block.level == 1:
                continue
            block = replace(block, text=_named(block.text))
        if not isinstance(block, Picture):
            yield block


def _named(text: str) -> str:
    """A heading that ends with what the floor is called, which is nothing for most that are told here."""
    return text.rstrip(": ")


def titled(key: str, floor: str) -> str:
    """A heading about a floor, which may have no name."""
    return _named(wording(key, floor=floor))


def refusal(faults: tuple[Fault, ...], status: int = 422) -> Reply:
    """What is wrong with what was sent, as a page."""
    return page("refused.html", status, faults=faults)


def trouble(what: str, status: int, path: str = "") -> Reply:
    """One sentence that says why there is no answer: as a page, or for a program as a problem.

    Args:
        what: a key of the texts below `web.trouble`.
        status: of HTTP.
        path: what was asked for.
    """
    says = wording(f"web.trouble.{what}")
    return http_problem(status, says) if for_programs(path) else page("trouble.html", status, what=says)
