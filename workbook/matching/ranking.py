"""How well a match does on the bands of interest, by which matches, and turns of a transformer, are ranked."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from workbook.matching.arguments import Edges, Limits, sampled
from workbook.matching.match import Match
from workbook.units import BoolArray, FloatArray, Floats

DECIMALS = 6
"""Decimals of loss and SWR that count in a ranking of matches, so that rounding errors do not decide between equals."""


class Worst(NamedTuple):
    """The worst of each band along the last axis: SWR at either end, and loss [dB]."""

    swr: Floats
    loss: Floats


class Rank(NamedTuple):
    """What is sorted by, the least first: beyond the limits, loss [dB] or how far beyond, SWR."""

    is_beyond: BoolArray
    loss_or_excess: FloatArray
    swr: FloatArray


def worst_on(match: Match, hertz: FloatArray) -> Worst:
    """Return the worst of a match on rows of frequencies [Hz]."""
    swr_in, swr_out, loss, _ = match.plain(hertz)
    return Worst(np.maximum(swr_in, swr_out).max(axis=-1), loss.max(axis=-1))


def used(worst: Worst, limits: Limits) -> Worst:
    """Return which part of each limit is used, 1 just meeting it."""
    return Worst((worst.swr - 1) / (limits[0] - 1), worst.loss / limits[1])


def is_beyond(part_used: Floats) -> BoolArray:
    """Return whether a limit is exceeded, but for rounding."""
    return np.asarray(part_used > 1 + 1e-9)


def rank(worst: Worst, limits: Limits, decimals: int) -> Rank:
    """Return what is sorted by, rounded to `decimals`, so that what does not matter does not decide."""
    most = np.maximum(*used(worst, limits))
    beyond = is_beyond(most)
    loss_or_excess = np.where(beyond, most, worst.loss)
    return Rank(beyond, np.round(loss_or_excess, decimals), np.round(np.asarray(worst.swr), decimals))


@dataclass(frozen=True)
class Standing:
    """How a match does on the bands: worst SWR and loss [dB], on which band, and which of the limits they exceed."""

    match: Match
    swr: float
    swr_band: str
    loss: float
    loss_band: str
    swr_beyond: bool
    loss_beyond: bool
    rank: tuple[float, ...]

    @property
    def is_within(self) -> bool:
        """Whether both limits are kept."""
        return not (self.swr_beyond or self.loss_beyond)


def standing(match: Match, edges: Edges, limits: Limits) -> Standing:
    """Return how a match does on bands with these names and edges [Hz]."""
    on_bands = worst_on(match, sampled(edges))
    highest, lossiest = (int(np.argmax(figure)) for figure in on_bands)
    worst = Worst(on_bands.swr[highest], on_bands.loss[lossiest])
    swr_beyond, loss_beyond = (bool(is_beyond(part)) for part in used(worst, limits))
    return Standing(
        match,
        float(worst.swr),
        edges[highest][0],
        float(worst.loss),
        edges[lossiest][0],
        swr_beyond,
        loss_beyond,
        tuple(float(figure) for figure in rank(worst, limits, DECIMALS)),
    )


def ranked(matches: Sequence[Match], edges: Edges, limits: Limits) -> tuple[tuple[int, str], ...]:
    """Return the index of each match and the reason for its rank, best first; of equals the first stays first.

    `edges` are names and edges [Hz] of the bands, `limits` the greatest SWR and loss [dB]; see `compare_matches`.
    """
    standings = [standing(match, edges, limits) for match in matches]
    order = sorted(range(len(standings)), key=lambda n: standings[n].rank)
    first, *behind = (standings[n] for n in order)
    reasons = (_why_first(standings, first, limits), *(_why_behind(each, first, limits) for each in behind))
    return tuple(zip(order, reasons, strict=True))


def _why_first(standings: list[Standing], first: Standing, limits: Limits) -> str:
    within = [each for each in standings if each.is_within]
    does = f"SWR up to {first.swr:.2f} and loss up to {first.loss:.2f} dB"
    if not within:
        none = f"no match keeps within SWR {limits[0]:g} and {limits[1]:g} dB, this one comes nearest"
        return f"{does}: {none}{_remedy(first.match)}"
    if len(within) == 1:
        return f"{does}: the only match within SWR {limits[0]:g} and {limits[1]:g} dB on all the bands"
    return f"{does}: the least loss of the {len(within)} matches within SWR {limits[0]:g} and {limits[1]:g} dB"


def _why_behind(each: Standing, first: Standing, limits: Limits) -> str:
    if each.is_within:
        more = each.loss - first.loss
        return f"within both limits, but loses {f'{more:.2f} dB' if more >= 0.005 else 'a little'} more than the first"
    faults = []
    if each.swr_beyond:
        faults.append(_above("SWR", each.swr, each.swr_band, f"{limits[0]:g}"))
    if each.loss_beyond:
        faults.append(_above("loss", each.loss, each.loss_band, f"{limits[1]:g}", " dB"))
    return f"{' and '.join(faults)}{_remedy(each.match)}"


def _above(what: str, value: float, band: str, limit: str, unit: str = "") -> str:
    # rounded it may be the limit itself
    is_plain = float(f"{value:.2f}") > float(limit)
    came, above = (f" of {value:.2f}{unit}", "above") if is_plain else ("", "a little above")
    return f"{what}{came} on {band} is {above} {limit}{unit}"


def _remedy(match: Match) -> str:
    return f"; {match.remedy}" if match.remedy else ""
