"""Known faults of the cables and elements of a plan, and what they do to a direction on every band."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from workbook.chain.channel_errors import channel_errors
from workbook.formulas.lines import C
from workbook.plan.cuts import design_cable
from workbook.plan.element_lines import ElementLines, cable_delays, element_lines
from workbook.plan.firings import firing
from workbook.plan.results import PlanBand
from workbook.plan.stages import AnyPlan, Stages
from workbook.plan.terminations import channels_of
from workbook.tolerance.faults import (
    ChannelError,
    DeadElement,
    Fault,
    MovedElement,
    ReversedElement,
    SwappedLines,
    TemperatureDifference,
    WrongLength,
    WrongRunVelocity,
    WrongVelocityFactor,
)
from workbook.tolerance.report import FaultReport, fault_report
from workbook.units import FloatArray, Quantity


@dataclass(frozen=True)
class CableFault:
    """What is wrong with some of the cables: `lines` by label, and the runs of some elements by index from 0.

    Attributes
    ----------
    assumed, true
        Velocity factors on the cut band; on others the true one follows the cable's own change with frequency.
    excess_m
        How much too long each is cut [m]; of a ladder each piece.
    warmer
        Relative change of delay by temperature: kelvin times the change per kelvin.
    """

    assumed: float
    true: float
    lines: tuple[str, ...] = ()
    runs: tuple[int, ...] = ()
    excess_m: float = 0.0
    warmer: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class KnownFaults:
    """The faults of one array: of its cables, its elements by index from 0, and the ends of its lines.

    Attributes
    ----------
    moved
        East and north [m] by element.
    ends_ohm
        Source and port impedance that the lines have, None for matched ones.
    """

    cable: CableFault
    moved: Mapping[int, tuple[float, float]] = field(default_factory=lambda: MappingProxyType({}))
    swapped: tuple[int, int] | None = None
    dead: int | None = None
    turned: int | None = None
    ends_ohm: tuple[float, float] | None = None


def fault_reports(plan: Stages, direction: str, faults: KnownFaults) -> dict[str, FaultReport]:
    """Return what faults do to a direction, by band.

    Raises
    ------
    InputError
        When there is no such direction, a fault is impossible, or nothing arrives at the elevation.
    """
    behind = element_lines(plan, direction)
    return {
        band.name: fault_report(firing(plan, direction, band.name), _faults(plan, behind, faults, band), behind.delays)
        for band in plan.bands
    }


def _faults(plan: Stages, behind: ElementLines, faults: KnownFaults, band: PlanBand) -> list[Fault]:
    cable = replace(faults.cable, true=faults.cable.true * dispersion(plan)[band.name])
    found: list[Fault] = []
    if faults.ends_ohm is not None and plan.delay_lines:
        found.append(_ends(plan, behind, faults.ends_ohm, band))
    found += _of_lines(plan, behind, cable, band)
    if cable.runs:
        found += _of_runs(plan, cable)
    for element, (east, north) in faults.moved.items():
        found.append(MovedElement(element, Quantity(east, "m"), Quantity(north, "m")))
    if faults.swapped is not None:
        found.append(SwappedLines(*faults.swapped))
    if faults.turned is not None:
        found.append(ReversedElement(faults.turned))
    if faults.dead is not None:
        found.append(DeadElement(faults.dead))
    return found


def _of_lines(plan: AnyPlan, behind: ElementLines, cable: CableFault, band: PlanBand) -> list[Fault]:
    """Return faults of some delay lines; in a ladder a piece is part of every tap farther out."""
    if plan.hub_kind.in_series:
        late = np.array([_late(plan, label, cable) for label in behind.labels])
        return [ChannelError(Quantity(360 * band.frequency_hz * late, "degree"), Quantity(0.0, "dB"))]
    some = tuple(index for index, label in enumerate(behind.labels) if label in cable.lines)
    if not some:
        return []
    return [
        WrongVelocityFactor(cable.assumed, cable.true, some),
        WrongLength(Quantity(cable.excess_m, "m"), cable.true, some),
        TemperatureDifference(*cable.warmer, elements=some),
    ]


def _late(plan: AnyPlan, label: str | None, cable: CableFault) -> float:
    """Return how much later a ladder's tap is [s], by the pieces concerned on its way."""
    if label is None:
        return 0.0
    delays = cable_delays(plan)
    names = list(delays)
    on_the_way = [name for name in names[: names.index(label) + 1] if name in cable.lines]
    share = cable.assumed / cable.true * (1 + cable.warmer[0] * cable.warmer[1]) - 1
    return sum(delays[name] * share + cable.excess_m / (cable.true * C) for name in on_the_way)


def _of_runs(plan: AnyPlan, cable: CableFault) -> list[Fault]:
    length = Quantity(plan.element_runs.length_m, "m")
    delay = Quantity(plan.element_runs.length_m / (cable.true * C), "s")
    return [
        WrongRunVelocity(length, cable.assumed, cable.true, cable.runs),
        TemperatureDifference(*cable.warmer, delay=delay, elements=cable.runs),
    ]


def _ends(plan: Stages, behind: ElementLines, ohms: tuple[float, float], band: PlanBand) -> Fault:
    """Return what unmatched ends of the lines do to every channel beside the one without a line."""
    source, port = (Quantity(ohm, "ohm") for ohm in ohms)
    hub = plan.design.hub.model_copy(update={"source_impedance": source, "port_impedance": port})
    design = plan.design.model_copy(update={"hub": hub})
    whole = plan.hub_kind.at_taps(np.array([line.length_m for line in plan.delay_lines]))
    channels = channels_of(design, plan.lines, whole, plan.element_runs.length_m)
    wanted = Quantity(np.append(0.0, plan.lines.delays), "s")
    early, level = channel_errors(channels, wanted, Quantity(band.frequency_hz, "Hz"))
    names = [line.label for line in plan.delay_lines]
    used = np.array([0 if label is None else names.index(label) + 1 for label in behind.labels])
    return ChannelError(-early[used], level[used])


def dispersion(plan: Stages) -> dict[str, float]:
    """Return the velocity factor of the delay lines' cable on every band over that on the cut band."""
    made_of = design_cable(plan.design, plan.design.cables.delay_line)
    own = float(made_of.velocity(plan.design.cut_hertz))
    return {band.name: float(made_of.velocity(band.frequency_hz)) / own for band in plan.bands}


def line_errors(plan: Stages, assumed: float, true: float) -> dict[str, FloatArray]:
    """Return how much too long each delay line is electrically [degree], by label, on every band.

    Velocity factors are those on the cut band.
    """
    hertz = np.array([band.frequency_hz for band in plan.bands])
    share = assumed / (true * np.array(list(dispersion(plan).values()))) - 1
    return {label: 360 * hertz * delay * share for label, delay in cable_delays(plan).items()}
