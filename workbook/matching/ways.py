"""The usual ways from one impedance to another, each made up for a set of bands from cables and parts that exist."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.formulas import twoports
from workbook.line.cable import Cable
from workbook.matching.leave import leave_it, leave_over
from workbook.matching.match import Match
from workbook.matching.nearest import Choice, choices_of, nearest_of
from workbook.matching.pad import pad_match
from workbook.matching.sections import out_of_range, pair, pair_match, quarter_wave, single_line
from workbook.matching.transformer import Core, core_numbers, transformer_match
from workbook.matching.turns import Turns, transformer_turns
from workbook.units import give

LEAVE, TRANSFORMER, QUARTER_WAVE = "leave it", "wideband transformer", "quarter-wave line"
PAIR, SERIES, PAD = "twelfth-wave pair", "series section", "minimum-loss pad"
KINDS = (LEAVE, TRANSFORMER, QUARTER_WAVE, PAIR, SERIES, PAD)
"""The usual ways, in the order of how much there is to build."""

TRIALS = 61
"""Design frequencies tried between the lowest and the highest that is wanted."""

MOST_TURNS, MOST_WOUND = 12, 36
"""Most turns from which a ratio is made, and most turns of a winding that has a multiple of them."""


class Wanted(NamedTuple):
    """What every way is made for: both ends [ohm], frequencies [Hz], limits of SWR and loss [1, dB], cables, a core.

    `most_turns` limits each winding; `pads` are the resistor series to make pads of, None = exact; `run` is the cable
    between the ends and its length [m] where they are left as they are, None or 0 = joined directly.
    """

    source: Any
    load: Any
    hertz: Any
    limits: tuple[float, float]
    cables: tuple[Cable, ...]
    core: Core | None
    most_turns: int = MOST_WOUND
    pads: tuple[int | None, ...] = (None, 96, 24)
    run: tuple[Cable, float] | None = None

    @property
    def middle(self) -> float:
        """Geometric middle of all frequencies [Hz]."""
        return float(np.sqrt(self.hertz.min() * self.hertz.max()))


class Way(NamedTuple):
    """One of the usual ways: its kind, and either the match or in one sentence why there is none."""

    kind: str
    match: Match | None
    why_not: str = ""


def usual_ways(wanted: Wanted) -> Iterator[Match]:
    """Yield every way that exists between two ends; the ways that cannot match them are left out."""
    return (way.match for way in every_way(wanted) if way.match is not None)


def every_way(wanted: Wanted) -> tuple[Way, ...]:
    """Return all usual ways in a fixed order, those that cannot match these ends with the reason."""
    core_numbers(wanted.core)
    makers = ((TRANSFORMER, _transformer), (QUARTER_WAVE, _quarter_wave), (PAIR, _twelfth_wave), (SERIES, _series))
    pads = (_tried(PAD, partial(_pad, values), wanted) for values in wanted.pads)
    return (Way(LEAVE, _left(wanted)), *(_tried(kind, make, wanted) for kind, make in makers), *pads)


def _tried(kind: str, make: Callable[[Wanted], Match], wanted: Wanted) -> Way:
    try:
        return Way(kind, make(wanted))
    except InputError as error:
        return Way(kind, None, str(error))


def _left(wanted: Wanted) -> Match:
    ends = give(wanted.source, "ohm"), give(wanted.load, "ohm")
    if wanted.run is None or not wanted.run[1]:
        return leave_it(*ends)
    cable, metres = wanted.run
    return leave_over(*ends, cable, give(metres, "m"), give(wanted.middle, "Hz"))


def _transformer(wanted: Wanted) -> Match:
    """Return the transformer of the nearest ratio whose multiple does best on the bands."""
    ends = give(wanted.source, "ohm"), give(wanted.load, "ohm")
    first, second = abs(ends[0]), abs(ends[1])
    # of few turns where they reach, since their multiples are tried too
    few = MOST_TURNS if max(first / second, second / first) <= MOST_TURNS**2 else wanted.most_turns
    turns = transformer_turns(first, second, min(few, wanted.most_turns))
    trials = [
        transformer_match(*ends, wanted.core, Turns(n * turns.source, n * turns.load, turns.impedance_error))
        for n in range(1, 1 + wanted.most_turns // max(turns.source, turns.load))
    ]
    return min(trials, key=lambda match: float(match.excess(wanted.hertz, *wanted.limits).max()))


def _quarter_wave(wanted: Wanted) -> Match:
    ohms, radians = single_line(wanted.source, wanted.load)
    hertz, _ = _best_frequency(wanted, (ohms,), (radians,))
    choice = nearest_of(ohms, hertz, wanted.cables)[0]
    return quarter_wave(wanted.source, wanted.load, hertz, choice.cable, radians, choice.count)


def _twelfth_wave(wanted: Wanted) -> Match:
    """Return the pair of the load's and the source's impedance."""
    line, crossed = _nearest_to_ends(wanted)
    are_real = not (np.imag(wanted.source) or np.imag(wanted.load))
    return _pair("twelfth-wave pair" if are_real else "pair of lines", wanted, (crossed,), line)


def _series(wanted: Wanted) -> Match:
    """Return the best section of another impedance before a line of the source's."""
    line, crossed = _nearest_to_ends(wanted)
    # another cable of the same nominal impedance would be the same thing again
    others = (c for c in choices_of(wanted.middle, wanted.cables) if c.nominal_ohms != crossed.nominal_ohms)
    return _pair(SERIES, wanted, tuple(others), line)


def _nearest_to_ends(wanted: Wanted) -> tuple[Choice, Choice]:
    """Return the cables nearest to the source and to the load, if the two need a match at all."""
    if wanted.source == wanted.load.conjugate():
        raise InputError("source: is equal to load, so no section is needed; join them directly.")
    line, crossed = (nearest_of(abs(ohms), wanted.middle, wanted.cables, 1)[0] for ohms in (wanted.source, wanted.load))
    return line, crossed


def _pair(name: str, wanted: Wanted, among: tuple[Choice, ...], line: Choice) -> Match:
    """Return the pair of one of several sections before a line that does best, or say what would do."""
    # two of the line's own cable in parallel are a section too
    sections = [choice for choice in among if choice.cable is not line.cable or choice.count > 1]
    if not sections:
        raise InputError(
            f"cables: {line.cable.name} is the nearest to both ends, and two kinds are needed; "
            "choose a cable of another impedance too."
        )
    found = []
    for choice in sections:
        impedances = choice.ohms.real, line.ohms.real
        lags = twoports.pair_lags(wanted.source, *impedances, wanted.load)[0]
        if np.all(np.isfinite(lags)):
            hertz, swr = _best_frequency(wanted, impedances, lags)
            found.append((swr, hertz, choice))
    if found:
        _, hertz, choice = min(found, key=lambda each: each[0])
        parts = pair(wanted.source, (choice.cable, line.cable), wanted.load, hertz, (choice.count, 1))
        if parts is not None:
            return pair_match(name, wanted.source, parts, wanted.load, hertz)
    nearest = min(sections, key=lambda choice: abs(choice.ohms - wanted.load)).ohms.real
    raise InputError(out_of_range("cables", wanted.source, (nearest, line.ohms.real), wanted.load, wanted.middle))


def _pad(values: int | None, wanted: Wanted) -> Match:
    return pad_match(give(wanted.source, "ohm"), give(wanted.load, "ohm"), values)


def _best_frequency(wanted: Wanted, impedances: Any, lags: Any) -> tuple[float, float]:
    """Return the design frequency [Hz] with the least worst SWR for ideal lines of these impedances, and that SWR."""
    trials = np.unique(np.geomspace(wanted.hertz.min(), wanted.hertz.max(), TRIALS))
    turns = wanted.hertz.ravel() / trials[:, None]
    lines = (twoports.line(1j * lag * turns, ohms) for ohms, lag in zip(impedances, lags, strict=True))
    back = twoports.scattering(twoports.cascade(lines), wanted.source, wanted.load)[0]
    worst = twoports.swr(np.abs(back).max(axis=1))
    best = int(np.argmin(worst))
    return float(trials[best]), float(worst[best])
