"""What a plan says of its real ends. Field names are keys of its JSON."""

from dataclasses import dataclass


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
