"""Delay lines that are cut already: which element uses which, and how far each is from what the rule gives."""

from collections.abc import Iterator, Sequence

import numpy as np

from workbook.design.directions import Feeds
from workbook.design.hubs import HubBase
from workbook.design.schema import DesignFile
from workbook.formulas.lines import length_of_delay
from workbook.plan.cuts import design_cable
from workbook.plan.delays import Lines
from workbook.plan.pieces import DelayLine
from workbook.plan.results import Cost
from workbook.units import FloatArray

ALIKE_S = 5e-12
"""Entered delays nearer than this are pieces of one line: a millimetre of cable."""


def kept_delays(design: DesignFile) -> FloatArray | None:
    """Return the delays [s] of the lines that the hub has already, in the order of the file; None where it has none.

    A length counts between connectors, whose delay is added.
    """
    entries = design.hub.lines
    if entries is None:
        return None
    made_of = design_cable(design, design.cables.delay_line)
    metres_per_second = float(length_of_delay(1.0, float(made_of.velocity(design.cut_hertz))))
    extra = 2 * design.ends.delay_line.delay.m_as("s")
    return np.array(
        [float(one.m_as("s") if one.check("[time]") else one.m_as("m") / metres_per_second + extra) for one in entries]
    )


def kept_lines(wanted: Feeds, kept: FloatArray, hub: type[HubBase]) -> Lines:
    """Return the entered lines that are used: every element goes through the one of the nearest delay, or none.

    Parameters
    ----------
    wanted
        Feeds of all directions, (D, N).
    kept
        Delays [s] as entered; of a hub in series the pieces from the undelayed end on.
    hub
        The kind of hub.
    """
    taps = hub.at_taps(kept) if hub.in_series else _distinct(kept)
    delays = np.nan_to_num(wanted.delays)
    nearest = np.abs(delays[..., None] - np.append(0.0, taps)).argmin(axis=-1) - 1
    nearest[np.isnan(wanted.delays)] = -1
    # in series the pieces before a tap are needed although nothing enters between them
    needed = np.arange(nearest.max() + 1) if hub.in_series else np.unique(nearest[nearest >= 0])
    places = np.full(len(taps) + 1, -1)
    places[needed] = np.arange(len(needed))
    used = places[nearest]
    counts = [hub.line_count(used == number, wanted.polarity) for number in range(len(needed))]
    off = np.abs(delays - np.append(taps[needed], 0.0)[used])
    apart = [float(np.max(off[used == number], initial=0.0)) for number in range(len(needed))]
    return Lines(taps[needed], np.array(counts, dtype=int), used, np.array(apart))


def _distinct(kept: FloatArray) -> FloatArray:
    rising = np.sort(kept)
    return rising[np.diff(rising, prepend=-1.0) > ALIKE_S]


def kept_notes(design: DesignFile, lines: Sequence[DelayLine], cost: Cost | None) -> Iterator[str]:
    """Yield what the lines that are cut already do to the pattern, which are missing and which are not used."""
    kept = kept_delays(design)
    if kept is None:
        return
    if cost is not None:
        rdf, back = (max(lost, 0.0) for lost in cost)
        verdict = "" if cost.matters else ", which does not matter"
        yield (
            f"With the lines under [hub] the array loses at most {rdf:.2f} dB of RDF and {back:.1f} dB of "
            f"front-to-back beside lines cut for it{verdict}."
        )
    for line in lines:
        have = int(np.sum(np.abs(kept - line.delay_s) <= ALIKE_S))
        if line.count > have:
            yield f"Line {line.label} is needed {line.count} times, but under [hub] it is entered only {have} times."
    delays = np.array([line.delay_s for line in lines])
    idle = [entry for entry, seconds in zip(design.hub.lines or (), kept, strict=True) if not _near(delays, seconds)]
    if idle:
        yield f"Not used of the lines under [hub]: {', '.join(f'{entry:.6g~P}' for entry in idle)}."


def _near(delays: FloatArray, seconds: float) -> bool:
    return bool(np.any(np.abs(delays - seconds) <= ALIKE_S))
