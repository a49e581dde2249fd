"""From a case to advice: facts, computed facts, inference, standing, advice, and the command line.

Stages, in this order: case > facts > firings > standing > advice. Words and pictures are made from the trace by
`explanations`, which this package may import and which never imports it.
"""
