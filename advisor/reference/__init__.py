"""The rule base shown to people: facts, rules with example floors, sources, and how it all hangs together."""
