"""What it takes: from a floor and a finish's procedure to materials, cost, hours, days and skills. Numbers only.

Takes a case, the rule base's procedures and a price book; returns plain data, ranges throughout. `takeoff` is where
it begins; `job` resolves the steps; `needed` the quantities; `packs` what to buy; `cost`, `life`, `schedule`, `skills`
and `batches` read the same job. `advisor.pages` puts it before a reader.
"""
