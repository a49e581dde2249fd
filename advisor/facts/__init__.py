"""A floor's facts: read from a case, then assumed or computed, into the working memory.

Takes a case and the vocabulary; gives a value for every fact. Knows nothing of the rules that fire.
"""
