"""A stake-out in tables: where each stake stands, how it is set by tapes, and every distance to check."""

from workbook.array.stakeout import NEGLIGIBLE, Fix, StakeOut
from workbook.formatting import bearing_text, both_lengths, signed_lengths
from workbook.table import Table


def stakes_table(out: StakeOut) -> Table:
    """Return where each stake stands, by element."""
    rows = tuple(
        (
            str(stake.element),
            signed_lengths(stake.east_m),
            signed_lengths(stake.north_m),
            both_lengths(stake.distance_m),
            *(
                (bearing_text(stake.azimuth_deg), bearing_text(stake.magnetic_deg))
                if stake.distance_m >= NEGLIGIBLE
                else ("-", "-")
            ),
        )
        for stake in out.stakes
    )
    headings = ("stake", "east", "north", "from the centre", "true bearing deg", "magnetic bearing deg")
    return Table("Stakes from the centre", headings, rows)


def tapes_table(out: StakeOut) -> Table:
    """Return two tapes for each stake, and what an inch of error does."""
    rows = tuple(
        (
            str(fix.element),
            fix.side,
            *([both_lengths(tape.length_m) for tape in fix.tapes] + ["-", "-"])[:2],
            "-" if fix.place_error_m is None else both_lengths(fix.place_error_m),
            how_to_set(fix, out.first),
        )
        for fix in out.fixes
    )
    headings = (
        "stake",
        f"side, looking from the centre to {out.first}",
        "tape from the centre",
        f"tape from {out.first}",
        "1 inch on both tapes moves it by up to",
        "how",
    )
    return Table(f"Each stake by two tapes, from the centre and stake {out.first}", headings, rows)


def how_to_set(fix: Fix, first: int) -> str:
    """Say what to do for one stake beyond pulling the tapes; `first` is the element at the second fixed stake."""
    if not fix.tapes:
        return "stands at the centre"
    if len(fix.tapes) == 1:
        return "set it first, by its bearing and the tape from the centre"
    if len(fix.tapes) == 3:
        third = fix.tapes[2]
        return (
            f"these two meet too sharply: use a third tape, {both_lengths(third.length_m)} from {third.start}, "
            "with that from the centre"
        )
    return _along_string(fix, first) if fix.by_string else "pull both tapes taut"


def _along_string(fix: Fix, first: int) -> str:
    along = (
        f"the tapes meet too sharply: stretch a string through the centre and {first}, and measure along it "
        f"{both_lengths(abs(fix.ahead_m))} from the centre {'toward' if fix.ahead_m > 0 else 'away from'} {first}"
    )
    if fix.side in ("ahead", "behind"):
        return along
    return f"{along}, then {both_lengths(abs(fix.right_m))} square to it, to the {fix.side} (looking toward {first})"


def distances_table(out: StakeOut) -> Table:
    """Return every distance between stakes, equal ones together, for checking what stands."""
    rows = tuple(
        (
            each.kind,
            both_lengths(each.length_m),
            str(len(each.pairs)),
            ", ".join(f"{one}-{other}" for one, other in each.pairs),
        )
        for each in out.distances
    )
    return Table("Distances between stakes", ("kind", "length", "how many", "between"), rows)
