"""The usual ways from one impedance to another, ranked for the bands of interest."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook.formatting import both_lengths, rounded
from workbook.matching.frequencies import Edges, named_edges, sampled
from workbook.matching.match import SEARCHED, Match, Section, end, limit_pair
from workbook.matching.nearest import chosen_cables
from workbook.matching.standing import Worst, is_beyond, rank, used, worst_on
from workbook.matching.transformer import Core, Windings
from workbook.matching.ways import Wanted, usual_ways
from workbook.table import Table

MOST_SWR, MOST_LOSS = 1.2, "1 dB"
"""Limits by which ways are ranked unless others are given."""


def compare_matches(
    source: Any,
    load: Any,
    bands: Iterable[Any],
    cables: Iterable[Any] | None = None,
    core: Core | None = None,
    most_swr: float = MOST_SWR,
    most_loss: Any = MOST_LOSS,
    region: int = 2,
) -> tuple[Match, ...]:
    """Return the usual ways to match source and load, best first, each with the reason for its place.

    Ways that keep within both limits on all the bands come first, the one with the least loss leading; then the
    others, the nearest to the limits leading. Lines are of the cables nearest to the impedances wanted; their design
    frequency is the one with the least worst SWR on the bands. Ways that cannot match these ends are left out.

    Parameters
    ----------
    source, load
        Impedances to be matched.
    bands
        Band names or (low, high) frequencies.
    cables
        Cables or names of cables to choose from; None = the whole catalogue.
    core
        Core of the transformer; None = a small ferrite core as an example.
    most_swr, most_loss
        Limits of SWR at either end (a plain number) and of insertion loss.
    region
        ITU region of the band names.

    Examples
    --------
    >>> compare_matches("75 ohm", "50 ohm", ("160 m", "80 m"))[0].name
    'wideband transformer'
    """
    ends = end(source, "source"), end(load, "load")
    edges = named_edges(bands, region)
    limits = limit_pair(most_swr, most_loss)
    return ranked(usual_ways(Wanted(*ends, sampled(edges), limits, chosen_cables(cables), core)), edges, limits)


def ranked(matches: Iterable[Match], edges: Edges, limits: tuple[float, float]) -> tuple[Match, ...]:
    """Return matches, at least one, best first and with the reason for each place, on plain numbers.

    `edges` are names and edges [Hz] of the bands, `limits` the greatest SWR and loss [dB]; see `compare_matches`.
    """
    standings = sorted((_standing(match, edges, limits) for match in matches), key=lambda each: each.rank)
    first = standings[0]
    reasons = (_why_first(standings, limits), *(_why_behind(each, first, limits) for each in standings[1:]))
    return tuple(replace(each.match, reason=why) for each, why in zip(standings, reasons, strict=True))


@dataclass(frozen=True)
class _Standing:
    """How a match does on the bands: worst SWR and loss [dB], where, and which of the limits they are beyond."""

    match: Match
    swr: float
    swr_band: str
    loss: float
    loss_band: str
    is_beyond: tuple[bool, bool]
    rank: tuple[bool, float, float]


def _standing(match: Match, edges: Edges, limits: tuple[float, float]) -> _Standing:
    on_bands = worst_on(match, sampled(edges))
    at, lossy = (int(np.argmax(figure)) for figure in on_bands)
    worst = Worst(on_bands.swr[at], on_bands.loss[lossy])
    swr_beyond, loss_beyond = (bool(is_beyond(part)) for part in used(worst, limits))
    # to so many decimals that only rounding errors do not decide between equals: what has fewer parts was made first
    places = tuple(figure.item() for figure in rank(worst, limits, 6))
    return _Standing(
        match, float(worst.swr), edges[at][0], float(worst.loss), edges[lossy][0], (swr_beyond, loss_beyond), places
    )


def _why_first(standings: list[_Standing], limits: tuple[float, float]) -> str:
    first, within = standings[0], [each for each in standings if not any(each.is_beyond)]
    does = f"SWR up to {first.swr:.2f} and loss up to {first.loss:.2f} dB"
    if not within:
        none = f"no way keeps within SWR {limits[0]:g} and {limits[1]:g} dB, this one comes nearest"
        return f"{does}: {none}{_remedy(first.match)}"
    if len(within) == 1:
        return f"{does}: the only way within SWR {limits[0]:g} and {limits[1]:g} dB on all the bands"
    return f"{does}: the least loss of the {len(within)} ways within SWR {limits[0]:g} and {limits[1]:g} dB"


def _why_behind(standing: _Standing, first: _Standing, limits: tuple[float, float]) -> str:
    if not any(standing.is_beyond):
        more = standing.loss - first.loss
        return f"within both limits, but loses {f'{more:.2f} dB' if more >= 0.005 else 'a little'} more than the first"
    faults = []
    if standing.is_beyond[0]:
        faults.append(_above("SWR", standing.swr, standing.swr_band, f"{limits[0]:g}"))
    if standing.is_beyond[1]:
        faults.append(_above("loss", standing.loss, standing.loss_band, f"{limits[1]:g}", " dB"))
    return f"{' and '.join(faults)}{_remedy(standing.match)}"


def _above(what: str, value: float, band: str, limit: str, unit: str = "") -> str:
    # rounded it may be the limit itself
    is_plain = float(f"{value:.2f}") > float(limit)
    came, above = (f" of {value:.2f}{unit}", "above") if is_plain else ("", "a little above")
    return f"{what}{came} on {band} is {above} {limit}{unit}"


def _remedy(match: Match) -> str:
    return f"; {match.remedy}" if match.remedy else ""


def ranking(
    matches: Iterable[Match],
    bands: Iterable[Any],
    most_swr: float = MOST_SWR,
    most_loss: Any = MOST_LOSS,
    region: int = 2,
) -> Table:
    """Return matches as a table in the order given: what to cut or buy, what it does on the bands, and why there."""
    return ranking_table(tuple(matches), named_edges(bands, region), limit_pair(most_swr, most_loss))


def ranking_table(matches: Sequence[Match], edges: Edges, limits: tuple[float, float]) -> Table:
    """Return `ranking` on plain numbers."""
    rows = tuple(_row(place, match, edges, limits) for place, match in enumerate(matches, 1))
    ends = f"{matches[0].source_ohms:g} to {matches[0].load_ohms:g} ohm on " if matches else ""
    return Table(
        f"{ends}{', '.join(name for name, _, _ in edges)}",
        (
            "place",
            "way",
            "parts from the source on",
            "check MHz, far end open",
            "worst SWR",
            "worst loss dB",
            "phase shift deg",
            f"usable MHz (SWR {limits[0]:g}, {limits[1]:g} dB)",
            "why",
        ),
        rows,
    )


def _row(place: int, match: Match, edges: Edges, limits: tuple[float, float]) -> tuple[str, ...]:
    standing = _standing(match, edges, limits)
    phase = match.plain(sampled(edges)).phase_shift
    checks = [part.check_frequency for part in match.sections]
    return (
        str(place),
        match.name,
        parts_list(match),
        "; ".join("-" if check is None else f"{check.m_as('MHz'):.4f}" for check in checks) or "-",
        f"{standing.swr:.2f}",
        f"{standing.loss:.2f}",
        _span(float(phase.min()), float(phase.max())),
        usable_span(match, limits),
        match.reason,
    )


def _span(low: float, high: float) -> str:
    one, other = rounded(high, 1), rounded(low, 1)
    return one if one == other else f"{one} to {other}"


def usable_span(match: Match, limits: tuple[float, float]) -> str:
    """Return between which frequencies [MHz] a match keeps within limits of SWR and loss [1, dB], in words."""
    band = match.usable_band(limits[0], f"{limits[1]!r} dB")
    if band is None:
        return "none"
    low, high = (edge.m_as("Hz") for edge in band)
    if (low, high) == SEARCHED:
        return "all"
    if low == SEARCHED[0]:
        return f"up to {high / 1e6:.4g}"
    return f"{low / 1e6:.4g} up" if high == SEARCHED[1] else f"{low / 1e6:.4g} to {high / 1e6:.4g}"


def parts_list(match: Match) -> str:
    """Return what a match is built of, in plain words, from the source on; lengths both ways.

    Examples
    --------
    >>> from workbook.matching.pad import pad_match
    >>> parts_list(pad_match("75 ohm", "50 ohm", 24))
    '43 ohm in series; 91 ohm across'
    """
    return "; ".join(_words(part) for part in match.parts) or "none"


def _words(part: Any) -> str:
    if isinstance(part, Section):
        degrees = f"{np.degrees(part.radians):.1f} deg"
        if part.cable is None or part.metres is None:
            return f"{degrees} of {part.ohms.real:.4g} ohm"
        which = part.cable.name if part.count == 1 else f"two {part.cable.name} in parallel"
        return f"{which}, {both_lengths(part.metres)}, {degrees}"
    if isinstance(part, Windings):
        magnetising, leakage = (component.value for component in part.components()[2:])
        return (
            f"{part.source_turns} to {part.load_turns} turns, magnetising {magnetising.m_as('uH'):.3g} uH, "
            f"leakage {leakage.m_as('nH'):.3g} nH"
        )
    return f"{part.ohms:.5g} ohm {'across' if part.is_shunt else 'in series'}"
