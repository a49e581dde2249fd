"""One meaning, three readings: one case (the engine), many cases (columns), every case (z3).

Takes a rule base and facts; gives firings. `conditions` and `grounding` hold the meaning that all readings share.
Knows nothing of words.
"""
