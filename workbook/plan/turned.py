"""Beam headings that are not along the symmetry of the array, and how many more delay lines they take."""

from collections.abc import Iterator
from dataclasses import replace

from workbook.design.directions import ArraySetup, Direction, Feeds
from workbook.design.phasing import SearchMemory
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.delays import distinct_lines
from workbook.plan.feeds import Progress
from workbook.units import Quantity

ALONG_DEG = 0.01
"""A heading this near to the symmetry is along it."""
MOST_NAMED = 4
"""Headings that are named; of more the others are counted."""


def turned_directions(design: DesignFile) -> dict[int, Direction]:
    """Return the directions that are not along the array's symmetry by their place, each aimed at the nearest that is.

    Nothing where the stakes are entered, where the delays are, or where the lines are cut already.
    """
    symmetry = design.array.symmetry_deg()
    if symmetry is None or design.phasing.enters_feeds or design.hub.lines is not None:
        return {}
    first, step = symmetry
    found = {}
    for number, one in enumerate(design.directions):
        azimuth = float(one.azimuth.m_as("degree"))
        along = first + step * round((azimuth - first) / step)
        if abs(azimuth - along) > ALONG_DEG:
            found[number] = one.model_copy(update={"azimuth": Quantity(along % 360, "degree")})
    return found


def along_symmetry(
    design: DesignFile, setup: ArraySetup, wanted: Feeds, memory: SearchMemory, progress: Progress | None
) -> Feeds | None:
    """Return what the rule gives all elements with every beam along the symmetry; None where it has no answer."""
    delays, polarity, amplitude = wanted.delays.copy(), wanted.polarity.copy(), wanted.amplitude.copy()
    for number, aimed in turned_directions(design).items():

        def report(share: float, number: int = number, name: str = aimed.name) -> None:
            if progress:
                progress(number, name, share)

        try:
            searched = design.phasing.search(setup, aimed, memory, report)
            feeds = design.phasing.feeds(setup, aimed, setup.cut_hertz, searched)
        except InputError:
            return None
        delays[number], polarity[number], amplitude[number] = feeds.delays, feeds.polarity, feeds.amplitude
    return replace(wanted, delays=delays, polarity=polarity, amplitude=amplitude)


def turned_notes(design: DesignFile, wanted: Feeds, along: Feeds | None) -> Iterator[str]:
    """Yield that beams are not along the symmetry, with the delay lines that this takes.

    Parameters
    ----------
    design
        The design.
    wanted
        What the rule gives every element, (D, N).
    along
        The same with all beams along the symmetry; None where that is not known.
    """
    turned = turned_directions(design)
    if not turned:
        return
    headings = ", ".join(dict.fromkeys(f"{one.azimuth.m_as('degree'):.6g}" for one in turned.values()))
    words = f"heading{'s' if ',' in headings else ''} {headings} deg"
    said = _headings(design, list(turned))
    if along is None:
        yield f"{said}; the nearest along it: {words}."
        return
    highest, hub = max(design.band_hertz.values()), design.hub
    now, then = (len(distinct_lines(each, highest, type(hub), hub.merge_deg).delays) for each in (wanted, along))
    if now > then:
        more = "1 more delay line" if now - then == 1 else f"{now - then} more delay lines"
        yield f"{said}: the design needs {more} ({now}, not {then}) than with {words}."
    else:
        yield f"{said}; {words} would save no delay line, so this does not matter."


def _headings(design: DesignFile, places: list[int]) -> str:
    each = [f"{design.directions[n].name} ({design.directions[n].azimuth.m_as('degree'):.6g} deg)" for n in places]
    rest = len(each) - MOST_NAMED
    named = ", ".join(each[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")
    several = len(each) > 1
    return (
        f"The beam heading{'s' if several else ''} of {named} {'are' if several else 'is'} not along the array's "
        "symmetry"
    )
