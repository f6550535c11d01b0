"""What a plan says. Field names are the keys of the plan's JSON, each with its SI unit; angles in degrees."""

from dataclasses import asdict, dataclass
from typing import Any

from workbook.array.stakeout import Stake
from workbook.errors import InputError, shown
from workbook.plan.pieces import DelayLine, ElementRuns, MatchSection, ReceiverRun


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
    """A direction on one band: None where nothing arrives or no elevation is said; front-to-back None if infinite.

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
class Total:
    """How much of one cable to have at hand."""

    cable: str
    length_m: float
    pieces: int


@dataclass(frozen=True)
class Plan:
    """Everything that is cut, and why; `to_dict` is the JSON."""

    format: int
    name: str
    workbook_version: str
    design_sha256: str
    cut_band: str
    rule: str
    ground: GroundBelow
    declination_deg: float | None
    elevation_deg: float | None
    accept_deg: float
    hub: str
    hub_east_m: float
    hub_north_m: float
    trim_m: float
    strip_m: float
    connector_delay_s: float
    bands: tuple[PlanBand, ...]
    elements: tuple[PlanElement, ...]
    directions: tuple[PlanDirection, ...]
    delay_lines: tuple[DelayLine, ...]
    element_runs: ElementRuns
    receiver_run: ReceiverRun | None
    totals: tuple[Total, ...]
    stakes: tuple[Stake, ...]
    tapes: tuple[PlanTape, ...]
    switch_table: tuple[SwitchRow, ...]
    hub_options: tuple[HubOption, ...]
    slacks: tuple[Slack, ...]
    terminations: Terminations | None
    match: PlanMatch | None
    warnings: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as plain numbers, texts, lists and dicts."""
        # worked out for whoever asks: a slider does not wait for it
        from workbook.plan.shapes import shapes

        data = asdict(self) | {"shapes": [asdict(one) for one in shapes(self)]}
        return {key: _plain(value) for key, value in data.items()}

    def line(self, label: str) -> DelayLine:
        """Return the delay line of a label."""
        return _named(self.delay_lines, label, "label", "line")

    def band(self, name: str) -> PlanBand:
        """Return the band of a name."""
        return _named(self.bands, name, "name", "band")

    def direction(self, name: str) -> PlanDirection:
        """Return the direction of a name."""
        return _named(self.directions, name, "name", "direction")

    @property
    def cut_order(self) -> tuple[DelayLine, ...]:
        """The delay lines, longest first, so that a spoiled piece still makes a shorter line."""
        return tuple(sorted(self.delay_lines, key=lambda line: -line.length_m))

    def _repr_html_(self) -> str:
        from workbook.plan.lists import cut_list

        return cut_list(self).html()


def _named(parts: tuple[Any, ...], name: str, key: str, what: str) -> Any:
    for one in parts:
        if isinstance(name, str) and getattr(one, key) == name:
            return one
    known = ", ".join(getattr(one, key) for one in parts)
    raise InputError(
        f"there is no {what} {shown(name)}", where=str(what if key == "name" else key), remedy=f"there are {known}"
    )


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key.rstrip("_"): _plain(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(entry) for entry in value]
    return value.item() if hasattr(value, "item") else value
