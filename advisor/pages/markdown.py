"""A page as Markdown (CommonMark with tables)."""

from __future__ import annotations

import re

from advisor.pages.blocks import (
    Block,
    Heading,
    Item,
    Letterhead,
    Lines,
    Listing,
    Notice,
    Page,
    Paragraph,
    Picture,
    Table,
    Term,
    Terms,
    whole,
)

_SPECIAL = re.compile(r"([\\`*_\[\]<>|])")


def to_markdown(page: Page) -> str:
    """The page in Markdown; what a reader typed is escaped, pictures are given in words."""
    footer = ["---", _plain(page.footer)] if page.footer else []
    return "\n\n".join([*(_block(block) for block in page.blocks), *footer]) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading(text, level):
            return f"{'#' * level} {_plain(text)}"
        case Paragraph(text, strong):
            return f"**{_plain(text)}**" if strong else _plain(text)
        case Listing(items, numbered):
            return "\n".join(
                _item(item, f"{number}." if numbered else "-") for number, item in enumerate(items, start=1)
            )
        case Notice(title, items):
            return "\n".join(
                [f"> **{_plain(title)}**", ">", *(f"> {line}" for item in items for line in _item(item).splitlines())]
            )
        case Terms(terms):
            return "\n".join(_term(each) for each in terms)
        case Table():
            return _table(block)
        case Letterhead(name, lines):
            return "  \n".join([f"**{_plain(name)}**", *map(_plain, lines)])
        case Lines(lines):
            return "  \n".join(map(_plain, lines))
        case Picture(_, alt, _):
            return f"*{_plain(alt)}*"


def _item(item: str | Item, lead: str = "-") -> str:
    text, below = whole(item).text, whole(item).below
    return "\n".join([f"{lead} {_plain(text)}", *(f"{' ' * len(lead)} - {_plain(each)}" for each in below)])


def _term(term: Term) -> str:
    if len(term.items) == 1:
        return f"- **{_plain(term.name)}**: {_plain(term.items[0])}"
    return "\n".join([f"- **{_plain(term.name)}**", *(f"  {lead} {_plain(item)}" for lead, item in term.leads())])


def _table(table: Table) -> str:
    rules = ["---:" if index in table.figures else "---" for index in range(len(table.head))]
    rows = [table.head, tuple(rules), *table.rows]
    return "\n".join(
        f"| {' | '.join(cell if number == 1 else _plain(cell) for cell in row)} |" for number, row in enumerate(rows)
    )


def _plain(text: str) -> str:
    return _SPECIAL.sub(r"\\\1", " ".join(text.split()))
