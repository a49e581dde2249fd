"""What it takes: from a floor and a finish's procedure to materials, cost, hours, days and skills.

Takes a case, the rule base's procedures and a price book; returns plain data, ranges throughout. Knows nothing of
rules or engines. `job` resolves the steps; `needed` the quantities; `packs` what to buy; `cost`, `life`, `schedule`,
`skills` and `batches` read the same job; `comparison` and `letter` put it together for a reader.
"""
