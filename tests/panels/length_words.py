"""Words by which a text shows a length in metres, or in feet; names of bands, such as 40 m, are no lengths."""

import re
from collections.abc import Iterable

# ohm m, mV/m and mS/m are units of other things, which have no other unit anywhere
_METRES = re.compile(
    r"(?<![\w/²*])(?<!ohm )(?:m|cm|mm|km)(?![\w²/])|(?<!V)(?<!S)/(?:m|km)\b|(?:kilo|centi|milli|\b)metres?\b"
)
# "in" alone is a word: it is an inch behind a figure, unless another word follows, or in brackets
_FEET = re.compile(r"\bft\b|\d in\b(?! [a-z])|\(in\)|\binch(?:es)?\b|\bfeet\b|\bfoot\b|\d\"")


def metric(text: str, bands: Iterable[str]) -> list[str]:
    """What in a text is in metres, with its surroundings."""
    return _found(_METRES, text, bands)


def feet(text: str, bands: Iterable[str]) -> list[str]:
    """What in a text is in feet or inches, with its surroundings."""
    return _found(_FEET, text, bands)


def _found(pattern: re.Pattern[str], text: str, bands: Iterable[str]) -> list[str]:
    for band in bands:
        text = re.sub(rf"(?<![\d.,]){re.escape(band)}\b", "band", text)
    return [text[max(0, one.start() - 50) : one.end() + 20] for one in pattern.finditer(text)]
