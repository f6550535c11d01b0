"""What a plan says. Field names are the keys of the plan's JSON, each with its SI unit; angles in degrees."""

from dataclasses import dataclass
from typing import NamedTuple

from workbook.plan.pieces import MatchSection
from workbook.tolerance.kinds import Tolerance
from workbook.units import Quantity


@dataclass(frozen=True)
class PlanBand:
    """A band of the design."""

    name: str
    frequency_hz: float


@dataclass(frozen=True)
class PlanElement:
    """Where an element stands."""

    number: int
    east_m: float
    north_m: float


@dataclass(frozen=True)
class Feed:
    """How one element is fed in one direction: delay, polarity (0 when off), and the line that makes the delay."""

    number: int
    delay_s: float | None
    polarity: int
    amplitude: float
    line: str | None


@dataclass(frozen=True)
class GroundBelow:
    """What the elements stand on: `entered` numbers, `perfect`, or `none`."""

    kind: str
    relative_permittivity: float | None
    conductivity_s_per_m: float | None


@dataclass(frozen=True)
class DirectionBand:
    """A direction on one band: None where nothing arrives; front-to-back None if infinite.

    `rdf_lost_to_errors_db` is what random errors of 0.1 dB and 1 degree in every channel cost on average;
    `rule_rdf_db` is the RDF had the rule been solved for this band alone, and `phase_from_rule_deg` the greatest phase
    by which an element is then off; `elsewhere_over_aim_db` is how much stronger the strongest azimuth at the
    elevation is heard than the one that is fired at, 0 where that is the strongest.
    """

    name: str
    rdf_db: float | None
    front_to_back_db: float | None
    signal_gain_db: float | None
    noise_gain_db: float | None
    white_noise_gain_db: float | None
    rdf_lost_to_errors_db: float | None
    rule_rdf_db: float | None
    phase_from_rule_deg: float | None
    elsewhere_over_aim_db: float | None


@dataclass(frozen=True)
class PlanDirection:
    """One switch position."""

    name: str
    azimuth_deg: float
    elements: tuple[Feed, ...]
    bands: tuple[DirectionBand, ...]


@dataclass(frozen=True)
class PatternNull:
    """A dip of the azimuth cut, and how far it lies below the cut's greatest; None if farther than one can build."""

    bearing_deg: float
    below_greatest_db: float | None


@dataclass(frozen=True)
class PatternShape:
    """The shape of one direction's pattern on one band: None where nothing comes from behind or nothing falls to half.

    Rear half: azimuths more than 90 degrees from the direction; worst over every elevation, mean over solid angle.
    Nulls come clockwise from the direction.
    """

    direction: str
    band: str
    front_to_rear_worst_db: float | None
    front_to_rear_mean_db: float | None
    azimuth_beamwidth_deg: float | None
    elevation_beamwidth_deg: float | None
    peak_elevation_deg: float
    nulls: tuple[PatternNull, ...]


@dataclass(frozen=True)
class PlanTape:
    """One of the tapes that find a stake; each end is the centre or the number of an element, `from` a set stake."""

    from_: int | str
    to: int | str
    length_m: float


@dataclass(frozen=True)
class SwitchRow:
    """What one element goes through in one switch position."""

    direction: str
    element: int
    line: str | None
    polarity: int


@dataclass(frozen=True)
class Slack:
    """How far a line may move alone, before the least RDF of a direction falls 0.3 dB; None if it never does."""

    direction: str
    line: str
    slack_s: float | None


@dataclass(frozen=True)
class HubOption:
    """What one kind of hub takes: pieces of delay line, cable (None if a piece were too short), combiners' inputs."""

    kind: str
    pieces: int
    cable_m: float | None
    combiner_inputs: tuple[int, ...]
    inverting_transformers: int


SMALL_RDF_DB, SMALL_FRONT_TO_BACK_DB = 0.05, 0.5
"""Losses under these do not matter."""


class Cost(NamedTuple):
    """The most that is lost of RDF and of front-to-back [dB]; below 0 where everything becomes better."""

    rdf_lost_db: float
    front_to_back_lost_db: float

    @property
    def matters(self) -> bool:
        """Whether it is 0.05 dB of RDF or 0.5 dB of front-to-back, or more."""
        return self.rdf_lost_db >= SMALL_RDF_DB or self.front_to_back_lost_db >= SMALL_FRONT_TO_BACK_DB


@dataclass(frozen=True)
class MergeOption:
    """How many distinct delay lines, and pieces of them, a tolerance on the highest band leaves.

    Losses are the greatest of all directions and bands, beside lines that have every delay exactly; below 0 where all
    become better, None where nothing arrives.
    """

    tolerance_deg: float
    lines: int
    pieces: int
    rdf_lost_db: float | None
    front_to_back_lost_db: float | None

    @property
    def cost(self) -> Cost | None:
        """What it costs; None where nothing arrives."""
        if self.rdf_lost_db is None or self.front_to_back_lost_db is None:
            return None
        return Cost(self.rdf_lost_db, self.front_to_back_lost_db)


@dataclass(frozen=True)
class ChannelBand:
    """A channel on one band beside the direct one: how early [degree], how strong [dB]; then with compensated lengths.

    `least`, `greatest`, `weakest` and `strongest` are those at the worst corners of both ends' tolerances.
    """

    name: str
    phase_error_deg: float
    least_phase_error_deg: float
    greatest_phase_error_deg: float
    compensated_phase_error_deg: float
    level_db: float
    weakest_level_db: float
    strongest_level_db: float
    compensated_level_db: float


@dataclass(frozen=True)
class RealChannel:
    """A channel through one delay line, or `direct`: its compensated line, and the pad that levels it on the cut band.

    The pad is a pi of one series and two equal shunt resistors at the port; `extra_run_m` is the longer run that
    loses as much. In a ladder the compensated length goes up to the tap.
    """

    line: str
    compensated_length_m: float | None
    compensated_change_deg: float | None
    pad_db: float
    pad_series_ohm: float | None
    pad_shunt_ohm: float | None
    extra_run_m: float | None
    bands: tuple[ChannelBand, ...]


@dataclass(frozen=True)
class RealBand:
    """A direction on one band with real channels, as planned and compensated."""

    direction: str
    name: str
    rdf_db: float | None
    front_to_back_db: float | None
    compensated_rdf_db: float | None
    compensated_front_to_back_db: float | None


@dataclass(frozen=True)
class Terminations:
    """What the ends of the design do; `needed_*`: what both must have for the accepted error between channels."""

    source_ohm: float
    port_ohm: float
    summing_ohm: float | None
    source_tolerance: float
    port_tolerance: float
    needed_return_loss_db: float
    needed_swr: float
    worth_doing: bool
    note: str
    channels: tuple[RealChannel, ...]
    directions: tuple[RealBand, ...]


@dataclass(frozen=True)
class MatchBand:
    """What the way does on a band's design frequency."""

    name: str
    swr_in: float
    swr_out: float
    insertion_loss_db: float
    phase_shift_deg: float


@dataclass(frozen=True)
class MatchComponent:
    """A resistor, winding or inductance of the way: what it is, its value, and the unit, which is ohm, H or turns."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True)
class PlanMatch:
    """The way from the hub's impedance to the receiver's; parts without length stand in `components` too."""

    way: str
    source_ohm: float
    load_ohm: float
    parts: str
    reason: str
    components: tuple[MatchComponent, ...]
    sections: tuple[MatchSection, ...]
    bands: tuple[MatchBand, ...]


@dataclass(frozen=True)
class PlanTolerance:
    """A tolerance of the design: its half width, of a normal distribution its standard uncertainty.

    `spread` is in `unit`: m, s, degree, or 1 for a relative one.
    """

    what: str
    kind: str
    shared: str
    spread: float
    unit: str

    @classmethod
    def of(cls, tolerance: Tolerance) -> "PlanTolerance":
        """Return a tolerance on plain numbers."""
        unit = {"position": "m", "cut length": "m", "connector delay": "s", "phase": "degree"}.get(tolerance.what, "1")
        spread = tolerance.spread if unit == "1" else tolerance.spread.m_as(unit)
        return cls(tolerance.what, tolerance.kind, tolerance.shared, float(spread), unit)

    def tolerance(self) -> Tolerance:
        """Return it as a distribution."""
        spread = self.spread if self.unit == "1" else Quantity(self.spread, self.unit)
        if self.kind == "normal":
            return Tolerance(self.what, self.kind, standard_uncertainty=spread, shared=self.shared)
        return Tolerance(self.what, self.kind, half_width=spread, shared=self.shared)


@dataclass(frozen=True)
class Total:
    """How much of one cable to have at hand, and what it costs; None without a price."""

    cable: str
    length_m: float
    pieces: int
    cost: float | None = None
