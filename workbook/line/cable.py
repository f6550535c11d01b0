"""A cable: what it does at any frequency."""

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from workbook.checks import check_broadcast, check_velocity_factor, not_negative, one_of, positive
from workbook.errors import InputError
from workbook.formulas import lines
from workbook.line.models import CoaxModel, ConstantModel, LineModel
from workbook.line.record import Record
from workbook.line.span import extreme
from workbook.units import NEPER_IN_DB, Quantity, scalar, with_unit

if TYPE_CHECKING:
    import skrf


@functools.lru_cache(maxsize=64)
def _remembered(model: Any, packed: bytes) -> tuple[Any, Any]:
    """Solve a model once when loss, velocity and impedance are asked one after the other."""
    solved = lines.propagation(*model.per_metre(np.frombuffer(packed)))
    for array in solved:
        array.flags.writeable = False
    return solved


def _solve(model: LineModel, omega: Any) -> tuple[Any, Any]:
    if not isinstance(model, CoaxModel) or np.size(omega) > 10_000:
        return lines.propagation(*model.per_metre(omega))
    shape = np.shape(omega)
    gamma, impedance = _remembered(model, np.ascontiguousarray(omega, dtype=float).tobytes())
    return gamma.reshape(shape)[()], impedance.reshape(shape)[()]


def _loss(omega: Any, gamma: Any, impedance: Any, slowing: float) -> Any:
    return gamma.real * NEPER_IN_DB


def _velocity(omega: Any, gamma: Any, impedance: Any, slowing: float) -> Any:
    return omega / (gamma.imag * slowing * lines.C)


def _impedance(omega: Any, gamma: Any, impedance: Any, slowing: float) -> Any:
    return impedance


# what `span` can be asked for, and its unit
_MEASURES: Mapping[str, tuple[Any, str]] = MappingProxyType(
    {
        "attenuation": (_loss, "dB/m"),
        "velocity_factor": (_velocity, ""),
        "characteristic_impedance": (_impedance, "ohm"),
    }
)


@dataclass(frozen=True)
class Cable:
    """A cable, answering for its typical cladding.

    `model` holds plain SI numbers; `slowing` multiplies the phase constant where a measured velocity factor
    has replaced the model's; `record` is the cable's file, None for a cable made up from constants.
    Frequencies may be arrays of any shape, the answers have the same shape.
    """

    name: str
    model: LineModel
    nominal_velocity_factor: float
    nominal_impedance: Any
    record: Record | None = None
    slowing: float = 1.0

    def constants(self, hertz: Any) -> tuple[Any, Any]:
        """Return propagation constant [1/m] and impedance [ohm] as plain numbers at plain frequencies [Hz]."""
        gamma, impedance = _solve(self.model, 2 * np.pi * hertz)
        return (gamma if self.slowing == 1.0 else gamma.real + 1j * gamma.imag * self.slowing), impedance

    def velocity(self, hertz: Any) -> Any:
        """Return the velocity factor at plain frequencies [Hz]."""
        return 2 * np.pi * hertz / (self.constants(hertz)[0].imag * lines.C)

    def propagation_constant(self, frequency: Any) -> Any:
        """Return the propagation constant [1/m]: real part nepers, imaginary part radians."""
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[0], "1/m")

    def characteristic_impedance(self, frequency: Any) -> Any:
        """Return the characteristic impedance [ohm], complex."""
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[1], "ohm")

    def attenuation(self, frequency: Any) -> Any:
        """Return the matched loss per length [dB/m].

        Examples
        --------
        >>> from workbook.line.cable import ideal_cable
        >>> ideal_cable("75 ohm", 0.66).attenuation("1.83 MHz").m_as("dB/m")
        0.0
        """
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[0].real * NEPER_IN_DB, "dB/m")

    def velocity_factor(self, frequency: Any) -> Any:
        """Return the velocity factor of a phase, a plain number."""
        hertz = positive(frequency, "Hz", "frequency")
        return scalar(self.velocity(hertz))

    def group_velocity_factor(self, frequency: Any) -> Any:
        """Return the velocity factor of a short signal, a plain number: (d omega / d beta)/c."""
        hertz = positive(frequency, "Hz", "frequency")
        # five-point rule; the step is where rounding and curvature are both below 1e-10
        step = 1e-3 * hertz
        beta = {n: self.constants(hertz + n * step)[0].imag for n in (-2, -1, 1, 2)}
        slope = (beta[-2] - 8 * beta[-1] + 8 * beta[1] - beta[2]) / (12 * step)
        return scalar(2 * np.pi / (slope * lines.C))

    @property
    def loop_resistance(self) -> Any:
        """Direct-current resistance of centre and shield together at 20 degC [ohm/m]."""
        return with_unit(self.model.loop_resistance, "ohm/m")

    @property
    def is_clad(self) -> bool:
        """Whether the centre is copper-clad steel, so that a range of claddings has to be reckoned with."""
        return isinstance(self.model, CoaxModel) and self.model.is_clad

    @property
    def is_balanced(self) -> bool:
        """Whether it is a pair, which needs a transformer at each end where a coaxial cable does not."""
        return self.record is not None and self.record.balanced

    @property
    def unknown(self) -> tuple[str, ...]:
        """What nobody has told us about this cable, and which published points it does not follow and why."""
        if self.record is None:
            return ()
        disputed = (
            f"{p.loss.to('dB/m') * Quantity(30.48, 'm'):.3g~P} per 100 ft at {p.frequency:~P} ({p.status}) "
            f"is not followed: {p.disputed}"
            for p in self.record.attenuation
            if p.disputed
        )
        below = self.estimated_below
        estimated = (f"loss and velocity below {below:~P}, the lowest published point, are estimated",) if below else ()
        return (*self.record.unknown, *estimated, *_uncertain_shield(self.record), *disputed)

    @property
    def estimated_below(self) -> Any:
        """Frequency below which a cable known only by a table is an estimate; None for one of known construction."""
        if self.record is None or self.record.table is None:
            return None
        return min(point.frequency for point in self.record.attenuation)

    def with_cladding(self, thickness: Any) -> "Cable":
        """Return the same cable with one cladding of copper on its steel.

        Parameters
        ----------
        thickness
            One length above zero and below the radius of the centre.

        Raises
        ------
        InputError
            When the centre is not clad, or the thickness is not below its radius.
        """
        metres = positive(thickness, "m", "thickness")
        if not isinstance(self.model, CoaxModel) or not self.model.is_clad:
            raise InputError(
                f"{self.name} has no clad centre", where="thickness", remedy="choose a cable of copper-clad steel"
            )
        if np.ndim(metres) or metres >= self.model.radius:
            limit = self.model.radius * 1e6
            raise InputError(f"one cladding below the centre's radius of {limit:.0f} um is wanted", where="thickness")
        return replace(self, model=self.model.with_cladding(float(metres)))

    def with_velocity_factor(self, value: float, frequency: Any) -> "Cable":
        """Return the same cable with its phase constant scaled to a velocity factor measured at one frequency.

        Loss and impedance stay the model's, and the range of claddings keeps its proportions.
        """
        measured = check_velocity_factor(value, "value")
        hertz = positive(frequency, "Hz", "frequency")
        if np.ndim(measured) or np.ndim(hertz):
            raise InputError(
                "one velocity factor at one frequency is wanted", where="value", remedy="give single values"
            )
        return replace(self, slowing=self.slowing * float(self.velocity(hertz) / measured))

    def span(self, quantity: str, frequency: Any) -> tuple[Any, Any, Any]:
        """Return (least, typical, greatest) over the record's whole range of claddings and permeabilities.

        Parameters
        ----------
        quantity
            ``"attenuation"``, ``"velocity_factor"`` or ``"characteristic_impedance"`` (ranked by modulus).
        frequency
            Frequency, any shape.

        Raises
        ------
        InputError
            When the quantity is another word.
        """
        measure, unit = _MEASURES[one_of(quantity, _MEASURES, "quantity")]
        hertz = positive(frequency, "Hz", "frequency")
        omega = 2 * np.pi * hertz
        typical = measure(omega, *_solve(self.model, omega), self.slowing)
        found = (typical, typical, typical)
        if isinstance(self.model, CoaxModel) and self.model.is_clad:
            scaled = functools.partial(measure, slowing=self.slowing)
            least = extreme(self.model, omega, scaled, np.abs)
            greatest = extreme(self.model, omega, scaled, lambda value: -np.abs(value))
            found = (least, typical, greatest)
        least, typical, greatest = (with_unit(value, unit) if unit else scalar(value) for value in found)
        return least, typical, greatest

    def network(self, frequency: Any, length: Any, port_impedance: Any = "50 ohm") -> "skrf.Network":
        """Return a length of this cable as a scikit-rf network.

        Parameters
        ----------
        frequency
            One frequency or a rising row of them.
        length
            One length.
        port_impedance
            Impedance of both ports.
        """
        import skrf

        hertz = np.atleast_1d(positive(frequency, "Hz", "frequency"))
        metres = not_negative(length, "m", "length")
        port = positive(port_impedance, "ohm", "port_impedance")
        if hertz.ndim > 1 or not hertz.size or np.any(np.diff(hertz) <= 0) or np.ndim(metres):
            raise InputError("a network takes a single row of rising frequencies and one length", where="frequency")
        if np.ndim(port):
            raise InputError(
                "one impedance is wanted for both ports", where="port_impedance", remedy="give a single value"
            )
        gamma, impedance = self.constants(hertz)
        grid = skrf.Frequency.from_f(hertz, unit="Hz")
        media = skrf.media.DefinedGammaZ0(grid, z0_port=port, z0=impedance, gamma=gamma)
        return media.line(metres, "m", name=self.name)


def _uncertain_shield(record: Record) -> Iterator[str]:
    spread = record.shield.dc_resistance_range if record.shield else None
    if spread:
        yield (
            "low-band loss uncertain: the shield's resistance is only known to lie between "
            f"{spread.least.value:~P} and {spread.greatest.value:~P}"
        )


def constant_cable(resistance: Any, inductance: Any, conductance: Any, capacitance: Any) -> Cable:
    """Return a cable whose R, L, G and C per metre are the same at every frequency, for checks and what-ifs.

    Raises
    ------
    InputError
        When resistance or conductance is negative, inductance or capacitance not above zero, or the line would
        be faster than light.
    """
    r = not_negative(resistance, "ohm/m", "resistance")
    l = positive(inductance, "H/m", "inductance")
    g = not_negative(conductance, "S/m", "conductance")
    c = positive(capacitance, "F/m", "capacitance")
    check_broadcast(r, l, g, c)
    # a hair above 1 is rounding of a line that is meant to have the speed of light
    velocity = 1 / (lines.C * np.sqrt(l * c))
    if np.any(velocity > 1 + 1e-9):
        raise InputError(
            "with this capacitance the line would be faster than light", where="inductance", remedy="check both units"
        )
    return Cable(
        "constant", ConstantModel(r, l, g, c), scalar(np.minimum(velocity, 1.0)), with_unit(np.sqrt(l / c), "ohm")
    )


def ideal_cable(impedance: Any, velocity_factor: float) -> Cable:
    """Return a lossless cable, the same at every frequency, for checks.

    Examples
    --------
    >>> ideal_cable("75 ohm", 0.66).velocity_factor("1.83 MHz")
    0.66
    """
    ohm = positive(impedance, "ohm", "impedance")
    v = check_velocity_factor(velocity_factor)
    check_broadcast(ohm, v)
    zero = np.zeros(np.broadcast_shapes(np.shape(ohm), np.shape(v)))[()]
    model = ConstantModel(zero, ohm / (v * lines.C), zero, 1 / (ohm * v * lines.C))
    return Cable("ideal", model, scalar(v), with_unit(ohm, "ohm"))
