"""From firings to the standing of each finish, to the answer as data, to the answer as text and picture.

`advice` is the published schema; `advising` puts it together; `report` prints it.
"""
