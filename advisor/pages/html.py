"""A page as one HTML file that needs nothing else: readable on a screen, by a screen reader, and in grey on paper."""

from __future__ import annotations

from base64 import b64encode
from html import escape

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

MEDIA = {"png": "png", "jpg": "jpeg", "svg": "svg+xml"}
STYLE = """
body { font: 16px/1.45 serif; max-width: 62rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff; }
.table { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: 0.9em; }
th, td { border-bottom: 1px solid #999; padding: 0.25em 0.5em; text-align: left; vertical-align: top; }
td.figure, th.figure { text-align: right; white-space: nowrap; }
aside { border: 3px solid #111; padding: 0.2em 1em; margin: 1em 0; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.4em 1em; }
dt { font-weight: bold; }
dd { margin: 0; }
dd ul, dd ol { margin: 0; padding-left: 1.2em; }
svg { max-width: 100%; height: auto; }
header { display: flex; align-items: center; gap: 1.5rem; border-bottom: 1px solid #999; }
header img { max-height: 5rem; max-width: 14rem; }
footer { border-top: 1px solid #999; margin-top: 2rem; font-size: 0.8em; color: #444; }
h1 { font-size: 1.6em; }
h2 { font-size: 1.25em; }
@page { margin: 13mm 16mm; }
@media print {
  body { margin: 0; padding: 0; max-width: none; font-size: 10pt; line-height: 1.2; }
  h1 { font-size: 1.4em; margin: 0.5em 0 0.3em; }
  h2 { font-size: 1.15em; margin: 0.7em 0 0.2em; break-after: avoid; }
  p, ul, ol, aside { margin: 0.25em 0; }
  ul, ol { padding-left: 1.4em; }
  td, th { padding: 0.1em 0.4em; }
  footer { margin-top: 0.5rem; }
  table, figure, li { break-inside: avoid; }
}
"""


def to_html(page: Page) -> str:
    """The page as HTML; every text is escaped."""
    body = body_of(page)
    footer = f"<footer><p>{escape(page.footer)}</p></footer>\n" if page.footer else ""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(page.title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n{body}\n</main>\n{footer}"
        "</body>\n</html>\n"
    )


def body_of(page: Page) -> str:
    """What stands on the page, without the document around it."""
    return "\n".join(_block(block) for block in page.blocks)


def _block(block: Block) -> str:
    match block:
        case Heading(text, level):
            return f"<h{level}>{escape(text)}</h{level}>"
        case Paragraph(text, strong):
            return f"<p><strong>{escape(text)}</strong></p>" if strong else f"<p>{escape(text)}</p>"
        case Listing(items, numbered):
            tag = "ol" if numbered else "ul"
            return f"<{tag}>{_items(items)}</{tag}>"
        case Notice(title, items):
            return f'<aside role="note"><p><strong>{escape(title)}</strong></p><ul>{_items(items)}</ul></aside>'
        case Terms(terms):
            return f"<dl>{''.join(map(_term, terms))}</dl>"
        case Table():
            return _table(block)
        case Letterhead(name, lines, logo, kind):
            drawn = f'<img alt="" src="data:image/{MEDIA[kind]};base64,{b64encode(logo).decode()}">' if logo else ""
            return f"<header>{drawn}<p><strong>{escape(name)}</strong>{_lines(('', *lines))}</p></header>"
        case Lines(lines):
            return f"<p>{_lines(lines)}</p>"
        case Picture(svg, alt, _):
            drawing = svg[svg.index("<svg") :]
            caption = escape(alt)
            return f'<figure role="img" aria-label="{caption}">{drawing}<figcaption>{caption}</figcaption></figure>'


def _items(items: tuple[str | Item, ...]) -> str:
    return "".join(f"<li>{escape(item.text)}{_below(item)}</li>" for item in map(whole, items))


def _lines(lines: tuple[str, ...]) -> str:
    return "<br>".join(map(escape, lines))


def _below(item: Item) -> str:
    return f"<ul>{_items(item.below)}</ul>" if item.below else ""


def _term(term: Term) -> str:
    tag = "ol" if term.numbered else "ul"
    said = escape(term.items[0]) if len(term.items) == 1 else f"<{tag}>{_items(term.items)}</{tag}>"
    return f"<dt>{escape(term.name)}</dt><dd>{f'<strong>{said}</strong>' if term.strong else said}</dd>"


def _table(table: Table) -> str:
    def cells(row: tuple[str, ...], head: bool) -> str:
        made = []
        for index, cell in enumerate(row):
            tag = "th" if cell and (head or index == 0) else "td"  # a head without words names nothing
            scope = "" if tag == "td" else ' scope="col"' if head else ' scope="row"'
            figure = ' class="figure"' if index in table.figures else ""
            made.append(f"<{tag}{scope}{figure}>{escape(cell)}</{tag}>")
        return f"<tr>{''.join(made)}</tr>"

    rows = "".join(cells(row, False) for row in table.rows)
    made = f"<table><thead>{cells(table.head, True)}</thead><tbody>{rows}</tbody></table>"
    named = escape(", ".join(filter(None, table.head)))
    return f'<div class="table" role="group" tabindex="0" aria-label="{named}">{made}</div>'  # a wide one is scrolled
