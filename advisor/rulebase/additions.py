"""What overlays add to the words of an entry, put after them and marked as the shop's, as its own hazards are."""

from __future__ import annotations

from typing import Any

from advisor.model.knowledge import RuleBase
from explanations.wording import wording
from explanations.words import sentence

# The words of each section after which additions stand.
SAID_IN = {
    "cautions": ("says", "brief"),
    "referrals": ("tell",),
    "needs": ("says",),
    "rules": ("because",),
    "facts": ("find_out",),
    "tasks": ("says",),
}

OWN = ("cautions", "referrals")  # entries of a shop's own are marked as its words too


def with_additions(base: RuleBase) -> RuleBase:
    """The rule base with what `adds` holds put after the words of each entry: they stand first, whole, on their own.

    The same object where nothing is added, so that what was worked out of it counts.
    """
    added = {each for overlay in base.overlays for each in overlay.added}
    told = {section: _told(getattr(base, section), fields) for section, fields in SAID_IN.items()}
    for section in OWN:  # after what is added to it by an overlay further up
        entries = told[section] or getattr(base, section)
        own = {name: _own(entries[name], SAID_IN[section]) for name in entries if f"{section} {name}" in added}
        told[section] = {**entries, **own} if own else told[section]
    changed = {section: entries for section, entries in told.items() if entries}
    return base.model_copy(update=changed) if changed else base


def _told(entries: dict[str, Any], fields: tuple[str, ...]) -> dict[str, Any]:
    """All entries of a section, if any of them has additions."""
    told = {
        name: entry.model_copy(update={**_joined(entry, fields, entry.adds), "adds": ()})
        for name, entry in entries.items()
        if entry.adds
    }
    return {**entries, **told} if told else {}


def _own(entry: Any, fields: tuple[str, ...]) -> Any:
    return entry.model_copy(update={field: _after("", (said,)) for field in fields if (said := getattr(entry, field))})


def _joined(entry: Any, fields: tuple[str, ...], adds: tuple[str, ...]) -> dict[str, str]:
    return {field: _after(said, adds) for field in fields if (said := getattr(entry, field))}


def _after(text: str, adds: tuple[str, ...]) -> str:
    said = (wording("overlays.adds", text=sentence(each)) for each in adds)
    return " ".join([*([_ended(text)] if text else []), *said])


def _ended(text: str) -> str:
    return text if text.rstrip().endswith((".", "!", "?")) else f"{text.rstrip()}."
