"""One meaning, three readings: `rete` (one case, durable-rules), `many_cases` (columns), `smt` (every case).

Takes a ground program (`advisor.model.program`) and facts; gives firings. `advisor.model.grounding` makes the program.
"""
