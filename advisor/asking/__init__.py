"""What is asked of an answer: what is open and what to ask next, the interview, revision, why, why not, what turns it.

`advice` puts the advice in full together.
"""
