"""What the planned lines do between the ends that the design says: errors of every channel, and compensated lengths."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.chain.channel_errors import ErrorCorners, channel_errors, error_corners, perturbed_weights
from workbook.chain.channels import Channel, delayed_channels
from workbook.chain.compensation import Compensated, compensated_lengths
from workbook.chain.levelling import level_channels
from workbook.chain.mismatch import line_transfer, required_match
from workbook.design.directions import Feeds
from workbook.design.schema import DesignFile
from workbook.formulas import terminated
from workbook.line.cable import Cable
from workbook.line.lengths import physical_length
from workbook.plan.cuts import design_cable
from workbook.plan.delays import Lines, label
from workbook.plan.patterns import Field, figures
from workbook.plan.results import ChannelBand, RealBand, RealChannel, Terminations
from workbook.units import Quantity

DIRECT = "direct"
"""How the channel without a delay line is named."""


def channels_of(design: DesignFile, found: Lines, lengths: Any, run_length: float) -> tuple[Channel, ...]:
    """Return one channel without a line, then one for each delay; lengths [m] of cable, to the tap in a ladder.

    Run and line are one way from the element's output to the port, unless the design names a summing stage.
    """
    hub, end = design.hub, design.ends.delay_line
    direct = Channel(
        hub.source_impedance,
        design_cable(design, design.cables.element_run),
        Quantity(run_length, "m"),
        None,
        None,
        hub.port_impedance,
        connector_delay=end.delay,
        summing=hub.summing_impedance,
        run_connector_delay=design.ends.element_run.delay,
    )
    # up to the n-th tap of a ladder lie n pieces
    pieces = [1, *range(1, len(lengths) + 1)] if hub.in_series else 1
    made_of = design_cable(design, design.cables.delay_line)
    return delayed_channels(direct, made_of, Quantity(np.append(0.0, lengths), "m"), pieces)


def terminations(
    design: DesignFile, on: Field, given: Feeds, found: Lines, lengths: Sequence[float], run_length: float
) -> Terminations | None:
    """Return what the ends do to the channels, None where the design does not say them or needs no lines.

    Parameters
    ----------
    design
        The design.
    on
        Where the array stands and fires.
    given, found
        What the lines give every direction, and the distinct delays that serve it.
    lengths
        Cable of each line, of each piece in a ladder [m].
    run_length
        Cable of an element run [m].
    """
    hub = design.hub
    if hub.source_impedance is None or hub.port_impedance is None or not len(found.delays):
        return None
    whole = hub.at_taps(np.asarray(lengths))
    channels = channels_of(design, found, whole, run_length)
    delays = Quantity(np.append(0.0, found.delays), "s")
    bands = design.band_hertz
    hertz = Quantity(np.array(list(bands.values())), "Hz")
    cut = Quantity(design.cut_hertz, "Hz")
    names = [DIRECT, *(label(n) for n in range(len(found.delays)))]
    errors = channel_errors(channels, delays, hertz)
    corners = error_corners(channels, delays, hertz, hub.source_tolerance, hub.port_tolerance)
    better = compensated_lengths(channels, delays, cut, [None, *names[1:]])
    after = better.errors(hertz)
    # two channels may be off in opposite senses, so each may have half of what is accepted between them
    needed = required_match(design.accepted_error / 2)
    return Terminations(
        source_ohm=float(hub.source_impedance.m_as("ohm")),
        port_ohm=float(hub.port_impedance.m_as("ohm")),
        summing_ohm=None if hub.summing_impedance is None else float(hub.summing_impedance.m_as("ohm")),
        source_tolerance=hub.source_tolerance,
        port_tolerance=hub.port_tolerance,
        needed_return_loss_db=float(needed.return_loss.m_as("dB")),
        needed_swr=float(needed.swr),
        worth_doing=better.worth_doing,
        note=better.note,
        channels=_channels(names, channels, cut, (errors, corners, after), tuple(bands), better),
        directions=_directions(design, on, given, found, errors, after),
    )


def _channels(
    names: list[str],
    channels: Sequence[Channel],
    cut: Quantity,
    found: tuple[Any, ErrorCorners, Any],
    bands: tuple[str, ...],
    better: Compensated,
) -> tuple[RealChannel, ...]:
    levelled = level_channels(channels, cut)
    (phase, level), corners, (phase_after, level_after) = found
    columns = {
        "phase_error_deg": phase.m_as("degree"),
        "least_phase_error_deg": corners.least.m_as("degree"),
        "greatest_phase_error_deg": corners.greatest.m_as("degree"),
        "compensated_phase_error_deg": phase_after.m_as("degree"),
        "level_db": level.m_as("dB"),
        "weakest_level_db": corners.weakest.m_as("dB"),
        "strongest_level_db": corners.strongest.m_as("dB"),
        "compensated_level_db": level_after.m_as("dB"),
    }
    moved = [None, *better.lines]
    return tuple(
        RealChannel(
            line=name,
            compensated_length_m=None if line is None else float(line.length.m_as("m")),
            compensated_change_deg=None if line is None else float(line.degrees.m_as("degree")),
            pad_db=float(levelled.loss[number].m_as("dB")),
            pad_series_ohm=_finite(levelled.pi_series[number]),
            pad_shunt_ohm=_finite(levelled.pi_shunt[number]),
            extra_run_m=_finite(levelled.extra_run[number], "m"),
            bands=tuple(
                ChannelBand(band, **{key: float(values[number, n]) for key, values in columns.items()})
                for n, band in enumerate(bands)
            ),
        )
        for number, (name, line) in enumerate(zip(names, moved, strict=True))
    )


def _finite(value: Any, unit: str = "ohm") -> float | None:
    plain = float(value.m_as(unit))
    return plain if np.isfinite(plain) else None


def _directions(
    design: DesignFile, on: Field, given: Feeds, found: Lines, errors: tuple[Any, Any], after: tuple[Any, Any]
) -> tuple[RealBand, ...]:
    """Return RDF and front-to-back of every direction on every band with the channels as they are, and compensated."""
    rows: dict[tuple[int, int], RealBand] = {}
    for n, (band, hertz) in enumerate(design.band_hertz.items()):
        ideal = given.weights(hertz)
        columns: dict[str, Any] = {}
        for prefix, (phase, level) in (("", errors), ("compensated_", after)):
            real = [
                perturbed_weights(row, phase[used + 1, n], level[used + 1, n])
                for row, used in zip(ideal, found.used, strict=True)
            ]
            figure = figures(on, np.array(real), hertz)
            columns[f"{prefix}rdf_db"] = None if figure is None else figure.rdf_db
            columns[f"{prefix}front_to_back_db"] = None if figure is None else figure.front_to_back_db
        for d, direction in enumerate(design.directions):
            known = {k: None if c is None or not np.isfinite(c[d]) else float(c[d]) for k, c in columns.items()}
            rows[d, n] = RealBand(direction.name, band, **known)
    return tuple(rows[key] for key in sorted(rows))


@dataclass(frozen=True, eq=False)
class LineAlone:
    """One line by itself between two ends on one frequency, of any lengths: plain arrays that go together.

    `phase_error_deg` and `level_db` are relative to no line at all between the same ends, positive = early and
    stronger. There a line with a matched end would be off by `matched_deg`, not by nothing, because a real cable's
    impedance is complex. From that no length is farther than `bound_deg`, the closed asin|rho_s rho_L|, and none of
    this cable than `greatest_deg`. `gamma` [1/m] and `product`, rho_s rho_L, are what these come from.
    """

    electrical_length_deg: Any
    length_m: Any
    phase_error_deg: Any
    level_db: Any
    gamma: complex
    product: complex

    @property
    def matched_deg(self) -> float:
        """Phase error that a line with a matched end would have beside no line."""
        return float(np.degrees(np.angle(1 - self.product)))

    @property
    def bound_deg(self) -> float:
        """The closed answer: how far no length at all is off."""
        return float(np.degrees(terminated.phase_bound(self.product)))

    @property
    def greatest_deg(self) -> float:
        """The exact answer: how far the worst length of this cable is off."""
        return float(np.degrees(np.abs(terminated.greatest_phases(self.gamma, self.product)).max()))


def line_alone(made_of: Cable, degrees: Any, hertz: float, source_ohm: float, port_ohm: float) -> LineAlone:
    """Return what two ends do to one line of electrical lengths [degree] on a frequency [Hz].

    Raises
    ------
    InputError
        When a length is negative or an end has no resistance.
    """
    on, ends = Quantity(hertz, "Hz"), (Quantity(source_ohm, "ohm"), Quantity(port_ohm, "ohm"))
    gamma, impedance = made_of.constants(hertz)
    length = physical_length(Quantity(degrees, "degree"), on, made_of)
    ratio = line_transfer(made_of, length, on, *ends) / line_transfer(made_of, Quantity(0.0, "m"), on, *ends)
    return LineAlone(
        electrical_length_deg=degrees,
        length_m=length.m_as("m"),
        phase_error_deg=np.degrees(np.angle(ratio * np.exp(1j * np.radians(degrees)))),
        level_db=20 * np.log10(np.abs(ratio)),
        gamma=complex(gamma),
        product=complex(terminated.reflection_product(impedance, source_ohm, port_ohm)),
    )
