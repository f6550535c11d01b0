"""How well a match does on the bands of interest, by which ways, and turns of a transformer, are ranked."""

from typing import Any, NamedTuple

import numpy as np

from workbook.matching.match import Match


class Worst(NamedTuple):
    """The worst of each band along the last axis: SWR at either end, and loss [dB]."""

    swr: Any
    loss: Any


def worst_on(match: Match, hertz: Any) -> Worst:
    """Return the worst of a match on rows of frequencies [Hz]."""
    swr_in, swr_out, loss, _ = match.plain(hertz)
    return Worst(np.maximum(swr_in, swr_out).max(axis=-1), loss.max(axis=-1))


def used(worst: Worst, limits: tuple[float, float]) -> Worst:
    """Return by how much the limits of SWR and loss [1, dB] are used, 1 just meeting them."""
    return Worst((worst.swr - 1) / (limits[0] - 1), worst.loss / limits[1])


def is_beyond(part_used: Any) -> Any:
    """Return whether a limit is passed, but for rounding."""
    return part_used > 1 + 1e-9


def rank(worst: Worst, limits: tuple[float, float], decimals: int) -> tuple[Any, Any, Any]:
    """Return what is sorted by, the least first: beyond the limits, loss or how far beyond, SWR.

    Rounded to `decimals`, so that what does not matter does not decide.
    """
    most = np.maximum(*used(worst, limits))
    beyond = is_beyond(most)
    return beyond, np.round(np.where(beyond, most, worst.loss), decimals), np.round(worst.swr, decimals)
