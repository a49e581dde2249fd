"""Questions put to an answer: why, why not, and what would turn it."""
