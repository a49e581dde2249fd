"""Whatever it takes to judge a rule base: checks, overlays, claims about every floor, and the store of what passed.

`loading` is the way to a rule base that may be used.
"""
