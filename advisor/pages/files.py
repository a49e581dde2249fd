"""A page in a file, in the format of the file's ending; a half-written file never stays behind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from explanations.files import check_place, write_whole

if TYPE_CHECKING:
    from advisor.pages.blocks import Page
    from advisor.pages.pdf import Paper

ENDINGS = (".md", ".html", ".pdf")


def check_file(path: Path) -> None:
    """Refuse an ending that no page is written in, or a place where no file can be put.

    Raises:
        CannotWrite: saying what is allowed.
    """
    check_place(path, ENDINGS)


def write_page(page: Page, path: Path, paper: Paper = "letter", sheets: int | None = None) -> None:
    """Write a page.

    Args:
        page: what to write.
        path: .md, .html or .pdf; an existing file is replaced.
        paper: of a PDF.
        sheets: how many sheets a PDF may take; the text is set smaller until it does.

    Raises:
        CannotWrite: the ending is not known, or the file cannot be written.
    """
    check_file(path)
    write_whole(path, _content(page, path.suffix.lower(), paper, sheets))


def _content(page: Page, ending: str, paper: Paper, sheets: int | None) -> bytes:
    if ending == ".md":
        from advisor.pages.markdown import to_markdown

        return to_markdown(page).encode()
    if ending == ".html":
        from advisor.pages.html import to_html

        return to_html(page).encode()
    from advisor.pages.pdf import fitted_pdf, to_pdf

    return fitted_pdf(page, paper, sheets) if sheets else to_pdf(page, paper)
