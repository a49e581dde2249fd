"""The language that everything else speaks: values, units, conditions, the rule base's models, the answer's schema.

Below all: `values` (what a fact can be), `units` and `quantities` (numbers as people write them), `knowledge` and
`procedures` (a rule base's entries), `conditions` and `grounding` (what a rule means), `advice` (what an answer is),
`reader` and `plain_words` (amounts and conditions in words). Knows no files, cases or engines.
"""
