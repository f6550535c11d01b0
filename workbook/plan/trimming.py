"""Trimming the pieces of a plan: what each was measured to be, what to cut off, what one that is too short serves."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

import numpy as np

from workbook.bench.measured import Measured
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.trimming import TrimAdvice, trim_advice
from workbook.checks import positive
from workbook.design.schema import DesignFile, End
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.line.lengths import check_frequency, length_from_check_frequency
from workbook.plan.cuts import design_cable
from workbook.plan.line_costs import LineCosts
from workbook.plan.marks import RUN, in_short, marks, piece_marks
from workbook.plan.pieces import Check, DelayLine
from workbook.plan.results import Cost
from workbook.plan.stages import AnyPlan, Stages
from workbook.units import Frequency, Quantity

FAR_OFF_DEG = 3.0
"""A piece with a greater error is not what was planned, and is cut right whatever that costs."""
ANOTHER = 2.0
"""Times above or below the wanted check frequency at which a reading is taken for a slip."""


@dataclass(frozen=True)
class PieceTrim:
    """What to do with one measured piece.

    Attributes
    ----------
    name
        As it was entered: a line such as ``"A"``, one of several such as ``"A2"``, or a run such as ``"run 3"``.
    line
        The line or ``"run"``.
    measured_hz
        Its check frequency as measured [Hz].
    wanted_s
        The delay that it has to have [s]: that of the plan, of runs that were all measured the one of `run_delay`.
    advice
        Delay, error on the cut band, verdict, what to cut off in all and at first.
    delay_error_deg
        Standard uncertainty of the error [degree]; None for a typed frequency without one.
    accept_deg
        The error at which a piece is kept [degree].
    after_first_hz, after_hz
        Check frequencies to expect after the first cut, and after all of it [Hz].
    cost
        What the error costs now, of all directions and bands.
    could_become
        Lines that a piece that is too short is long enough for, the longest first.
    could_serve
        Pairs of lines that it is long enough for, cut in two, the least waste first.
    beside_others
        Whether it is an element run that is compared with the others, since all of them were measured.
    gains_nothing
        Whether it is off, but correcting it gains nothing: what it costs does not matter, nor does what all such
        pieces cost together.
    """

    name: str
    line: str
    measured_hz: float
    wanted_s: float
    advice: TrimAdvice
    delay_error_deg: float | None
    accept_deg: float
    after_first_hz: float
    after_hz: float
    cost: Cost | None
    could_become: tuple[str, ...]
    could_serve: tuple[tuple[str, str], ...]
    beside_others: bool = False
    gains_nothing: bool = False

    @property
    def costs_nothing(self) -> bool:
        """Whether it is off beyond what is accepted, and alone that does not matter to the pattern."""
        return self.advice.verdict != "keep" and self.cost is not None and not self.cost.matters

    @property
    def far_off(self) -> bool:
        """Whether it is off by more than 3 degrees on the cut band."""
        return bool(abs(self.advice.error.m_as("degree")) > FAR_OFF_DEG)

    @property
    def sure(self) -> bool:
        """Whether the measurement is exact enough for its verdict: twice its uncertainty within what is accepted."""
        return self.delay_error_deg is None or 2 * self.delay_error_deg <= self.accept_deg


@dataclass(frozen=True)
class WantedPiece:
    """What a piece is cut from and has to be: its cable and ends, delay [s] and what the analyser should show."""

    made_of: Cable
    end: End
    delay_s: float
    check: Check


def trim_plan(plan: Stages, readings: Mapping[str, Frequency | Measured | MeasuredLine]) -> tuple[PieceTrim, ...]:
    """Return what to do with each measured piece of a plan, in the order in which they come.

    Parameters
    ----------
    plan
        The plan that the pieces were cut by.
    readings
        Check frequency with the far end open, or the measured line, by piece: a line's label, ``"A2"`` for the second
        piece of line A, ``"run 3"`` for the third element run.

    Raises
    ------
    InputError
        When there is no such piece, or a reading is far from what is wanted.
    """
    costs, runs = LineCosts(plan), _measured_runs(plan, readings)
    trims = tuple(_trim(plan, costs, name, reading, runs) for name, reading in readings.items())
    small = [one for one in trims if one.costs_nothing and not one.far_off]
    if Cost(*(sum(max(lost, 0.0) for lost in column) for column in zip(*_costs(small), strict=True))).matters:
        return trims
    return tuple(replace(one, gains_nothing=one in small) for one in trims)


def _costs(trims: Sequence[PieceTrim]) -> list[Cost]:
    return [Cost(0.0, 0.0), *(one.cost for one in trims if one.cost)]


def run_delay(planned_s: float, measured_s: Sequence[float]) -> float:
    """Return the delay that element runs have to have, all of which were measured [s].

    Runs that are all off alike cost nothing, and cable is only ever cut off: the delay is that of the plan or, where
    all runs are longer, of the shortest; where half of them are too short for it, that of the middle one.

    Examples
    --------
    >>> run_delay(100.0, [103.0, 101.0, 102.0]), run_delay(100.0, [97.0, 97.0, 97.0])
    (101.0, 97.0)
    >>> run_delay(100.0, [97.0, 100.0, 104.0])
    100.0
    """
    return max(min(measured_s), min(float(np.median(measured_s)), planned_s))


def _measured_runs(plan: Stages, readings: Mapping[str, Frequency | Measured | MeasuredLine]) -> float | None:
    """Return the delay that the runs have to have [s], None while one is not measured."""
    names = marks(RUN, plan.element_runs)
    if not readings.keys() >= set(names):
        return None
    wanted = wanted_piece(plan, RUN)
    found = [float(_advice(plan, wanted, name, readings[name]).delay.m_as("s")) for name in names]
    return run_delay(wanted.delay_s, found)


def piece_names(plan: AnyPlan) -> tuple[str, ...]:
    """Return the name of every piece of a plan: lines, longest first, then the runs by element."""
    return tuple(piece_marks(plan))


def line_of(plan: AnyPlan, name: str) -> str:
    """Return the line of a piece's name, or ``"run"``; a line's own label does for any of its pieces.

    Raises
    ------
    InputError
        When the plan has no such piece.
    """
    known = piece_marks(plan)
    known |= {line.label: line.label for line in plan.delay_lines} | {RUN: RUN}
    # "A 2" is read like "A2"
    written = name if name in known or not isinstance(name, str) else name.replace(" ", "")
    if not isinstance(name, str) or written not in known:
        raise InputError(f"there is no piece {shown(name)}", where="piece", remedy=f"there are {in_short(known)}")
    return known[written]


def wanted_piece(plan: Stages, line: str) -> WantedPiece:
    """Return what a line of a plan, or ``"run"``, has to be."""
    design: DesignFile = plan.design
    if line != RUN:
        made_of = design_cable(design, design.cables.delay_line)
        piece = plan.line(line)
        return WantedPiece(made_of, design.ends.delay_line, piece.delay_s, piece.check)
    runs = plan.element_runs
    degrees = next(band.electrical_length_deg for band in runs.bands if band.name == plan.cut_band)
    made_of = design_cable(design, design.cables.element_run)
    return WantedPiece(made_of, design.ends.element_run, degrees / 360 / design.cut_hertz, runs.check)


def _seen(reading: Frequency | Measured | MeasuredLine) -> Frequency | Measured:
    return reading.check_frequency if isinstance(reading, MeasuredLine) else reading


def _advice(plan: Stages, wanted: WantedPiece, name: str, reading: Frequency | Measured | MeasuredLine) -> TrimAdvice:
    """Return what to do with a piece by its delay beside the wanted one."""
    seen, delay = _seen(reading), Quantity(wanted.delay_s, "s")
    hertz, accept = Quantity(plan.design.cut_hertz, "Hz"), Quantity(plan.accept_deg, "degree")
    try:
        _check_near(seen, wanted.check)
        return trim_advice(wanted.made_of, seen, delay, hertz, accept, connector_delay=wanted.end.delay)
    except InputError as error:
        raise error.within(name) from None


def _trim(
    plan: Stages,
    costs: LineCosts,
    name: str,
    reading: Frequency | Measured | MeasuredLine,
    runs: float | None,
) -> PieceTrim:
    line = line_of(plan, name)
    wanted, beside = wanted_piece(plan, line), runs if line == RUN else None
    if beside is not None:
        wanted = replace(wanted, delay_s=beside)
    seen, connector = _seen(reading), wanted.end.delay
    advice = _advice(plan, wanted, name, reading)
    now = seen.value if isinstance(seen, Measured) else seen
    metres = length_from_check_frequency(wanted.made_of, now, connector_delay=connector).m_as("m")
    after_first, after = (
        check_frequency(wanted.made_of, Quantity(metres - off.m_as("m"), "m"), connector_delay=connector).m_as("Hz")
        for off in (advice.first_cut_off, advice.cut_off)
    )
    late = advice.error.m_as("degree") / 360 / plan.design.cut_hertz
    cost = costs.of_run(late) if line == RUN else costs.of_delay(line, late)
    short = advice.verdict == "too short"
    return PieceTrim(
        name,
        line,
        float(positive(now, "Hz", name)),
        wanted.delay_s,
        advice,
        _error_deg(seen, advice, plan.design.cut_hertz),
        plan.accept_deg,
        float(after_first),
        float(after),
        cost,
        _could_become(plan, line, advice) if short else (),
        _could_serve(plan, line, metres) if short else (),
        beside is not None,
    )


def _check_near(seen: Frequency | Measured, check: Check) -> None:
    """Refuse a reading that is another piece's, or a slip of the decimal point."""
    value = seen.value if isinstance(seen, Measured) else seen
    ratio = Quantity(value, "Hz").magnitude / check.frequency_hz if isinstance(value, str) else None
    ratio = value.m_as("Hz") / check.frequency_hz if ratio is None and isinstance(value, Quantity) else ratio
    if ratio is not None and not 1 / ANOTHER < ratio < ANOTHER:
        raise InputError(
            f"got {ratio * check.frequency_hz / 1e6:.4g} MHz",
            where="check frequency",
            wanted=f"about {check.frequency_hz / 1e6:.4g} MHz",
            remedy="check the decimal point, the unit and which piece it is before you cut",
        )


def _error_deg(seen: Frequency | Measured, advice: TrimAdvice, hertz: float) -> float | None:
    if not isinstance(seen, Measured):
        return None
    return float(360 * hertz * advice.delay.m_as("s") * (seen.uncertainty / seen.value).m_as(""))


def _could_become(plan: Stages, line: str, advice: TrimAdvice) -> tuple[str, ...]:
    """Return the lines of the same cable that are no longer than a piece, the longest first."""
    if line == RUN and plan.design.cables.element_run != plan.design.cables.delay_line:
        return ()
    delay = advice.delay.m_as("s") + plan.accept_deg / 360 / plan.design.cut_hertz
    fit = [one for one in plan.delay_lines if one.label != line and one.delay_s <= delay]
    return tuple(one.label for one in sorted(fit, key=lambda one: -one.delay_s))


def _could_serve(plan: Stages, line: str, metres: float) -> tuple[tuple[str, str], ...]:
    """Return pairs of lines that a piece of some length between connectors is long enough for."""
    design = plan.design
    if line == RUN and design.cables.element_run != design.cables.delay_line:
        return ()
    end = design.ends.element_run if line == RUN else design.ends.delay_line
    whole = metres + 2 * end.strip.m_as("m")

    def needed(pair: tuple[DelayLine, DelayLine]) -> float:
        return sum(one.length_to_cut_m for one in pair)

    pairs = [pair for pair in combinations_with_replacement(plan.delay_lines, 2) if needed(pair) <= whole]
    pairs = [(a, b) for a, b in pairs if a is not b or a.count > 1]
    return tuple((a.label, b.label) for a, b in sorted(pairs, key=lambda pair: -needed(pair)))
