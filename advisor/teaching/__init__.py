"""Lessons made from cases, each answer checked by reasoning, and sets that cover chosen rules."""
