"""From a case to advice: facts, computed facts, inference, standing, advice, and the command line.

Stages, in this order: case > facts > firings > standing > advice; a package each (`rulebase`, `facts`, `inference`,
`answer`), then what is asked of an answer (`unknowns`, `questions`, `takeoff`, `teaching`, `survey`, `audit`). Words
and pictures are made from the trace by `explanations`, which this package may import and which never imports it.
"""
