"""A stake-out in tables: where each stake stands, how it is set by tapes, and every distance to check."""

from collections.abc import Iterator, Mapping

import numpy as np

from workbook.array.declination import compass_warning
from workbook.array.stakeout import INCH, NEGLIGIBLE, Fix, StakeOut, position_tolerance
from workbook.design.schema import DesignFile
from workbook.formatting import LengthUnits, bearing_text
from workbook.formulas.lines import C
from workbook.plan.pieces import ElementRuns
from workbook.plan.results import Cost
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_cell
from workbook.tables.cuts import COSTS
from workbook.tables.table import Table
from workbook.units import Quantity


def stakes_table(out: StakeOut, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return where each stake stands, by element."""
    rows = tuple(
        (
            str(stake.element),
            units.signed(stake.east_m),
            units.signed(stake.north_m),
            units.text(stake.distance_m),
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


def tapes_table(out: StakeOut, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return two tapes for each stake, and what an inch or two centimetres of error does."""
    name, slip = _slip(units)
    rows = tuple(
        (
            str(fix.element),
            {"ahead": f"in line with {out.first}", "behind": f"opposite {out.first}"}.get(fix.side, fix.side),
            *([units.text(tape.length_m) for tape in fix.tapes] + ["-", "-"])[:2],
            "-" if fix.place_error_m is None else units.text(fix.place_error_m * slip / INCH),
            how_to_set(fix, out.first, units),
        )
        for fix in out.fixes
    )
    headings = (
        "stake",
        f"side, looking from the centre to {out.first}",
        "tape from the centre",
        f"tape from {out.first}",
        f"{name} on both tapes moves it by up to",
        "how",
    )
    return Table(f"Each stake by two tapes, from the centre and stake {out.first}", headings, rows)


def _slip(units: LengthUnits) -> tuple[str, float]:
    """Return an error that tapes usually have, in words and in metres."""
    return ("2 cm", 0.02) if units is LengthUnits.METRIC else ("1 inch", INCH)


def how_to_set(fix: Fix, first: int, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Say what to do for one stake beyond pulling the tapes; `first` is the element at the second fixed stake."""
    if not fix.tapes:
        return "stands at the centre"
    if len(fix.tapes) == 1:
        return "set it first, by its bearing and the tape from the centre"
    if len(fix.tapes) == 3:
        third = fix.tapes[2]
        return (
            f"these two meet too sharply: use a third tape, {units.text(third.length_m)} from {third.start}, "
            "with that from the centre"
        )
    return _along_string(fix, first, units) if fix.by_string else "pull both tapes taut"


def _along_string(fix: Fix, first: int, units: LengthUnits) -> str:
    along = (
        f"the tapes meet too sharply: stretch a string through the centre and {first}, and measure along it "
        f"{units.text(abs(fix.ahead_m))} from the centre {'toward' if fix.ahead_m > 0 else 'away from'} {first}"
    )
    if fix.side in ("ahead", "behind"):
        return along
    return f"{along}, then {units.text(abs(fix.right_m))} square to it, to the {fix.side} (looking toward {first})"


def distances_table(out: StakeOut, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return every distance between stakes, equal ones together, for checking what stands."""
    rows = tuple(
        (
            each.kind,
            units.text(each.length_m),
            str(len(each.pairs)),
            ", ".join(f"{one}-{other}" for one, other in each.pairs),
        )
        for each in out.distances
    )
    return Table("Distances between stakes", ("kind", "length", "how many", "between"), rows)


def tolerance_m(hertz: float, degrees: float) -> float:
    """Return how far a stake may be off [m]."""
    return float(position_tolerance(Quantity(hertz, "Hz"), Quantity(degrees, "degree")).m_as("m"))


def position_table(
    bands: dict[str, float],
    degrees: float,
    units: LengthUnits = LengthUnits.BOTH,
    costs: Mapping[str, Cost | None] | None = None,
) -> Table:
    """Return how far a stake may be off on each band [Hz] for so much phase, what that costs, and what a slip does.

    Parameters
    ----------
    bands
        Frequencies by name [Hz].
    degrees
        Phase that a stake may be off by.
    units
        Which lengths are written.
    costs
        What one stake that is off by so much costs the pattern, by band; None where no plan is known.
    """
    rows, (inch, slip) = [], _slip(units)
    for name, hertz in bands.items():
        metres = tolerance_m(hertz, degrees)
        cost = () if costs is None else (cost_cell(costs[name]),)
        rows.append((name, f"{hertz / 1e6:.6g}", units.text(metres), *cost, f"{degrees * slip / metres:.2f}"))
    headings = (
        "band", "MHz", "one stake alone within", *(() if costs is None else (COSTS,)), f"phase of {inch} deg"
    )  # fmt: skip
    return Table(f"Tolerance to hold for {degrees:g} deg, toward a wave on the horizon", headings, tuple(rows))


def runs_table(runs: ElementRuns, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what the element runs take."""
    row = (
        runs.cable,
        str(runs.count),
        units.text(runs.length_m),
        units.text(runs.first_cut_m),
        units.text(runs.length_to_cut_m),
        units.text(runs.count * runs.first_cut_m),
    )
    headings = ("cable", "pieces", "length of each", "first cut", "to cut", "first cuts altogether")
    return Table("Element runs, all equal", headings, (row,))


def stake_answer(design: DesignFile, out: StakeOut, runs: ElementRuns, band: str, degrees: float) -> AnswerLine:
    """Return how many stakes, how near and how exactly, the longest tape, and the runs."""
    units, hertz = design.units, float(design.bands[band].m_as("Hz"))
    places = np.array([(stake.east_m, stake.north_m) for stake in out.stakes])
    apart = np.linalg.norm(places[:, None] - places, axis=-1)
    between = apart[~np.eye(len(places), dtype=bool)]
    tapes = [tape.length_m for fix in out.fixes for tape in fix.tapes]
    figures = (
        Figure("stakes", str(len(out.stakes))),
        *((Figure("nearest two", units.text(float(between.min()))),) if between.size else ()),
        *((Figure("longest tape", units.text(max(tapes))),) if tapes else ()),
        Figure("one stake alone within", units.text(tolerance_m(hertz, degrees))),
        Figure("each element run", units.text(runs.length_to_cut_m)),
    )
    title = f"{design.name}: {design.array.description(units)}; {degrees:g} deg on {band} at {hertz / 1e6:.7g} MHz"
    return AnswerLine(title, figures)


def cautions(design: DesignFile, out: StakeOut, band: str, degrees: float) -> Iterator[str]:
    """Yield what to know before driving the stakes, for a band and the phase that a stake may be off by."""
    units, site, hertz = design.units, design.site, design.bands[band].m_as("Hz")
    if site is not None and site.date is not None:
        yield compass_warning(site.latitude, site.longitude, site.date, site.height)
    within, (slip, size) = tolerance_m(hertz, degrees), _slip(units)
    moved = {fix.element: (fix.place_error_m or 0.0) * size / INCH for fix in out.fixes}
    off = [str(element) for element, metres in moved.items() if metres > within]
    if off:
        yield (
            f"An error of {slip} on both tapes moves stake{'s' if off[1:] else ''} {', '.join(off)} by up to "
            f"{units.text(max(moved.values()))}, more than the {units.text(within)} to hold: read the tapes "
            "more exactly, and check by the distances."
        )
    wave, places = C / hertz, np.array([(stake.east_m, stake.north_m) for stake in out.stakes])
    apart = np.linalg.norm(places[:, None] - places, axis=-1) + np.diag([np.inf] * len(places))
    lonely = float(apart.min(axis=1).max())
    if wave / 2 < lonely < np.inf:
        yield (
            f"A stake stands {units.about(lonely, 1)} from the next, more than half a wave on {band}, "
            f"{units.about(wave / 2, 1)}: there "
            "the pattern can have other lobes as strong as the wanted one."
        )
    nearest = float(apart.min())
    why = f"an eighth of a wave on {band}" if wave / 8 < nearest else "as far as the nearest two stand apart"
    yield (
        "Mutual coupling is neglected, which holds for verticals that feed high-impedance buffers and are shorter than "
        f"{units.about(min(wave / 8, nearest), 2)}, {why}."
    )
