"""A cable: what it does at any frequency."""

import html
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from workbook.checks import check_velocity_factor, instance, not_negative, one_of, positive, single
from workbook.errors import InputError
from workbook.formulas import lines
from workbook.line.cladding import MEASURES, span
from workbook.line.models import CoaxModel, ConstantModel, LineModel, TableModel, propagation
from workbook.line.record import Record, uncertain
from workbook.units import NEPER_IN_DB, Complexes, Floats, Frequency, Impedance, Length, Quantity, scalar, with_unit

if TYPE_CHECKING:
    import skrf


USE = np.geomspace(1e4, 1e9, 101)
"""Frequencies [Hz] that cover every band of a design file."""


@dataclass(frozen=True, repr=False)
class Cable:
    """A cable at its typical cladding; made by `cable`, `constant_cable` or `ideal_cable`.

    Every method that takes a frequency takes one value or an array of any shape, in Hz or another unit of frequency;
    the result has the same shape.

    Attributes
    ----------
    name
        Name in the catalogue, or a word for a cable made up from constants.
    model
        R, L, G and C per metre as plain SI numbers.
    nominal_velocity_factor
        Velocity factor as printed, the limit at high frequency; a plain number.
    nominal_impedance
        Impedance as printed [ohm].
    record
        The cable's file; None for a cable made up from constants.
    slowing
        Factor on the phase constant where a measured velocity factor has replaced the model's.
    """

    name: str
    model: LineModel
    nominal_velocity_factor: float
    nominal_impedance: Impedance
    record: Record | None = None
    slowing: float = 1.0

    def __post_init__(self) -> None:
        """Refuse a model of another kind."""
        if not isinstance(self.model, (CoaxModel, ConstantModel, TableModel)):
            remedy = "write wb.cable(name), wb.constant_cable(...) or wb.ideal_cable(...)"
            raise InputError("a cable is made from its model per metre", where="model", remedy=remedy)

    def __repr__(self) -> str:
        return f"Cable({self.name!r}, {self._nominal()})"

    def _repr_html_(self) -> str:
        kind = f"{html.escape(self.record.standard_type)}<br>" if self.record else ""
        return f"<div><b>{html.escape(self.name)}</b><br>{kind}{html.escape(self._nominal())}</div>"

    def _nominal(self) -> str:
        ohms, factor = self.nominal_impedance.m_as("ohm"), self.nominal_velocity_factor
        if np.ndim(ohms) or np.ndim(factor):
            return f"{max(np.size(ohms), np.size(factor))} nominal values"
        return f"nominal {ohms:g} ohm, velocity factor {factor:g}"

    def constants(self, hertz: Floats) -> tuple[Complexes, Complexes]:
        """Return propagation constant and characteristic impedance as plain numbers, unchecked.

        Parameters
        ----------
        hertz
            Frequency [Hz], any shape.

        Returns
        -------
        (complex, complex)
            Propagation constant [1/m] and impedance [ohm], each of that shape.
        """
        gamma, impedance = propagation(self.model, 2 * np.pi * hertz)
        return (gamma if self.slowing == 1.0 else gamma.real + 1j * gamma.imag * self.slowing), impedance

    def velocity(self, hertz: Floats) -> Floats:
        """Return the velocity factor at plain frequencies, unchecked.

        Parameters
        ----------
        hertz
            Frequency [Hz], any shape.

        Returns
        -------
        plain number or array [1]
        """
        return 2 * np.pi * hertz / (self.constants(hertz)[0].imag * lines.C)

    def propagation_constant(self, frequency: Frequency) -> Quantity:
        """Return the propagation constant gamma = sqrt(Z Y).

        Parameters
        ----------
        frequency
            Above zero.

        Returns
        -------
        complex quantity [1/m]
            Real part in nepers, imaginary part in radians, both above zero.

        Raises
        ------
        InputError
            When the frequency is not above zero.
        """
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[0], "1/m")

    def characteristic_impedance(self, frequency: Frequency) -> Impedance:
        """Return the characteristic impedance Zc = sqrt(Z/Y).

        Parameters
        ----------
        frequency
            Above zero.

        Returns
        -------
        complex quantity [ohm]

        Raises
        ------
        InputError
            When the frequency is not above zero.
        """
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[1], "ohm")

    def attenuation(self, frequency: Frequency) -> Quantity:
        """Return the matched loss per length, 8.686 Re(gamma).

        Parameters
        ----------
        frequency
            Above zero.

        Returns
        -------
        quantity [dB/m]

        Raises
        ------
        InputError
            When the frequency is not above zero.

        Examples
        --------
        >>> from workbook.line.catalogue import ideal_cable
        >>> ideal_cable("75 ohm", 0.66).attenuation("1.83 MHz").m_as("dB/m")
        0.0
        """
        hertz = positive(frequency, "Hz", "frequency")
        return with_unit(self.constants(hertz)[0].real * NEPER_IN_DB, "dB/m")

    def velocity_factor(self, frequency: Frequency) -> Floats:
        """Return the phase velocity over that of light, omega / (beta c).

        Parameters
        ----------
        frequency
            Above zero.

        Returns
        -------
        plain number or array [1]

        Raises
        ------
        InputError
            When the frequency is not above zero.
        """
        hertz = positive(frequency, "Hz", "frequency")
        return scalar(self.velocity(hertz))

    def group_velocity_factor(self, frequency: Frequency) -> Floats:
        """Return the velocity of a narrow-band signal over that of light, (d omega / d beta) / c.

        Parameters
        ----------
        frequency
            Above zero.

        Returns
        -------
        plain number or array [1]

        Raises
        ------
        InputError
            When the frequency is not above zero.
        """
        hertz = positive(frequency, "Hz", "frequency")
        # five-point rule; the step is where rounding and curvature are both below 1e-10
        step = 1e-3 * hertz
        beta = {n: self.constants(hertz + n * step)[0].imag for n in (-2, -1, 1, 2)}
        slope = (beta[-2] - 8 * beta[-1] + 8 * beta[1] - beta[2]) / (12 * step)
        return scalar(2 * np.pi / (slope * lines.C))

    @property
    def loop_resistance(self) -> Quantity:
        """Direct-current resistance of centre and shield in series at 20 degC [ohm/m]."""
        return with_unit(self.model.loop_resistance, "ohm/m")

    @property
    def is_clad(self) -> bool:
        """Whether the centre is clad, so that the cable has a range of claddings."""
        return isinstance(self.model, CoaxModel) and self.model.is_clad

    @property
    def claddings(self) -> Length | None:
        """Least, typical and greatest cladding [um], one quantity of three; None where the centre is not clad."""
        if not isinstance(self.model, CoaxModel) or self.model.cladding_range is None:
            return None
        least, greatest = self.model.cladding_range
        return with_unit(np.array([least, self.model.cladding, greatest]) * 1e6, "um")

    @property
    def is_balanced(self) -> bool:
        """Whether it is a pair, which needs a transformer at each end where a coaxial cable does not."""
        return self.record is not None and self.record.balanced

    @property
    def unknown(self) -> tuple[str, ...]:
        """What is unknown about this cable, and the published points that the model does not follow."""
        if self.record is None:
            return ()
        below = self.estimated_below
        estimated = (f"loss and velocity below {below:~P}, the lowest published point, are estimated",) if below else ()
        return (*self.record.unknown, *estimated, *uncertain(self.record))

    @property
    def estimated_below(self) -> Frequency | None:
        """Frequency below which a cable known only by a table is an estimate; None for one of known construction."""
        if self.record is None or self.record.table is None:
            return None
        return min(point.frequency for point in self.record.attenuation)

    def with_cladding(self, thickness: Length) -> "Cable":
        """Return the same cable with one cladding of copper on its steel.

        Parameters
        ----------
        thickness
            One length above zero and below the radius of the centre.

        Returns
        -------
        Cable
            Its range of claddings is that one; the range of the steel's permeability stays.

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
            raise InputError(
                f"got {np.size(metres)} values" if np.ndim(metres) else f"got {metres:g} m",
                where="thickness",
                wanted=f"one cladding below the centre's radius of {limit:.0f} um",
            )
        return replace(self, model=self.model.with_cladding(float(metres)))

    def with_velocity_factor(self, value: float, frequency: Frequency) -> "Cable":
        """Return the same cable with its phase constant scaled to a velocity factor measured at one frequency.

        Parameters
        ----------
        value
            One plain number above 0 and not above 1.
        frequency
            One frequency, at which it was measured.

        Returns
        -------
        Cable
            Loss and impedance stay the model's, and the range of claddings keeps its proportions.

        Raises
        ------
        InputError
            When either is out of range or an array, or the cable would be faster than light on another frequency
            from 10 kHz to 1 GHz.
        """
        measured = single(check_velocity_factor(value, "value"), "value")
        hertz = single(positive(frequency, "Hz", "frequency"), "frequency")
        own = single(self.velocity(hertz), "cable")
        scaled = replace(self, slowing=self.slowing * own / measured)
        beyond = np.flatnonzero(scaled.velocity(USE) > 1 + 1e-9)
        if beyond.size:
            where, fastest = USE[beyond[0]] / 1e6, float(np.max(scaled.velocity(USE)))
            raise InputError(
                f"{measured:g} at {hertz / 1e6:g} MHz makes the cable faster than light from about {where:.2g} MHz up "
                f"({fastest:.3f} of its speed)",
                where="value",
                remedy="check the measured value and its frequency",
            )
        return scaled

    def span(self, quantity: str, frequency: Frequency) -> tuple[Quantity, Quantity, Quantity]:
        """Return least, typical and greatest over the record's whole range of claddings and permeabilities.

        Parameters
        ----------
        quantity
            ``"attenuation"``, ``"velocity_factor"`` or ``"characteristic_impedance"`` (ranked by modulus).
        frequency
            Above zero.

        Returns
        -------
        (least, typical, greatest)
            Each of the frequency's shape and in the quantity's unit; all the same for a cable that is not clad.

        Raises
        ------
        InputError
            When the quantity is another word, or the frequency is not above zero.
        """
        unit = MEASURES[one_of(quantity, MEASURES, "quantity")].unit
        hertz = positive(frequency, "Hz", "frequency")
        found = span(self.model, quantity, 2 * np.pi * hertz, self.slowing)
        least, typical, greatest = (with_unit(value, unit) if unit else scalar(value) for value in found)
        return least, typical, greatest

    def network(self, frequency: Frequency, length: Length, port_impedance: Impedance = "50 ohm") -> "skrf.Network":
        """Return a length of this cable as a scikit-rf network.

        Parameters
        ----------
        frequency
            One frequency or a rising row of them.
        length
            One length.
        port_impedance
            One resistance, of both ports.

        Returns
        -------
        skrf.Network
            Port 1 is the near end.

        Raises
        ------
        InputError
            When frequencies do not rise, or length or port impedance is not a single value.
        """
        import skrf

        hertz = np.atleast_1d(positive(frequency, "Hz", "frequency"))
        metres = single(not_negative(length, "m", "length"), "length")
        port = single(positive(port_impedance, "ohm", "port_impedance"), "port_impedance")
        if hertz.ndim > 1 or not hertz.size or np.any(np.diff(hertz) <= 0):
            raise InputError("the frequencies do not rise", where="frequency", wanted="one row of rising frequencies")
        gamma, impedance = self.constants(hertz)
        grid = skrf.Frequency.from_f(hertz, unit="Hz")
        media = skrf.media.DefinedGammaZ0(grid, z0_port=port, z0=impedance, gamma=gamma)
        try:
            return media.line(metres, "m", name=self.name)
        except np.linalg.LinAlgError:
            problem = f"no network can be computed at {hertz[0]:g} to {hertz[-1]:g} Hz"
            raise InputError(problem, where="frequency", remedy="check the unit") from None


def check_cable(value: Any, name: str = "cable") -> Cable:
    """Return an argument that must be a cable."""
    return instance(value, Cable, name, "write wb.cable('series-6-copper') or another name")
