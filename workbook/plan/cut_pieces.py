"""The pieces of one cable that a plan asks for, as a cutting plan takes them."""

from collections.abc import Iterator

from workbook.checks import instance, one_of
from workbook.plan.plan import Plan
from workbook.receive.cutting import Piece
from workbook.units import Quantity


def pieces_to_cut(plan: Plan, cable: str) -> tuple[Piece, ...]:
    """Return every piece of one cable in a plan, so that `cut_plan` can lay them out on reels.

    Lengths are those of the plan's totals: first cuts of delay lines and matching sections, the length to cut of
    element runs, the receiver run. Copies of one delay line are a group, and so are the element runs: what is in
    one group should have one velocity factor, and comes from one reel where it is named in `together`.

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
    rows = list(_pieces(plan))
    one_of(cable, sorted({name for name, *_ in rows}), "cable")
    return tuple(Piece(label, Quantity(metres, "m"), group) for name, label, metres, group in rows if name == cable)


def _pieces(plan: Plan) -> Iterator[tuple[str, str, float, str | None]]:
    """Yield cable, label, length [m] and group of every piece."""
    for line in plan.delay_lines:
        group = f"line {line.label}" if line.count > 1 else None
        for label in _numbered(f"line {line.label}", line.count):
            yield line.cable, label, line.first_cut_m, group
    runs = plan.element_runs
    for label in _numbered("element run", runs.count):
        yield runs.cable, label, runs.length_to_cut_m, "element runs"
    if plan.receiver_run is not None:
        yield plan.receiver_run.cable, "receiver run", plan.receiver_run.length_m, None
    for number, section in enumerate(plan.match.sections if plan.match else (), 1):
        name = f"matching section {number}"
        for label in _numbered(name, section.count):
            yield section.cable, label, section.first_cut_m, name if section.count > 1 else None


def _numbered(label: str, count: int) -> list[str]:
    return [label] if count == 1 else [f"{label}, {n}" for n in range(1, count + 1)]
