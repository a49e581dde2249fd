"""A page as PDF, set by typst (PyPI), which needs neither a network nor the system's fonts.

Texts go in as typst string literals, never as its markup, so that nothing a person typed is read as code.
"""

from __future__ import annotations

import json
from typing import Literal

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

Paper = Literal["letter", "a4"]
PAPERS: dict[Paper, str] = {"letter": "us-letter", "a4": "a4"}
SIZES = (10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0)  # points
KEPT_WHOLE = 12  # rows of a table that does not go over two sheets
FONT = "Libertinus Serif"  # one of those inside the typst package


def to_pdf(page: Page, paper: Paper = "letter", size: float = 9.5) -> bytes:
    """The page as PDF, tagged for screen readers.

    Args:
        page: what to set.
        paper: letter or A4.
        size: of the text, in points.
    """
    import typst

    return bytes(typst.compile(to_typst(page, paper, size).encode(), format="pdf", ignore_system_fonts=True))


def page_count(page: Page, paper: Paper = "letter", size: float = 9.5) -> int:
    """How many sheets it takes."""
    import typst

    sheets = typst.compile(to_typst(page, paper, size).encode(), format="svg", ignore_system_fonts=True)
    return len(sheets) if isinstance(sheets, list) else 1


def fitted_pdf(page: Page, paper: Paper, sheets: int, sizes: tuple[float, ...] = SIZES) -> bytes:
    """The page at the largest of these sizes at which it takes no more than so many sheets, else at the smallest."""
    size = next((size for size in sizes if page_count(page, paper, size) <= sheets), sizes[-1])
    return to_pdf(page, paper, size)


def to_typst(page: Page, paper: Paper, size: float) -> str:
    """The source that typst sets."""
    flipped = "true" if page.landscape else "false"
    margin, foot = "1.3cm", ""
    if page.footer:
        margin = "(x: 1.9cm, top: 1.5cm, bottom: 1.7cm)"
        foot = (
            f", footer: context text(size: 8pt, fill: luma(80))[#{_literal(page.footer)} #h(1fr) "
            '#counter(page).display("1 / 1", both: true)]'
        )
    head = (
        f'#set page(paper: "{PAPERS[paper]}", flipped: {flipped}, margin: {margin}, numbering: "1 / 1"{foot})\n'
        f'#set text(font: "{FONT}", size: {size}pt, lang: "en")\n'
        f"#set document(title: {_text(page.title)}, date: none)\n"
        "#set par(leading: 0.5em, spacing: 0.7em)\n#set list(spacing: 0.5em)\n#set enum(spacing: 0.5em)\n"
        "#show heading: set block(above: 0.9em, below: 0.5em)\n"
        "#set table(stroke: (x: none, y: 0.4pt + luma(120)), inset: (x: 4pt, y: 3pt))\n"
    )
    return head + "\n".join(_block(block) for block in page.blocks) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading(text, level):
            return f"#heading(level: {level}, {_text(text)})"
        case Paragraph(text, strong):
            return f"#par(strong({_text(text)}))" if strong else f"#par({_text(text)})"
        case Listing(items, numbered):
            return f"#{'enum' if numbered else 'list'}({_args(items)})"
        case Notice(title, items):
            inside = f"#block(strong({_text(title)}), sticky: true)#list({_args(items)})"
            return f"#block(stroke: 1.5pt, inset: 6pt, width: 100%)[{inside}]"
        case Terms(terms):
            cells = ", ".join(f"strong({_text(each.name)}), {_said(each)}" for each in terms)
            return f"#grid(columns: (auto, 1fr), column-gutter: 10pt, row-gutter: 6pt, {cells})"
        case Table():
            return _table(block)
        case Letterhead(name, lines, logo, kind):
            return _letterhead(name, lines, logo, kind)
        case Lines(lines):
            return f"#block(above: 1.2em, below: 1.2em, {_stacked(lines)})"
        case Picture(svg, alt, width):
            drawn = f'image(bytes({_literal(svg)}), format: "svg", alt: {_literal(alt)}, width: {width}%)'
            return f"#figure({drawn}, caption: {_text(alt)})"


def _letterhead(name: str, lines: tuple[str, ...], logo: bytes, kind: str) -> str:
    """The logo to the left, the name and its lines beside it, and a rule below."""
    words = f"[#text(size: 1.3em, strong({_text(name)}))#linebreak(){_stacked(lines)[1:-1]}]"
    if logo:
        drawn = f'image(bytes(({", ".join(map(str, logo))},)), format: "{kind}", height: 1.6cm)'
        words = f"grid(columns: (auto, 1fr), column-gutter: 12pt, align: horizon, {drawn}, {words})"
    else:
        words = f"block({words})"
    return f"#{words}\n#line(length: 100%, stroke: 0.5pt + luma(120))"


def _stacked(lines: tuple[str, ...]) -> str:
    return f"[{'#linebreak()'.join(f'#{_literal(line)}' for line in lines)}]"


def _said(term: Term) -> str:
    said = (
        _text(term.items[0]) if len(term.items) == 1 else f"{'enum' if term.numbered else 'list'}({_args(term.items)})"
    )
    return f"strong({said})" if term.strong else said


def _table(table: Table) -> str:
    widths = table.widths or (1,) * len(table.head)
    columns = ", ".join(f"{width}fr" if width else "auto" for width in widths)
    aligned = ", ".join("right" if index in table.figures else "left" for index in range(len(table.head)))
    head = ", ".join(f"strong({_text(cell)})" for cell in table.head)
    cells = ", ".join(_text(cell) for row in table.rows for cell in row)
    whole_one = "false" if len(table.rows) <= KEPT_WHOLE else "true"
    set_table = f"table(columns: ({columns},), align: ({aligned},), table.header({head}), {cells})"
    return f"#block(breakable: {whole_one}, {set_table})"


def _args(items: tuple[str | Item, ...]) -> str:
    return ", ".join(
        f"{_text(item.text)} + list({_args(item.below)})" if item.below else _text(item.text)
        for item in map(whole, items)
    )


def _text(text: str) -> str:
    """A text as content."""
    return f"[#{_literal(text)}]"


def _literal(text: str) -> str:
    """A typst string literal: JSON's, but for the way a character is named by its number."""
    shown = "".join(each if each.isprintable() else " " for each in " ".join(text.split()))
    return json.dumps(shown, ensure_ascii=False)
