"""How entries of the rule base are sought by words."""

from __future__ import annotations

from collections.abc import Iterable


def holds(texts: Iterable[str], words: Iterable[str]) -> bool:
    """Whether texts hold every word, whatever the capitals; an id is found by its own words too.

    >>> holds(["slab_humidity", "Probes read 80 %"], ["humidity", "probes"]), holds(["slab_humidity"], ["slab hum"])
    (True, True)
    """
    texts = list(texts)
    text = " ".join((*texts, *(each.replace("_", " ") for each in texts))).lower()
    return all(word.lower() in text for word in words)
