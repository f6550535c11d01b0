"""The one error a user meets, and how it shows what came."""

import reprlib
from typing import Any


class InputError(ValueError):
    """What was entered cannot be used; the text is one sentence saying what, where and what would be right."""


def renamed(error: InputError, argument: str, own: str) -> InputError:
    """Return a refusal of another function's argument as one of the caller's own; any other stays as it is."""
    text = str(error)
    return InputError(f"{own}{text.removeprefix(argument)}" if text.startswith(f"{argument}:") else text)


_SHORT = reprlib.Repr()
_SHORT.maxstring = _SHORT.maxother = _SHORT.maxlong = 60


def shown(value: Any) -> str:
    """Return a value as it may stand in a sentence: on one line, and short whatever came."""
    try:
        # a day or a time of TOML reads best as it was written
        text = value.isoformat() if hasattr(value, "isoformat") else _SHORT.repr(value)
    except Exception:  # a value that cannot even be shown must still be refused in words
        text = f"a {type(value).__name__}"
    text = " ".join(text.split())
    return text if len(text) <= 80 else f"{text[:77]}..."
