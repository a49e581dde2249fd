"""Advice for tables of floors: in pieces of bounded memory, resumable, on one machine or several."""
