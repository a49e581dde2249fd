"""One meaning, three readings: `rete` (one case, durable-rules), `many_cases` (columns), `smt` (every case).

Takes a rule base and facts; gives firings. The meaning that all share stands in `advisor.model.grounding`.
"""
