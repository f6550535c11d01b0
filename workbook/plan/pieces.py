"""Pieces of cable that a plan has cut, and the runs. Field names are the keys of the plan's JSON."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Check:
    """What an analyser should show on a cut piece with its connectors fitted and its far end open.

    `accept_hz` is how far the accepted error reaches near the check frequency; a piece is good from `least_good_hz`
    to `greatest_good_hz`, None where it is so short that no cable at all would be good too.
    """

    far_end: str
    frequency_hz: float
    first_cut_frequency_hz: float
    hz_per_m: float
    resistance_ohm: float
    accept_hz: float
    least_good_hz: float
    greatest_good_hz: float | None


@dataclass(frozen=True)
class LineBand:
    """A delay line on one band."""

    name: str
    electrical_length_deg: float
    phase_error_deg: float
    nominal_phase_error_deg: float
    loss_db: float


@dataclass(frozen=True)
class DelayLine:
    """One delay line to cut, `count` pieces of it; in a ladder a piece from its tap to the next, None at its end.

    `sharing_error_deg` is how far the delays that share it lie from its own at most, on the cut band.
    """

    label: str
    from_: str | None
    to: str | None
    count: int
    delay_s: float
    cable: str
    cut_frequency_hz: float
    velocity_factor: float
    nominal_velocity_factor: float
    length_m: float
    least_length_m: float
    greatest_length_m: float
    length_to_cut_m: float
    first_cut_m: float
    nominal_length_error_m: float
    sharing_error_deg: float
    loop_resistance_ohm: float
    compensated_length_m: float | None
    check: Check
    bands: tuple[LineBand, ...]


@dataclass(frozen=True)
class RunBand:
    """An element run on one band."""

    name: str
    electrical_length_deg: float
    loss_db: float


@dataclass(frozen=True)
class ElementRuns:
    """The equal runs from the elements to the hub."""

    cable: str
    count: int
    length_m: float
    length_to_cut_m: float
    first_cut_m: float
    loop_resistance_ohm: float
    check: Check
    bands: tuple[RunBand, ...]


@dataclass(frozen=True)
class LossBand:
    """The receiver run's loss on one band."""

    name: str
    loss_db: float


@dataclass(frozen=True)
class ReceiverRun:
    """The run from the hub to the receiver."""

    cable: str
    length_m: float
    loop_resistance_ohm: float
    bands: tuple[LossBand, ...]


@dataclass(frozen=True)
class MatchSection:
    """A length of line in the way from the hub to the receiver, to be cut `count` times: these lie in parallel.

    Lengths between its ends, to cut (with the strips of a delay line's connectors) and at first cut.
    """

    cable: str
    count: int
    impedance_ohm: float
    electrical_length_deg: float
    delay_s: float
    length_m: float
    length_to_cut_m: float
    first_cut_m: float
    loop_resistance_ohm: float
    check: Check
