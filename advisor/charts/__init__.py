"""Charts: ranges, calendars, curves. They take plain numbers and words, and know nothing of floors or finishes."""
