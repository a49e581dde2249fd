"""The rule base as data: read from its files, laid over, checked, kept.

Takes the files under `rules/`; gives a `RuleBase`. Knows nothing of cases or engines.
"""
