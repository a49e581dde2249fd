"""Tests; `floors` draws random floors, `referees` holds outside readings of the rule base."""
