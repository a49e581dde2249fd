"""From what was concluded to why: trace, then graph, then words and pictures.

Knows traces (`explanations.trace`), not engines and not the files under `rules/`; imports nothing of `advisor`.
"""
