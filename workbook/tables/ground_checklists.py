"""Cautions and checklists of ground, bonding and entry, for the build sheet and the worksheet."""

from collections.abc import Mapping

from workbook.tables.table import Table

CAUTIONS = (
    "These figures are arithmetic, not a safety design. The mains earth, every connection to it and all protective "
    "devices are for the local codes and a licensed electrician.",
    "Before you drive a rod or dig, have buried power, gas, water and telephone lines located and marked.",
    "A water pipe does not replace a rod: its fittings may be of plastic.",
    "Leave the array, its cables and the entry alone when lightning is near; disconnect before the storm, not in it.",
)
_BOX = "☐"
_PLACES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "Element": (
        (
            "Rods driven to full length; two where one is short. The same rods at every element.",
            "rod resistance ____ ohm",
        ),
        ("Mast or support, rods and buffer's ground joined by one short strap at one point.", "joint ____ ohm"),
        ("Clamps of a metal that may touch the rod; joints clean, tight and sealed.", ""),
        (
            "Choke on the cable where it leaves the buffer; shield joined to the rods on the buffer's side.",
            "turns ____",
        ),
        ("Discharge path for the vertical (resistor or gap) as the buffer's maker gives it.", ""),
    ),
    "Hub": (
        ("Box on its own rods; shields of all element runs joined to one plate.", "rod resistance ____ ohm"),
        ("Plate to rods: one strap, the shortest way.", "length ____ joint ____ ohm"),
        ("Arrester on every conductor that is not ground, as the local codes and its maker give it.", ""),
        ("Choke on the receiver run where it leaves the hub.", "turns ____"),
    ),
    "Entry": (
        ("One panel at one point outside; every cable passes it, control and feed lines too.", ""),
        ("Panel to rods: one strap, short and wide, in no loop.", "length ____ joint ____ ohm"),
        ("More than one panel: joined to each other and all rods by a perimeter conductor.", "joint ____ ohm"),
        ("Joined to the mains earth, by a licensed electrician.", "between both earths ____ ohm"),
        ("Rods at the panel.", "rod resistance ____ ohm"),
        ("Arresters on the panel itself, without leads.", ""),
    ),
    "Station": (
        ("All equipment joined to one plate, the plate to the panel; mains from the same earth.", "joint ____ ohm"),
        ("Nothing connects two buildings or two earths but through a panel.", ""),
        ("Isolating transformer or choke where the receiver run meets the receiver.", ""),
        ("Cables can be disconnected outside the building before a storm.", ""),
    ),
}


def checklists() -> tuple[Table, ...]:
    """Return what to check at every place, each with a box, and room for what was measured."""
    return tuple(
        Table(place, ("done", "what", "measured"), tuple((_BOX, what, room) for what, room in rows))
        for place, rows in _PLACES.items()
    )
