"""A page in a file, in the format of the file's ending; a half-written file never stays behind."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError, Fault

if TYPE_CHECKING:
    from advisor.pages.blocks import Page
    from advisor.pages.pdf import Paper

ENDINGS = (".md", ".html", ".pdf")


class CannotWrite(AdvisorError):
    """A page cannot be written to this file."""


def check_file(path: Path) -> None:
    """Refuse an ending that no page is written in, or a folder that is not there.

    Raises:
        CannotWrite: saying what is allowed.
    """
    if path.suffix.lower() not in ENDINGS:
        raise CannotWrite([Fault(str(path), f'a page cannot end in "{path.suffix}"', ", ".join(ENDINGS))])
    if not path.resolve().parent.is_dir():
        raise CannotWrite([Fault(str(path), f"there is no folder {path.parent}")])


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
    content = _content(page, path.suffix.lower(), paper, sheets)
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(content)
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise CannotWrite(
            [Fault(str(path), f"cannot be written ({error.strerror})", "a folder you may write to")]
        ) from None


def _content(page: Page, ending: str, paper: Paper, sheets: int | None) -> bytes:
    if ending == ".md":
        from advisor.pages.markdown import to_markdown

        return to_markdown(page).encode()
    if ending == ".html":
        from advisor.pages.html import to_html

        return to_html(page).encode()
    from advisor.pages.pdf import fitted_pdf, to_pdf

    return fitted_pdf(page, paper, sheets) if sheets else to_pdf(page, paper)
