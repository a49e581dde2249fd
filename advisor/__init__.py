"""From a case to advice: facts, computed facts, inference, standing, advice, and what is asked of it.

The packages, each knowing only those before it: `physics`, `model`, `rulebase`, `facts`, `engines`, `answer`,
`validation`, `asking`, `work`, `charts`, `pages`, `reference`, `teaching`, `worksheets`, `survey`, `cli`. Words and
pictures are made from the trace by `explanations`, which this package may import and which never imports it.
"""
