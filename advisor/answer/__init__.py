"""From firings to the standing of each finish, the ranking, and the answer as data."""
