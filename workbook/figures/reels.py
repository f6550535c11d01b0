"""Reels in stock as bars: every piece along each, and what is left."""

import itertools

import numpy as np

from workbook.figures.chart import WIDE, Axis, Chart, Curve, Item, Note, Plot, Strokes, length_axis
from workbook.figures.style import FAINT, FIRST, SECOND, THIRD
from workbook.formatting import LengthUnits
from workbook.plan.reels import ReelPlan

_NOWHERE = np.zeros(0)
WIDTH = 16.0
COLOURS = {"line": SECOND, "element": FIRST, "receiver": THIRD}
MEANINGS = {"line": "delay lines", "element": "element runs", "receiver": "receiver run and matching sections"}


def reels_picture(plans: tuple[ReelPlan, ...], name: str, units: LengthUnits = LengthUnits.BOTH) -> Chart:
    """Return every opened reel as a bar of its pieces in the order of cutting; a gap lies between two pieces.

    Parameters
    ----------
    plans
        The cutting plans.
    name
        Title of the picture.
    units
        Unit of the scale.
    """
    reels = [(plan.cable, reel) for plan in plans for reel in plan.reels]
    longest = max((reel.length_m for _, reel in reels), default=1.0)
    # a sliver of paper between pieces, whatever the kerf
    sliver = longest / 400
    items, kinds = list[Item](), list[str]()
    for place, (_, reel) in enumerate(reels):
        at = np.array([float(place)])
        items.append(Strokes("left", at, np.zeros(1), np.array([reel.length_m]), FAINT, WIDTH))
        for kind, cuts in itertools.groupby(reel.cuts, lambda cut: _kind(cut.piece)):
            kinds.append(kind)
            ends = np.array([[cut.end_m - cut.length_m, cut.end_m - sliver] for cut in cuts])
            x = np.full(len(ends), float(place))
            items.append(
                Strokes(MEANINGS[kind], x, ends[:, 0], np.maximum(ends[:, 1], ends[:, 0]), COLOURS[kind], WIDTH)
            )
    if not reels:
        items.append(Note("no reel is opened", 0.0, 0.5, share=True))
    ticks = tuple((float(place), reel.reel) for place, (_, reel) in enumerate(reels))
    across = Axis("reel", -0.6, max(len(reels) - 0.4, 0.6), ticks)
    cables = ", ".join(dict.fromkeys(cable for cable, _ in reels))
    named = tuple(Curve(MEANINGS[kind], _NOWHERE, _NOWHERE, COLOURS[kind], 6.0) for kind in COLOURS if kind in kinds)
    left = (Curve("left on the reel", _NOWHERE, _NOWHERE, FAINT, 6.0),) if reels else ()
    up = length_axis("along the reel", 0.0, 1.03 * longest, units)
    return Chart(
        f"{name}: cuts from the reels",
        cables or "no plan",
        (Plot(across, up, tuple(items), 200),),
        WIDE,
        columns=1,
        explained=(*named, *left),
    )


def _kind(piece: str) -> str:
    first = piece.partition(" ")[0]
    return first if first in COLOURS else "receiver"
