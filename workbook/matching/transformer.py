"""A wideband transformer of two windings on one core: its turns, and which turns do best on the bands of interest."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import check_broadcast, instance, plain_number, positive, single, whole_number
from workbook.errors import InputError
from workbook.matching.arguments import Edges, Limits, band_edges, end, limit_pair, resistances
from workbook.matching.match import Match
from workbook.matching.parts import Windings
from workbook.matching.ranking import Rank, rank, worst_on
from workbook.units import FloatArray, Impedance, IntArray, Loss, scalar, with_unit

NAME = "wideband transformer"
"""The transformer's name, as in a design file."""

MOST_TURNS = 200
"""More turns than this on one winding are a slip."""

USUAL_TURNS = 36
"""Most turns of a winding unless others are allowed; so many are tried before a limit is called too small."""

OUT_OF_REACH = 1.2
"""SWR left by the greatest ratio above which a limit of turns counts as too small."""

DECIMALS = 2
"""Turns that do equally well to these decimals of a dB and of SWR are equals; the fewest of them are taken."""


# --- turns by their ratio ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Turns:
    """Turns of the winding at the source and of the one at the load, and how far their ratio squared is off.

    `impedance_error` = (source/load)^2 of the turns over source/load of the impedances, less 1; a plain number.
    """

    source: Any
    load: Any
    impedance_error: Any


def transformer_turns(source: Impedance, load: Impedance, most_turns: int) -> Turns:
    """Return the turns whose ratio squared is nearest to source/load; the fewest turns where several are.

    A small limit has few ratios; `impedance_error` says how far the nearest of them is off.

    Parameters
    ----------
    source, load
        Resistances to be matched.
    most_turns
        Greatest number of turns for each winding, 1 to 200.

    Returns
    -------
    turns and error (plain numbers) in the shape that the resistances broadcast to

    Raises
    ------
    InputError
        When the limit is not such a number, or source/load lies beyond the greatest ratio that it allows, by more
        than an SWR of 1.2; the sentence says the least limit with a ratio within that SWR.

    Examples
    --------
    >>> transformer_turns("75 ohm", "50 ohm", 5)
    Turns(source=5, load=4, impedance_error=0.0417)
    """
    source_ohms, load_ohms = resistances(source, "source"), resistances(load, "load")
    check_broadcast(source_ohms, load_ohms)
    most = whole_number(most_turns, "most_turns", 1, MOST_TURNS)
    wanted = np.asarray(source_ohms / load_ohms)
    _check_reach(float(np.max(np.maximum(wanted, 1 / wanted), initial=1.0)), most)
    first, second = _turn_pairs(most)
    nearest = np.argmin(_distance(wanted[..., None], (first / second) ** 2), axis=-1)
    error = (first[nearest] / second[nearest]) ** 2 / wanted - 1
    return Turns(scalar(first[nearest]), scalar(second[nearest]), scalar(error))


def _turn_pairs(most: int) -> tuple[IntArray, IntArray]:
    """Return all pairs of windings, fewest turns first, so that the first of equal ones has the fewest."""
    first, second = (n.ravel() for n in np.mgrid[1 : most + 1, 1 : most + 1])
    order = np.argsort(first + second, kind="stable")
    return first[order], second[order]


def _distance(wanted: FloatArray, ratio: FloatArray) -> FloatArray:
    # rounded, so that ratios equally far above and below count as equal
    distance: FloatArray = np.round(np.abs(ratio / wanted - 1), decimals=12).astype(float, copy=False)
    return distance


def _check_reach(ratio: float, most: int, enough: int | None = None) -> None:
    """Refuse an impedance ratio above 1 that lies far beyond a limit of turns.

    `enough` is the limit that would do, None = the least with a ratio that leaves no SWR above 1.2.
    """
    if ratio <= OUT_OF_REACH * most**2:
        return
    if enough is None:
        first, second = _turn_pairs(MOST_TURNS)
        left = first**2 / second**2 / ratio
        enough = min(first[np.maximum(left, 1 / left) <= OUT_OF_REACH * (1 + 1e-12)], default=None)
    raise InputError(
        f"{most} turns per winding reach impedance ratios up to {most**2}, not {ratio:.4g}",
        where="most_turns",
        remedy=f"allow {enough} turns or more" if enough else f"no winding of up to {MOST_TURNS} turns reaches it",
    )


# --- turns on a core --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Core:
    """A core with its winding.

    Parameters
    ----------
    inductance_factor
        Inductance for each turn squared, such as ``"400 nH"``.
    coupling
        Coupling factor of the two windings, a plain number above 0 and at most 1.
    core_q
        Q of the magnetising inductance (core loss in parallel with it), a plain number above 0, taken as the same on
        every frequency.
    winding_q
        Q of the leakage inductance (winding loss in series with it), likewise.
    """

    inductance_factor: Any = "400 nH"
    coupling: float = 0.998
    core_q: float = 5.0
    winding_q: float = 50.0

    def __post_init__(self) -> None:
        """Check the figures at birth."""
        core_numbers(self)


CoreNumbers = tuple[float, float, float, float]
"""Inductance factor [H], coupling, core Q and winding Q."""


def core_numbers(core: Core | None) -> CoreNumbers:
    """Check a core, and return it as plain numbers; None = the example."""
    core = instance(Core() if core is None else core, Core, "core", "write wb.Core('400 nH', 0.998), or leave it out")
    henry = single(positive(core.inductance_factor, "H", "inductance_factor"), "inductance_factor")
    coupling = plain_number(core.coupling, "coupling", 1e-6, 1, "0.998")
    core_q, winding_q = (plain_number(getattr(core, q), q, 1e-6, 1e15, "50") for q in ("core_q", "winding_q"))
    return float(henry), coupling, core_q, winding_q


def transformer_match(
    source: Impedance,
    load: Impedance,
    core: Core | None = None,
    turns: Turns | None = None,
    bands: Iterable[Any] | None = None,
    most_swr: float = 1.2,
    most_loss: Loss = "1 dB",
) -> Match:
    """Return a wideband transformer as a match.

    Parameters
    ----------
    source, load
        Impedances to be matched; complex ones by their moduli.
    core
        Core and winding; None = a small ferrite core as an example.
    turns
        Turns of both windings, from `transformer_turns` or entered; None = the nearest ratio with at most 12 turns.
    bands
        Band names or (low, high) frequencies that must not lie below the low edge; None = not checked.
    most_swr, most_loss
        Limits that define the edges.

    Returns
    -------
    the match, with the windings as its part

    Raises
    ------
    InputError
        When a band begins below the transformer's low edge; the sentence says the edge.

    Examples
    --------
    >>> match = transformer_match("75 ohm", "50 ohm")
    >>> match.components[0].value, match.components[1].value
    (11, 9)
    """
    source_ohms, load_ohms = end(source, "source"), end(load, "load")
    limits = limit_pair(most_swr, most_loss)
    if turns is None:
        turns = transformer_turns(with_unit(abs(source_ohms), "ohm"), with_unit(abs(load_ohms), "ohm"), 12)
    instance(turns, Turns, "turns", "write wb.transformer_turns('75 ohm', '50 ohm', 12)")
    first, second = (whole_number(single(n, "turns"), "turns", 1, 10**6) for n in (turns.source, turns.load))
    match = wound(source_ohms, load_ohms, core, (first, second))
    if bands is not None:
        _check_low_edge(match, band_edges(bands), limits)
    return match


def wound(source_ohms: complex, load_ohms: complex, core: Core | None, turns: tuple[int, int]) -> Match:
    """Return the transformer with these turns at source and load."""
    return _wound(source_ohms, load_ohms, Windings(*turns, *core_numbers(core)))


def _wound(source_ohms: complex, load_ohms: complex, windings: Windings, remedy: str = "") -> Match:
    reason = f"{windings.source_turns} to {windings.load_turns} turns, for as wide a band as the core carries"
    return Match(NAME, reason, source_ohms, load_ohms, (windings,), remedy=remedy)


def _check_low_edge(match: Match, edges: Edges, limits: Limits) -> None:
    kept = f"SWR {limits[0]:g} and {limits[1]:g} dB"
    usable = match.usable_band(limits[0], with_unit(limits[1], "dB"))
    if usable is None:
        raise InputError(
            f"{kept} are kept at no frequency", where="core", remedy="use more turns, another core, or wider limits"
        )
    low = usable[0].m_as("Hz")
    for name, begins, _ in edges:
        if begins < low * (1 - 1e-9):
            edge = f"below the transformer's low edge of {low / 1e6:.4g} MHz for {kept}"
            raise InputError(
                f"{name} begins at {begins / 1e6:.4g} MHz, {edge}",
                where="bands",
                remedy="use more turns or a core with a greater inductance factor",
            )


# --- the best turns on the bands --------------------------------------------------------------------------

Ranks = Callable[[IntArray, IntArray, FloatArray], Rank]
"""Rank of pairs of turns on frequencies [Hz]."""


def best_transformer(
    source_ohms: complex, load_ohms: complex, core: Core | None, most: int, hertz: FloatArray, limits: Limits
) -> Match:
    """Return the transformer with at most so many turns per winding that ranks before all others on the bands.

    Where it is beyond the limits, but more turns would not be, its remedy says how many.
    """
    numbers, frequencies = core_numbers(core), np.sort(hertz, axis=None)

    def ranks(first: IntArray, second: IntArray, hertz: FloatArray) -> Rank:
        tried = Windings(first[:, None], second[:, None], *numbers)
        return rank(worst_on(Match("", "", source_ohms, load_ohms, (tried,)), hertz), limits, DECIMALS)

    first, second, is_beyond = _best(ranks, frequencies, *_turn_pairs(most))
    enough = _least_limit(ranks, frequencies) if is_beyond and most < USUAL_TURNS else None
    sizes = abs(source_ohms), abs(load_ohms)
    _check_reach(max(sizes) / min(sizes), most, enough)
    remedy = f"allow {enough} turns per winding, not {most}" if enough else ""
    return _wound(source_ohms, load_ohms, Windings(first, second, *numbers), remedy)


def _ends_and_middle(frequencies: FloatArray) -> FloatArray:
    """A few of the frequencies: on these alone no turns rank behind their rank on all of them."""
    return frequencies[[0, frequencies.size // 2, -1]]


def _best(ranks: Ranks, frequencies: FloatArray, first: IntArray, second: IntArray) -> tuple[int, int, bool]:
    """Return the best turns, and whether even these are beyond the limits."""
    coarse = ranks(first, second, _ends_and_middle(frequencies))
    start = _order(coarse)[:1]
    bound = ranks(first[start], second[start], frequencies)
    # what ranks behind the bound on a few frequencies cannot be the best on all
    ahead = coarse.is_beyond < bound.is_beyond
    level = (coarse.is_beyond == bound.is_beyond) & (coarse.loss_or_excess <= bound.loss_or_excess)
    close = np.flatnonzero(ahead | level)
    whole = ranks(first[close], second[close], frequencies)
    best = _order(whole)[0]
    return int(first[close[best]]), int(second[close[best]]), bool(whole.is_beyond[best])


def _order(ranked: Rank) -> IntArray:
    """Indices of what is ranked, best first; equals stay as they were."""
    return np.lexsort(ranked[::-1])


def _least_limit(ranks: Ranks, frequencies: FloatArray) -> int | None:
    """Return the least limit of turns with which the limits of SWR and loss are kept, None where there is none."""
    first, second = _turn_pairs(USUAL_TURNS)
    for some in (_ends_and_middle(frequencies), frequencies):
        if not first.size:
            return None
        kept = ~ranks(first, second, some).is_beyond
        first, second = first[kept], second[kept]
    return int(np.maximum(first, second).min()) if first.size else None
