"""What is not known: what is certain all the same, what to ask next, the interview, and revising an answer."""
