"""The language that everything else speaks: values, units, conditions, the rule base's models, the answer's schema.

Below all: `values` (what a fact can be), `units` and `quantities` (numbers as people write them); a rule base's entries
by subject (`vocabulary`, `finishes`, `rules`, `causes`, `opening`, `materials`, `procedures`) and as a whole
(`knowledge`); `conditions` and `grounding` (what a rule means), `advice` (what an answer is), `reader` and
`plain_words` (amounts and conditions in words). Knows no files, cases or engines.
"""
