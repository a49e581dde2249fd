"""Building physics of a concrete slab on grade: pure functions on floats and NumPy arrays.

Stage: the numbers between a case and its facts.  It takes measured or assumed quantities, returns computed
ones, and must not know rules, finishes by name, customers, words or files; it imports nothing of ours.
SI inside, with the unit in the name or the docstring; what is out of range raises ``OutsideValidity``.
Refusals, faults and outcomes are data (keys and numbers): ``advisor.errors.refusal`` and the worksheets word them.
One function serves one floor (floats, no NumPy imported) and a million (arrays that broadcast).

- ``air``, ``cure``: humid air, dew point, and its margin at the slab now and through the cure
- ``ground``, ``concrete``, ``vapour``: steady flow of vapour through ground, slab and finish into the room
- ``vapour_source``: what steady diffusion cannot explain in a dish's reading
- ``diffusivity``, ``drying_air``, ``drying``, ``drying_time``: how long a new slab takes to dry
- ``floor_tests``: what a test on the floor measured, and whether it was done validly
- ``film``, ``mixing``: film build, coverage, mixing ratio, pot life and batches
- ``room_air``, ``exposure``, ``engine``: what stands in the air of the room during the work
- ``bounds``: true bounds of a result over ranges of inputs
- ``units``, ``validity``, ``elementwise``: conversions, refusals, and functions of floats and arrays alike
"""
