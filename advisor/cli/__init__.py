"""The command line's verbs, one module a group. Thin: each reads arguments, calls the reasoning, and prints.

Results go to stdout, notes and errors to stderr. What a verb needs is imported inside it, so that the others start
quickly. Exit 0 with an answer (whatever it is), 2 on bad input.
"""
