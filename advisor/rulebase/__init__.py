"""The rule base as data: YAML files read, checked for their form, and brought into the models of `advisor.model`.

Takes the files under `rules/`; gives a `RuleBase`. Whether it is sound is for `advisor.validation`, the way in.
"""
