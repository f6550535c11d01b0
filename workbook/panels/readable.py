"""Which cables can be read: a broken file of the user's own takes no worksheet down."""

from workbook.errors import InputError
from workbook.line.catalogue import cable, cables


def can_be_read(name: str) -> bool:
    """Return whether a cable's file makes a cable."""
    try:
        cable(name)
    except InputError:
        return False
    return True


def first_cable(name: str) -> str:
    """Return this cable's name if it can be read, else that of the first which can."""
    found = next(filter(can_be_read, (name, *cables())), None)
    if found is None:
        raise InputError("none can be read", where="cables", remedy="mend the files in your own folder of cables")
    return found
