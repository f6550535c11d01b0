"""What to answer when a cable's name is not in the catalogue: trade names that several cables share, and slips."""

import difflib
import re
from collections.abc import Collection

from workbook.errors import InputError, shown

SIZES = {"59": "59", "6": "6", "7": "7", "11": "11"}
"""Sizes of 75-ohm cable that the trade sells with foam and, but for 7, with solid polyethylene under one name."""
LIKE, SLIP = 0.75, 0.9
"""How alike a word and a name are for the name to be offered, and for the word to be a slip of the pen for sure."""


def unknown_cable(name: object, known: Collection[str]) -> InputError:
    """Return the refusal of a name that no cable has.

    A size of drop cable names the foam ones first and warns of the solid ones; another type of the catalogue is
    offered by its own name; a type that is not there is never answered by a guess.

    Parameters
    ----------
    name
        What was written.
    known
        Names of the catalogue.
    """
    word = name.strip().lower() if isinstance(name, str) and len(name) <= 80 else ""
    slip = difflib.get_close_matches(word, sorted(known), n=1, cutoff=LIKE)
    size = "" if difflib.get_close_matches(word, slip, cutoff=SLIP) else _drop_size(word)
    foam = sorted(one for one in known if size and one.startswith(f"series-{size}-"))
    if foam:
        return InputError(f"{shown(name)} is the name of several cables", remedy=_drop_cables(size, foam, known))
    begun = [one for one in sorted(known) if word and one.startswith(f"{word}-")]
    near = _same_type(word, known) or begun or slip
    if near:
        return InputError(f"there is no cable {shown(name)}", remedy=f"did you mean {' or '.join(near)}?")
    return InputError(
        f"{shown(name)} is not in the catalogue",
        remedy="feedline-workbook cables lists what is; copy a file of cable_data to add one",
    )


def _drop_size(word: str) -> str:
    """Return the size of a drop cable that a word names by its trade name, empty where it names none.

    Examples
    --------
    >>> [_drop_size(word) for word in ("rg-6", "rg6/u", "f6", "series 6", "quad shield rg-59", "rg-11 a/u", "rg-58")]
    ['6', '6', '6', '6', '59', '11', '']
    """
    found = re.search(r"\b(?:rg|f|series|size|type)[ ./-]*(59|6|7|11)(?![0-9])(?!-(?:clad|copper|solid))", word)
    return found[1] if found else word if word in SIZES else ""


def _drop_cables(size: str, foam: list[str], known: Collection[str]) -> str:
    solid = f"rg-{size}-solid-pe"
    warning = f"; {solid} has solid polyethylene (0.66), which shifts every length" if solid in known else ""
    return f"foam drop cable is {' or '.join(foam)} (velocity factor 0.83 to 0.85){warning}: read the jacket"


def _same_type(word: str, known: Collection[str]) -> list[str]:
    """Return the cables whose type is the same but for spaces, hyphens and the military suffix.

    Examples
    --------
    >>> _same_type("rg58 c/u", ["rg-58-solid-pe", "rg-8x-foam"]), _same_type("rg-8", ["rg-8x-foam"])
    (['rg-58-solid-pe'], [])
    """
    plain = re.sub(r"[ .-]|[a-c]?/u$", "", word)
    types = {one: "".join(one.split("-")[:2]) for one in sorted(known)}
    return [one for one, kind in types.items() if plain and plain in (kind, one.replace("-", ""))]
