"""The matching methods in one registry, each designed for a set of bands from cables and parts that exist; compared."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Any, NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.formatting import impedance_text
from workbook.formulas import twoports
from workbook.line.cable import Cable
from workbook.matching import direct, pad, sections, transformer
from workbook.matching.arguments import Edges, Limits, are_matched, band_edges, chosen_cables, end, limit_pair, sampled
from workbook.matching.match import SEARCHED, Match, Response
from workbook.matching.ranking import ranked
from workbook.matching.sections import CableChoice
from workbook.matching.transformer import Core, core_numbers
from workbook.units import FloatArray, Impedance, IntArray, Loss, with_unit

MOST_SWR, MOST_LOSS = 1.2, "1 dB"
"""Limits by which matches are ranked unless others are given."""

TRIALS, COARSE = 61, 4
"""Design frequencies tried between the lowest and the highest that is wanted; to choose among many pairs of lines, only
every so many of these, and of the frequencies sampled.
"""

POINTS, BESIDE = 160, 1.5
"""Frequencies at which matches are compared in a picture, and how far beyond the bands as a factor."""


@dataclass(frozen=True, eq=False)
class Requirements:
    """What every match is designed for.

    `source` and `load` are the two ends [ohm], `edges` names and edges [Hz] of the bands, `limits` the greatest SWR
    and loss [dB], `cables` what lines may be made of; `most_turns` limits each winding on the core (None = the
    example), unless the `turns` at source and load are given; `run` is the cable between the ends and its length [m]
    where they are joined without a match, None or 0 m = joined directly.
    """

    source: complex
    load: complex
    edges: Edges
    limits: Limits
    cables: tuple[Cable, ...]
    core: Core | None = None
    most_turns: int = transformer.USUAL_TURNS
    run: tuple[Cable, float] | None = None
    turns: tuple[int, int] | None = None

    @cached_property
    def hertz(self) -> FloatArray:
        """Frequencies [Hz] at which matches are judged, a row for each band."""
        return sampled(self.edges)

    @property
    def middle(self) -> float:
        """Geometric mean of the lowest and the highest frequency [Hz]."""
        return float(np.sqrt(self.hertz.min() * self.hertz.max()))

    @property
    def ends(self) -> tuple[Impedance, Impedance]:
        """Source and load [ohm]."""
        return with_unit(self.source, "ohm"), with_unit(self.load, "ohm")

    @property
    def description(self) -> str:
        """Both impedances in words."""
        return impedance_text(self.source, self.load)


# --- the methods ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Method:
    """One way from one impedance to another: its key, its name as in a design file, and what designs it.

    Methods of one `family` differ only in the parts they are made of, and share one entry and one colour.
    """

    key: str
    name: str
    design: Callable[[Requirements], Match]
    family: str


def _direct(wanted: Requirements) -> Match:
    if wanted.run is None or not wanted.run[1]:
        return direct.direct_connection(*wanted.ends)
    cable, metres = wanted.run
    return direct.run_connection(*wanted.ends, cable, with_unit(metres, "m"), with_unit(wanted.middle, "Hz"))


def _transformer(wanted: Requirements) -> Match:
    if wanted.turns is not None:
        return transformer.wound(wanted.source, wanted.load, wanted.core, wanted.turns)
    return transformer.best_transformer(
        wanted.source, wanted.load, wanted.core, wanted.most_turns, wanted.hertz, wanted.limits
    )


def _quarter_wave(wanted: Requirements) -> Match:
    ohms, radians = sections.single_line(wanted.source, wanted.load)
    hertz = _best_frequency(wanted, (ohms,), (radians,))
    choice = sections.nearest_to(ohms, hertz, wanted.cables)[0]
    return sections.quarter_wave(wanted.source, wanted.load, hertz, choice.cable, radians, choice.count)


def _twelfth_wave(wanted: Requirements) -> Match:
    """Return the pair of the load's and the source's impedance."""
    like_source, like_load = _nearest_to_ends(wanted)
    are_real = not (np.imag(wanted.source) or np.imag(wanted.load))
    name = sections.TWELFTH_WAVE if are_real else sections.PAIR
    return _best_pair(name, wanted, [(like_load, like_source)])


def _series_section(wanted: Requirements) -> Match:
    """Return the best section of another impedance beside a line like one of the ends.

    The section lies before a line of the source's impedance, or behind one of the load's, which is the same turned
    round.
    """
    like_source, like_load = _nearest_to_ends(wanted)
    every = sections.cable_choices(wanted.middle, wanted.cables)
    # another cable of the nominal impedance of the twelfth-wave pair would be the same thing again
    before = [(each, like_source) for each in every if each.nominal_ohms != like_load.nominal_ohms]
    behind = [(like_load, each) for each in every if each.nominal_ohms != like_source.nominal_ohms]
    return _best_pair(sections.SERIES, wanted, before + behind)


def _pad(values_per_decade: int | None, wanted: Requirements) -> Match:
    return pad.pad_match(*wanted.ends, values_per_decade)


_PAD = "minimum-loss pad"
DIRECT = Method("direct", direct.NAME, _direct, direct.NAME)
TRANSFORMER = Method("transformer", transformer.NAME, _transformer, transformer.NAME)
QUARTER_WAVE = Method("quarter-wave", sections.QUARTER_WAVE, _quarter_wave, sections.QUARTER_WAVE)
TWELFTH_WAVE = Method("twelfth-wave", sections.TWELFTH_WAVE, _twelfth_wave, sections.TWELFTH_WAVE)
SERIES_SECTION = Method("series-section", sections.SERIES, _series_section, sections.SERIES)
EXACT_PAD = Method("pad", pad.NAMES[None], partial(_pad, None), _PAD)
E96_PAD = Method("pad-e96", pad.NAMES[96], partial(_pad, 96), _PAD)
E24_PAD = Method("pad-e24", pad.NAMES[24], partial(_pad, 24), _PAD)

METHODS = (DIRECT, TRANSFORMER, QUARTER_WAVE, TWELFTH_WAVE, SERIES_SECTION, EXACT_PAD, E96_PAD, E24_PAD)
"""All matching methods, in the order of how much there is to build."""

FAMILIES = tuple(dict.fromkeys(method.family for method in METHODS))
"""Families of methods in the same order."""


def method_named(name: str) -> Method:
    """Return the method of a name in a design file."""
    return next(method for method in METHODS if method.name == name)


# --- candidates -------------------------------------------------------------------------------------------


class Candidate(NamedTuple):
    """A method with its match."""

    method: Method
    match: Match

    @property
    def short_name(self) -> str:
        """The match's name without what its parts are made of."""
        return self.match.name if self.method.family == self.method.name else self.method.family


class Rejected(NamedTuple):
    """A method that cannot match these ends, and why."""

    method: Method
    refusal: InputError


def candidates(wanted: Requirements, methods: Sequence[Method] = METHODS) -> tuple[Candidate | Rejected, ...]:
    """Return every method in its order with its match, or with the reason why there is none.

    Raises
    ------
    InputError
        When the core is out of range, whatever the method.
    """
    core_numbers(wanted.core)
    return tuple(_tried(method, wanted) for method in methods)


def _tried(method: Method, wanted: Requirements) -> Candidate | Rejected:
    try:
        return Candidate(method, method.design(wanted))
    except InputError as error:
        return Rejected(method, error)


@dataclass(frozen=True, eq=False)
class Comparison:
    """Methods that match, best first and each with the reason for its rank, and those that cannot."""

    wanted: Requirements
    ranked: tuple[Candidate, ...]
    rejected: tuple[Rejected, ...]

    @property
    def matches(self) -> tuple[Match, ...]:
        """The matches in the order of their rank."""
        return tuple(candidate.match for candidate in self.ranked)

    def place(self, family: str) -> int | None:
        """Return the rank of a family of methods from 0; None where it cannot match these ends."""
        return next((n for n, candidate in enumerate(self.ranked) if candidate.method.family == family), None)

    @cached_property
    def hertz(self) -> FloatArray:
        """Frequencies [Hz] on the bands and a little beside them, for pictures."""
        low, high = min(low for _, low, _ in self.wanted.edges), max(high for _, _, high in self.wanted.edges)
        return np.geomspace(max(low / BESIDE, SEARCHED[0]), min(high * BESIDE, SEARCHED[1]), POINTS)

    @cached_property
    def responses(self) -> tuple[Response, ...]:
        """What each match does on these frequencies, plain numbers."""
        return tuple(match.plain(self.hertz) for match in self.matches)


def compare(wanted: Requirements, methods: Sequence[Method] = METHODS) -> Comparison:
    """Return all methods for what is wanted, those that match ranked by what they do on the bands."""
    found = candidates(wanted, methods)
    possible = [each for each in found if isinstance(each, Candidate)]
    order = ranked([each.match for each in possible], wanted.edges, wanted.limits)
    best_first = (Candidate(possible[n].method, replace(possible[n].match, reason=why)) for n, why in order)
    return Comparison(wanted, tuple(best_first), tuple(each for each in found if isinstance(each, Rejected)))


def compare_matches(
    source: Impedance,
    load: Impedance,
    bands: Iterable[Any],
    cables: Iterable[Any] | None = None,
    core: Core | None = None,
    most_swr: float = MOST_SWR,
    most_loss: Loss = MOST_LOSS,
    region: int = 2,
) -> tuple[Match, ...]:
    """Return the usual ways to match source and load, best first, each with the reason for its place.

    Matches that keep within both limits on all the bands come first, the one with the least loss leading; then the
    others, the nearest to the limits leading. Lines are of the cables nearest to the impedances wanted; their design
    frequency is the one with the least worst SWR on the bands. Methods that cannot match these ends are left out.

    Parameters
    ----------
    source, load
        Impedances to be matched.
    bands
        Band names or (low, high) frequencies.
    cables
        Cables or names of cables to choose from; None = the coaxial cables of the catalogue.
    core
        Core of the transformer; None = a small ferrite core as an example.
    most_swr, most_loss
        Limits of SWR at either end (a plain number) and of insertion loss.
    region
        ITU region of the band names.

    Returns
    -------
    matches, each with its name and reason

    Raises
    ------
    InputError
        When an end has no resistance above zero, or a band, a cable, the core or a limit is not usable.

    Examples
    --------
    >>> compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"))[0].name
    'wideband transformer'
    """
    ends = end(source, "source"), end(load, "load")
    edges = band_edges(bands, region)
    limits = limit_pair(most_swr, most_loss)
    return compare(Requirements(*ends, edges, limits, chosen_cables(cables), core)).matches


# --- the best lines ---------------------------------------------------------------------------------------

CablePair = tuple[CableChoice, CableChoice]
"""Cables of two lines, the one at the source first."""


def _nearest_to_ends(wanted: Requirements) -> CablePair:
    """Return the cables nearest to the source and to the load, if the two need a match at all."""
    if are_matched(wanted.source, wanted.load):
        raise sections.needless("source", "load")
    ends = (abs(wanted.source), abs(wanted.load))
    one, other = (sections.nearest_to(ohms, wanted.middle, wanted.cables, 1)[0] for ohms in ends)
    return one, other


def _best_pair(name: str, wanted: Requirements, among: list[CablePair]) -> Match:
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
    for n in _best_first(wanted, impedances, lags):
        hertz = _best_frequency(wanted, impedances[n], lags[n])
        one, other = pairs[n]
        made_of, counts = (one.cable, other.cable), (one.count, other.count)
        parts = sections.pair(wanted.source, made_of, wanted.load, hertz, counts)
        if parts is not None:
            return sections.pair_match(name, wanted.source, parts, wanted.load, hertz)
    first, second = min(impedances, key=lambda ohms: (abs(ohms - (wanted.load, wanted.source)).sum(), tuple(ohms)))
    raise sections.out_of_range("cables", wanted.source, (first, second), wanted.load, wanted.middle)


def _best_first(wanted: Requirements, impedances: FloatArray, lags: FloatArray) -> IntArray:
    """Return the indices of pairs that match, the one with the least worst SWR first."""
    possible = np.flatnonzero(np.isfinite(lags).all(axis=1))
    trials, hertz = _trials(wanted)[::COARSE], wanted.hertz[..., ::COARSE]
    worst = _worst_swr(wanted, trials, hertz, impedances[possible].T, lags[possible].T).min(axis=1)
    return possible[np.argsort(worst, kind="stable")]


def _trials(wanted: Requirements) -> FloatArray:
    return np.unique(np.geomspace(wanted.hertz.min(), wanted.hertz.max(), TRIALS))


def _best_frequency(wanted: Requirements, impedances: Sequence[float], lags: Sequence[float]) -> float:
    """Return the design frequency [Hz] with the least worst SWR for ideal lines of these impedances."""
    trials = _trials(wanted)
    return float(trials[np.argmin(_worst_swr(wanted, trials, wanted.hertz, impedances, lags))])


def _worst_swr(wanted: Requirements, trials: FloatArray, hertz: FloatArray, impedances: Any, lags: Any) -> FloatArray:
    """Return the worst SWR for each design frequency (last axis); impedances and lags by line, arrays for many."""
    turns = hertz.ravel() / trials[:, None]
    wide = zip(np.asarray(impedances)[..., None, None], np.asarray(lags)[..., None, None], strict=True)
    chain = twoports.cascade(twoports.line(1j * lag * turns, ohms) for ohms, lag in wide)
    back = twoports.scattering(chain, wanted.source, wanted.load)[0]
    worst: FloatArray = twoports.swr(np.abs(back).max(axis=-1))
    return worst
