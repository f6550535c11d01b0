"""The one error a user meets."""


class InputError(ValueError):
    """What was entered cannot be used; the text is one sentence saying what, where and what would be right."""
