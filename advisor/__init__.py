"""From a case to advice: facts, computed facts, inference, standing, advice, and what is asked of it.

As a library, `load` gives an `Adviser` (see `advisor.library`); nothing of it is imported before it is used. The
packages, each knowing only those before it: `physics`, `model`, `rulebase`, `facts`, `engines`, `answer`,
`validation`, `asking`, `work`, `charts`, `pages`, `reference`, `teaching`, `worksheets`, `survey`, `library`, `web`,
`cli`.
Words and pictures are made from the trace by `explanations`, which this package may import and which never imports it.
"""

from __future__ import annotations

TYPE_CHECKING = False  # `typing` takes long to import, and an interrupt meanwhile would be a traceback

if TYPE_CHECKING:
    from advisor.library import Adviser as Adviser
    from advisor.library import load as load
    from advisor.library import survey_table as survey_table
    from advisor.model.advice import Advice as Advice

__all__ = ["Advice", "Adviser", "__version__", "load", "survey_table"]


def __getattr__(name: str) -> object:
    if name == "__version__":
        from importlib.metadata import version

        return version("slab-finish-advisor")
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from advisor import library

    return getattr(library, name)


def __dir__() -> list[str]:
    return __all__
