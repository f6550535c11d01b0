"""The usual ways from one impedance to another, each made up for a set of bands from cables and parts that exist."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.formulas import twoports
from workbook.line.cable import Cable
from workbook.matching.leave import leave_it, leave_over
from workbook.matching.match import Match, are_matched
from workbook.matching.nearest import Choice, choices_of, nearest_of
from workbook.matching.pad import pad_match
from workbook.matching.sections import out_of_range, pair, pair_match, quarter_wave, single_line
from workbook.matching.transformer import Core, core_numbers
from workbook.matching.windings import USUAL_TURNS, best_transformer
from workbook.units import with_unit

LEAVE, TRANSFORMER, QUARTER_WAVE = "leave it", "wideband transformer", "quarter-wave line"
PAIR, SERIES, PAD = "twelfth-wave pair", "series section", "minimum-loss pad"
KINDS = (LEAVE, TRANSFORMER, QUARTER_WAVE, PAIR, SERIES, PAD)
"""The usual ways, in the order of how much there is to build."""

TRIALS, COARSE = 61, 4
"""Design frequencies tried between the lowest and the highest that is wanted; to choose among many pairs of lines, only
every so many of these, and of the frequencies that are looked at.
"""


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
    most_turns: int = USUAL_TURNS
    pads: tuple[int | None, ...] = (None, 96, 24)
    run: tuple[Cable, float] | None = None

    @property
    def middle(self) -> float:
        """Geometric middle of all frequencies [Hz]."""
        return float(np.sqrt(self.hertz.min() * self.hertz.max()))


Pair = tuple[Choice, Choice]
"""Two lines, the one at the source first."""


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
    ends = with_unit(wanted.source, "ohm"), with_unit(wanted.load, "ohm")
    if wanted.run is None or not wanted.run[1]:
        return leave_it(*ends)
    cable, metres = wanted.run
    return leave_over(*ends, cable, with_unit(metres, "m"), with_unit(wanted.middle, "Hz"))


def _transformer(wanted: Wanted) -> Match:
    return best_transformer(wanted.source, wanted.load, wanted.core, wanted.most_turns, wanted.hertz, wanted.limits)


def _quarter_wave(wanted: Wanted) -> Match:
    ohms, radians = single_line(wanted.source, wanted.load)
    hertz = _best_frequency(wanted, (ohms,), (radians,))
    choice = nearest_of(ohms, hertz, wanted.cables)[0]
    return quarter_wave(wanted.source, wanted.load, hertz, choice.cable, radians, choice.count)


def _twelfth_wave(wanted: Wanted) -> Match:
    """Return the pair of the load's and the source's impedance."""
    like_source, like_load = _nearest_to_ends(wanted)
    are_real = not (np.imag(wanted.source) or np.imag(wanted.load))
    return _best_pair("twelfth-wave pair" if are_real else "pair of lines", wanted, [(like_load, like_source)])


def _series(wanted: Wanted) -> Match:
    """Return the best section of another impedance beside a line like one of the ends.

    The section lies before a line of the source's impedance, or behind one of the load's, which is the same turned
    round.
    """
    like_source, like_load = _nearest_to_ends(wanted)
    every = choices_of(wanted.middle, wanted.cables)
    # another cable of the nominal impedance of the twelfth-wave pair would be the same thing again
    before = [(each, like_source) for each in every if each.nominal_ohms != like_load.nominal_ohms]
    behind = [(like_load, each) for each in every if each.nominal_ohms != like_source.nominal_ohms]
    return _best_pair(SERIES, wanted, before + behind)


def _nearest_to_ends(wanted: Wanted) -> Pair:
    """Return the cables nearest to the source and to the load, if the two need a match at all."""
    if are_matched(wanted.source, wanted.load):
        raise InputError("is equal to load, so no section is needed", where="source", remedy="join them directly")
    one, other = (nearest_of(abs(ohms), wanted.middle, wanted.cables, 1)[0] for ohms in (wanted.source, wanted.load))
    return one, other


def _best_pair(name: str, wanted: Wanted, among: list[Pair]) -> Match:
    """Return the pair of lines, the one at the source first, that does best, or say what would do."""
    # two of the same cable in parallel are another line too
    pairs = [two for two in among if two[0].cable is not two[1].cable or two[0].count != two[1].count]
    if not pairs:
        raise InputError(
            f"{among[0][0].cable.name} is the nearest to both ends, and two kinds are needed",
            where="cables",
            remedy="choose a cable of another impedance too",
        )
    impedances = np.array([[each.ohms.real for each in two] for two in pairs])
    at_source, at_load = impedances.T
    lags = twoports.pair_lags(wanted.source, at_source, at_load, wanted.load)[:, 0]
    for place in _best_first(wanted, impedances, lags):
        hertz = _best_frequency(wanted, impedances[place], lags[place])
        made_of, counts = zip(*((each.cable, each.count) for each in pairs[place]), strict=True)
        parts = pair(wanted.source, made_of, wanted.load, hertz, counts)
        if parts is not None:
            return pair_match(name, wanted.source, parts, wanted.load, hertz)
    _, nearest = min((abs(ohms - (wanted.load, wanted.source)).sum(), tuple(ohms)) for ohms in impedances)
    raise InputError(out_of_range("cables", wanted.source, nearest, wanted.load, wanted.middle))


def _best_first(wanted: Wanted, impedances: Any, lags: Any) -> Any:
    """Return the places of pairs that match, the one with the least worst SWR first."""
    possible = np.flatnonzero(np.isfinite(lags).all(axis=1))
    trials, hertz = _trials(wanted)[::COARSE], wanted.hertz[..., ::COARSE]
    worst = _worst_swr(wanted, trials, hertz, impedances[possible].T, lags[possible].T).min(axis=1)
    return possible[np.argsort(worst, kind="stable")]


def _pad(values: int | None, wanted: Wanted) -> Match:
    return pad_match(with_unit(wanted.source, "ohm"), with_unit(wanted.load, "ohm"), values)


def _trials(wanted: Wanted) -> Any:
    return np.unique(np.geomspace(wanted.hertz.min(), wanted.hertz.max(), TRIALS))


def _best_frequency(wanted: Wanted, impedances: Any, lags: Any) -> float:
    """Return the design frequency [Hz] with the least worst SWR for ideal lines of these impedances."""
    trials = _trials(wanted)
    return float(trials[np.argmin(_worst_swr(wanted, trials, wanted.hertz, impedances, lags))])


def _worst_swr(wanted: Wanted, trials: Any, hertz: Any, impedances: Any, lags: Any) -> Any:
    """Return the worst SWR for each design frequency (last axis); impedances and lags by line, arrays for many."""
    turns = hertz.ravel() / trials[:, None]
    wide = zip(np.asarray(impedances)[..., None, None], np.asarray(lags)[..., None, None], strict=True)
    chain = twoports.cascade(twoports.line(1j * lag * turns, ohms) for ohms, lag in wide)
    back = twoports.scattering(chain, wanted.source, wanted.load)[0]
    return twoports.swr(np.abs(back).max(axis=-1))
