"""Which piece to cut from which reel in stock, cable by cable."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from workbook.design.schema import ONE_REEL, DesignFile
from workbook.errors import InputError
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.results import PlanMatch
from workbook.receive.cutting import CutPlan, Piece, Reel, cut_plan
from workbook.units import Quantity

RUNS = "element runs"
"""The group of the element runs."""


@dataclass(frozen=True)
class ReelCut:
    """One cut: the piece, how long it is, and where on the reel it ends."""

    piece: str
    length_m: float
    end_m: float


@dataclass(frozen=True)
class ReelCuts:
    """What is cut from one reel, in this order, and what is left of it."""

    reel: str
    length_m: float
    velocity_factor: float | None
    cuts: tuple[ReelCut, ...]
    left_m: float


@dataclass(frozen=True)
class ReelPlan:
    """The cutting plan of one cable, or the `problem` why its stock has none.

    `opened_m` of reels in all, `waste_m` of it left over or lost in cuts; `gap`: the share by which an unknown plan
    might at best open less, 0 when proven; `together`: groups of pieces that come from one reel.
    """

    cable: str
    problem: str | None
    reels: tuple[ReelCuts, ...]
    opened_m: float
    waste_m: float
    proven: bool
    gap: float
    together: tuple[str, ...]


def cut_pieces(
    lines: Sequence[DelayLine], runs: ElementRuns, to_receiver: ReceiverRun | None, match: PlanMatch | None
) -> Iterator[tuple[str, Piece]]:
    """Yield cable and piece of everything to cut: first cuts of lines and runs, which are trimmed.

    Copies of one line are a group, and so are the element runs.
    """
    for line in lines:
        group = f"line {line.label}" if line.count > 1 else None
        yield from _copies(line.cable, f"line {line.label}", line.count, line.first_cut_m, group)
    yield from _copies(runs.cable, "element run", runs.count, runs.first_cut_m, RUNS)
    if to_receiver is not None:
        yield from _copies(to_receiver.cable, "receiver run", 1, to_receiver.length_m, None)
    for number, section in enumerate(match.sections if match else (), 1):
        name = f"matching section {number}"
        yield from _copies(section.cable, name, section.count, section.first_cut_m, name if section.count > 1 else None)


def _copies(cable: str, label: str, count: int, metres: float, group: str | None) -> Iterator[tuple[str, Piece]]:
    for number in range(1, count + 1):
        yield cable, Piece(label if count == 1 else f"{label}, {number}", Quantity(metres, "m"), group)


def reel_plans(design: DesignFile, pieces: Sequence[tuple[str, Piece]]) -> tuple[ReelPlan, ...]:
    """Return the cutting plan of every cable that is in stock and of which something is cut.

    What should have one velocity factor comes from one reel, as the design says: all element runs, and the copies of
    each line; where the stock does not allow that, the copies of each line alone, and then nothing.

    Parameters
    ----------
    design
        The design, with the reels in stock.
    pieces
        Cable and piece of everything to cut.
    """
    needed = dict.fromkeys(cable for cable, _ in pieces)
    stocked = {reel.cable for reel in design.stock}
    return tuple(
        _reel_plan(design, name, [piece for cable, piece in pieces if cable == name])
        for name in needed
        if name in stocked
    )


def _reel_plan(design: DesignFile, cable: str, pieces: list[Piece]) -> ReelPlan:
    stock = [Reel(one.label, one.length, one.velocity_factor) for one in design.stock if one.cable == cable]
    groups = sorted({piece.group for piece in pieces if piece.group is not None})
    wishes = (tuple(groups), tuple(name for name in groups if name != RUNS), ())
    problem = None
    for together in dict.fromkeys(wishes[ONE_REEL.index(design.cutting.one_reel) :]):
        try:
            found = cut_plan(pieces, stock, design.cutting.kerf, together, design.cutting.time_limit, design.units)
        except InputError as error:
            problem = str(error)
        else:
            return _as_data(cable, found, together)
    return ReelPlan(cable, problem, (), 0.0, 0.0, False, 0.0, ())


def _as_data(cable: str, found: CutPlan, together: tuple[str, ...]) -> ReelPlan:
    lengths = {piece.label: float(piece.length.m_as("m")) for piece in found.pieces}
    stock, kerf = {reel.label: reel for reel in found.reels}, float(found.kerf.m_as("m"))
    reels = []
    for cut in found.cuts:
        reel, at, cuts = stock[cut.reel], 0.0, []
        for label in cut.pieces:
            cuts.append(ReelCut(label, lengths[label], at + lengths[label]))
            at += lengths[label] + kerf
        whole = float(reel.length.m_as("m"))
        # the last piece needs no cut where it ends at the reel's end
        reels.append(ReelCuts(cut.reel, whole, reel.velocity_factor, tuple(cuts), max(0.0, whole - at)))
    opened, waste = float(found.opened.m_as("m")), float(found.waste.m_as("m"))
    return ReelPlan(cable, None, tuple(reels), opened, waste, found.proven, float(found.gap), together)
