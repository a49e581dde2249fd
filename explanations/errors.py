"""What a person may ask of an explanation that cannot be had."""


class CannotExplain(ValueError):
    """A request that cannot be met as put: an ending that cannot be drawn, a finish that was not judged."""
