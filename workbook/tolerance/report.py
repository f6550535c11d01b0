"""What known faults do to an array: phase error of each channel, and the pattern's figures before and after."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple, get_args

import numpy as np

from workbook.array.firing import Firing, check_firing
from workbook.array.layout import Layout
from workbook.array.merit import NO_BACK
from workbook.array.pattern import front_to_back, rdf
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.tolerance.faults import Channels, Fault
from workbook.tolerance.figures import power
from workbook.tolerance.lobes import nominal_null, steering
from workbook.tolerance.model import model_of
from workbook.tolerance.phase import length_error
from workbook.tolerance.run import line_delays
from workbook.units import NEPER_IN_DB, Angle, Gain, Length, Loss, Quantity, Time, with_unit


class Null(NamedTuple):
    """The deepest null of the azimuth cut at the firing's elevation; `depth` below the front, infinite if nothing."""

    azimuth: Angle
    depth: Loss


@dataclass(frozen=True, eq=False)
class FaultReport:
    """An array before and after its faults.

    Attributes
    ----------
    before, after
        The array toward the same direction, as wanted and as it is.
    phase_error
        How much later each channel is than it should be, degree (N,); positive is electrically too long.
    level
        Level of each channel beside what it should be, dB (N,); minus infinity for a dead element.
    """

    before: Firing
    after: Firing
    phase_error: Angle
    level: Gain

    @cached_property
    def rdf(self) -> tuple[Gain, Gain]:
        """RDF before and after, dB."""
        return rdf(self.before), rdf(self.after)

    @cached_property
    def front_to_back(self) -> tuple[Gain, Gain]:
        """Front-to-back before and after, dB; infinite for a back of nothing."""
        return front_to_back(self.before), front_to_back(self.after)

    @cached_property
    def null(self) -> tuple[Null, Null]:
        """Deepest null of the azimuth cut before and after."""
        return deepest_null(self.before), deepest_null(self.after)

    @property
    def rdf_lost(self) -> Loss:
        """RDF that the faults cost, dB; positive is a loss."""
        return self.rdf[0] - self.rdf[1]

    @property
    def front_to_back_lost(self) -> Loss:
        """Front-to-back that the faults cost, dB; positive is a loss, 0 where neither has any back."""
        before, after = (float(each.m_as("dB")) for each in self.front_to_back)
        return with_unit(0.0 if before == after else before - after, "dB")

    def length_error(self, velocity_factor: float | Cable) -> Length:
        """Return each channel's phase error as length of cable.

        Parameters
        ----------
        velocity_factor
            Of the lines: a plain number or a `Cable`.

        Returns
        -------
        m quantity (N,); positive is too long

        Raises
        ------
        InputError
            On a velocity factor outside 0 to 1.
        """
        return length_error(self.phase_error, self.before.frequency, velocity_factor)


def fault_report(firing: Firing, faults: Sequence[Fault], delays: Time | None = None) -> FaultReport:
    """Return what known faults do to an array toward one direction.

    Parameters
    ----------
    firing
        The array as it should be, with one set of weights.
    faults
        Kinds of `wb.faults`, applied in order.
    delays
        Delay of each element's line (N,), 0 or None where it has none; needed by faults of delay lines.

    Returns
    -------
    FaultReport

    Raises
    ------
    InputError
        On anything that is not a fault, an element that does not exist, or an array of which no element is left.

    Examples
    --------
    >>> import workbook as wb
    >>> pair = wb.row(2, "20 m", "0 deg")
    >>> weights = wb.aligned_weights(pair, "1.83 MHz", "0 deg", "20 deg")
    >>> firing = wb.Firing(pair, weights, "1.83 MHz", "0 deg", "20 deg", wb.Ground(13, "5 mS/m"))
    >>> late = wb.faults.WrongVelocityFactor(assumed=0.85, true=0.8329)
    >>> report = fault_report(firing, [late], delays=["62.69 ns", "0 ns"])
    >>> report.phase_error.m_as("degree").round(2).tolist()
    [0.85, 0.0]
    >>> report.rdf_lost.m_as("dB")
    -0.02
    """
    check_firing(firing)
    if firing.weights.ndim != 1:
        raise InputError(f"its weights have {firing.weights.ndim} axes", where="firing", wanted="one set of weights")
    count = firing.layout.count
    seconds = np.zeros(count) if delays is None else line_delays(delays, count)
    hertz = firing.arrival.hertz
    channels = Channels(hertz, firing.layout.metres, seconds, np.zeros(count), np.ones(count, dtype=complex))
    for fault in faults if isinstance(faults, (list, tuple)) else (faults,):
        if not isinstance(fault, get_args(Fault)):
            raise InputError(f"got {shown(fault)}", where="faults", wanted="a kind of wb.faults")
        channels = fault.applied(channels)
    lag = 2 * np.pi * hertz * (channels.line_delay - seconds + channels.other_delay)
    after = replace(
        firing,
        layout=Layout(channels.metres),
        weights=firing.weights * channels.gain * np.exp(-1j * lag),
    )
    with np.errstate(divide="ignore"):
        level = np.log(np.abs(channels.gain)) * NEPER_IN_DB
    late = np.degrees(lag - np.angle(channels.gain))
    return FaultReport(firing, after, with_unit(late, "degree"), with_unit(level, "dB"))


def deepest_null(firing: Firing) -> Null:
    """Return the deepest null of the azimuth cut at the firing's elevation.

    Parameters
    ----------
    firing
        The array with one set of weights.

    Returns
    -------
    Null: azimuth clockwise from north in degrees, depth below the front in dB

    Raises
    ------
    InputError
        When `firing` is not a `Firing` with one set of weights.
    """
    check_firing(firing)
    model = model_of(firing, (), None, None, ())
    turn, least = nominal_null(model)
    front = float(power(firing.weights[:, None] * steering(model, model.perfect(), *model.across))[0])
    depth = np.inf if least < NO_BACK * front else 10 * np.log10(front / least)
    return Null(Quantity(float(np.degrees(model.azimuth + turn) % 360), "degree"), Quantity(float(depth), "dB"))
