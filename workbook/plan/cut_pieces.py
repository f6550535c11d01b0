"""The pieces of one cable that a plan asks for, as a cutting plan takes them."""

from workbook.checks import instance, one_of
from workbook.plan.plan import Plan
from workbook.plan.reels import cut_pieces
from workbook.receive.cutting import Piece


def pieces_to_cut(plan: Plan, cable: str) -> tuple[Piece, ...]:
    """Return every piece of one cable in a plan, so that `cut_plan` can lay them out on reels.

    Lengths are those that come off the reel: first cuts of delay lines, matching sections and element runs, which are
    trimmed to their check frequency, and the receiver run. Copies of one delay line are a group, and so are the element
    runs: what is in one group should have one velocity factor, and comes from one reel where it is named in `together`.

    Parameters
    ----------
    plan
        A design's plan.
    cable
        Name of the cable.

    Returns
    -------
    tuple of (label, length, group)
        Lengths in m; group None for a piece that need not match another.

    Raises
    ------
    InputError
        When the plan needs no such cable.

    Examples
    --------
    >>> from workbook.plan.designs import load_design
    >>> from workbook.receive.cutting import cut_plan
    >>> pieces = pieces_to_cut(load_design("notebooks/heron-fen-square.toml").plan(), "series-6-clad")
    >>> plan = cut_plan(pieces, [("R1", "152 m"), ("R2", "152 m"), ("R3", "305 m")], "5 mm", ("element runs",))
    >>> plan.proven
    True
    """
    instance(plan, Plan, "plan", "make one by wb.load_design('array.toml').plan()")
    rows = list(cut_pieces(plan.delay_lines, plan.element_runs, plan.receiver_run, plan.match))
    one_of(cable, sorted({name for name, _ in rows}), "cable")
    return tuple(piece for name, piece in rows if name == cable)
