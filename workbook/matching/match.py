"""A match between a source and a load, and what it does on any frequency.

All figures hold between the source and the load as they are. With complex ends they rest on power waves (see
`workbook.formulas.twoports`): no reflection means that each side sees the conjugate of its own impedance, and the
insertion loss compares the power in the load with all the power that the source can give. Between resistances these
are the usual figures.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from workbook.errors import InputError
from workbook.formulas import twoports
from workbook.matching.arguments import Limits, frequencies, limit_pair, resistance
from workbook.matching.parts import Component, Part, Section, described
from workbook.units import Angle, ComplexArray, Floats, Frequency, Impedance, Loss, scalar, with_unit

if TYPE_CHECKING:
    import skrf

SEARCHED = (1e4, 1e9)
"""Frequencies [Hz] between which a usable band is searched for."""

MATCHED = 1.005
"""SWR below which ends count as matched: it is written as 1.00."""


class Response(NamedTuple):
    """What a match does over frequency: SWR at both ends, insertion loss [dB], phase shift [degree]."""

    swr_in: Any
    swr_out: Any
    insertion_loss: Any
    phase_shift: Any


@dataclass(frozen=True)
class Match:
    """One match from a source to a load: its name, the parts from the source on, and the reason for its rank.

    Parameters
    ----------
    name
        The method by name, as in a design file.
    reason
        What it does, or why it is ranked where it is.
    source_ohms, load_ohms
        Impedances of the two ends [ohm], plain numbers.
    parts
        What it is built of, from the source on.
    hertz
        Design frequency [Hz]; None for a match without one.
    remedy
        What would bring it within the limits that it was designed for; empty where nothing is known to.
    """

    name: str
    reason: str
    source_ohms: Any
    load_ohms: Any
    parts: tuple[Part, ...]
    hertz: float | None = None
    remedy: str = ""

    @property
    def source(self) -> Impedance:
        """Impedance of the source [ohm]."""
        return with_unit(self.source_ohms, "ohm")

    @property
    def load(self) -> Impedance:
        """Impedance of the load [ohm]."""
        return with_unit(self.load_ohms, "ohm")

    @property
    def sections(self) -> tuple[Section, ...]:
        """The lengths of line, from the source on."""
        return tuple(part for part in self.parts if isinstance(part, Section))

    @property
    def components(self) -> tuple[Component, ...]:
        """Resistors, windings and inductances, from the source on."""
        return tuple(component for part in self.parts for component in part.components())

    @property
    def description(self) -> str:
        """The parts in words, from the source on; lengths in metres and in feet and inches."""
        return described(self.parts)

    # --- plain numbers ------------------------------------------------------------------------------------

    def scattering(self, hertz: Floats, ports: tuple[Floats, Floats] | None = None) -> tuple[ComplexArray, ...]:
        """Return S11, S12, S21 and S22 for power waves at plain frequencies [Hz].

        Parameters
        ----------
        hertz
            Frequencies [Hz].
        ports
            Impedances of both ports [ohm]; None = the match's own ends.

        Returns
        -------
        four complex arrays in the shape of the frequencies [1]
        """
        chain = twoports.cascade(part.chain(hertz) for part in self.parts)
        found = twoports.scattering(chain, *(ports or (self.source_ohms, self.load_ohms)))
        # what is the same on every frequency is still one value for each
        shape = np.broadcast_shapes(np.shape(found[0]), np.shape(hertz))
        return tuple(np.broadcast_to(s, shape)[()] for s in found)

    def plain(self, hertz: Floats) -> Response:
        """Return the response as plain numbers at plain frequencies.

        Parameters
        ----------
        hertz
            Frequencies [Hz].

        Returns
        -------
        SWR at the source and at the load [1], insertion loss [dB] and phase shift [degree]
        """
        back_in, _, passed, back_out = self.scattering(hertz)
        # the lag of the lines is followed, and what the joints add is taken as less than half a turn
        lag = sum((part.lag(hertz) for part in self.parts), 0.0)
        added = np.angle(passed * np.exp(1j * lag)) if self.sections else np.angle(passed)
        # rounding may leave a hair more than everything
        loss = np.maximum(-20 * np.log10(np.abs(passed)), 0.0)
        return Response(twoports.swr(back_in), twoports.swr(back_out), loss, np.degrees(added - lag))

    def excess(self, hertz: Floats, limits: Limits) -> Floats:
        """Return which part of the limits is used at plain frequencies: 1 just meets them, more exceeds them.

        Parameters
        ----------
        hertz
            Frequencies [Hz].
        limits
            Greatest SWR at either end and greatest insertion loss [dB].

        Returns
        -------
        the greatest of the parts used by SWR at both ends and by loss [1]
        """
        swr_in, swr_out, loss, _ = self.plain(hertz)
        return np.maximum((np.maximum(swr_in, swr_out) - 1) / (limits[0] - 1), loss / limits[1])

    # --- quantities ---------------------------------------------------------------------------------------

    def response(self, frequency: Frequency) -> Response:
        """Return all four figures at once.

        Parameters
        ----------
        frequency
            Frequencies, any shape.

        Returns
        -------
        SWR at the source and at the load (plain numbers), insertion loss [dB] and phase shift [degree], each in the
        shape of the frequencies

        Raises
        ------
        InputError
            When a frequency is not within 1 Hz to 1 THz.
        """
        swr_in, swr_out, loss, phase = self.plain(frequencies(frequency))
        return Response(scalar(swr_in), scalar(swr_out), with_unit(loss, "dB"), with_unit(phase, "degree"))

    def swr_in(self, frequency: Frequency) -> Floats:
        """Return the SWR that the source sees.

        Parameters
        ----------
        frequency
            Frequencies, any shape.

        Returns
        -------
        plain numbers in the shape of the frequencies [1]

        Raises
        ------
        InputError
            When a frequency is not within 1 Hz to 1 THz.
        """
        return self.response(frequency).swr_in

    def swr_out(self, frequency: Frequency) -> Floats:
        """Return the SWR that the load sees looking back.

        Parameters
        ----------
        frequency
            Frequencies, any shape.

        Returns
        -------
        plain numbers in the shape of the frequencies [1]

        Raises
        ------
        InputError
            When a frequency is not within 1 Hz to 1 THz.
        """
        return self.response(frequency).swr_out

    def insertion_loss(self, frequency: Frequency) -> Loss:
        """Return -20 log |S21| between source and load, S21 for power waves.

        Parameters
        ----------
        frequency
            Frequencies, any shape.

        Returns
        -------
        loss in the shape of the frequencies [dB]

        Raises
        ------
        InputError
            When a frequency is not within 1 Hz to 1 THz.
        """
        return self.response(frequency).insertion_loss

    def phase_shift(self, frequency: Frequency) -> Angle:
        """Return the angle of S21, negative = later, not wrapped along the lines.

        Parameters
        ----------
        frequency
            Frequencies, any shape.

        Returns
        -------
        angle in the shape of the frequencies [degree]

        Raises
        ------
        InputError
            When a frequency is not within 1 Hz to 1 THz.
        """
        return self.response(frequency).phase_shift

    def network(self, frequency: Frequency, port_impedance: Impedance | None = None) -> "skrf.Network":
        """Return the match as a scikit-rf network, port 1 the source's.

        Parameters
        ----------
        frequency
            One frequency, or a rising sequence of them.
        port_impedance
            Resistance of both ports; None = each port has the impedance of its own end.

        Returns
        -------
        network with power-wave S parameters (frequencies, 2, 2) [1]

        Raises
        ------
        InputError
            When the frequencies do not rise, or the port impedance is not a resistance.
        """
        import skrf

        hertz = np.atleast_1d(frequencies(frequency))
        if hertz.ndim > 1 or not hertz.size or np.any(np.diff(hertz) <= 0):
            raise InputError("the frequencies do not rise", where="frequency", remedy="sort them, each one once")
        ports = self.source_ohms, self.load_ohms
        if port_impedance is not None:
            ports = (resistance(port_impedance, "port_impedance"),) * 2
        s = np.stack(self.scattering(hertz, ports), axis=-1).reshape(-1, 2, 2)
        grid = skrf.Frequency.from_f(hertz, unit="Hz")
        grid.unit = "Hz"
        impedances = np.tile(np.array(ports, complex), (hertz.size, 1))
        return skrf.Network(frequency=grid, s=s, z0=impedances, s_def="power", name=self.name)

    def usable_band(self, most_swr: float, most_loss: Loss) -> tuple[Frequency, Frequency] | None:
        """Return the edges of the band around the design frequency on which SWR and loss stay within limits.

        A match without a design frequency is taken around the frequency where it does best. An edge at 10 kHz or
        1 GHz means that the band goes on: no frequency beyond is searched.

        Parameters
        ----------
        most_swr
            Greatest SWR at either end, a plain number above 1.
        most_loss
            Greatest insertion loss.

        Returns
        -------
        low and high edge [Hz], None when not even the design frequency is within the limits

        Raises
        ------
        InputError
            When a limit is out of range.
        """
        limits = limit_pair(most_swr, most_loss)
        grid = np.geomspace(*SEARCHED, 1200)
        used = self.excess(grid, limits)
        if self.hertz is not None:
            # inserted afterwards: the grid stays the same for all, and a cable answers it from memory
            place = np.searchsorted(grid, self.hertz)
            used = np.insert(used, place, self.excess(self.hertz, limits))
            grid = np.insert(grid, place, self.hertz)
        inside = used <= 1 + 1e-9
        start = int(np.argmin(used) if self.hertz is None else np.searchsorted(grid, self.hertz))
        if not inside[start]:
            return None
        below, above = np.flatnonzero(~inside[:start]), np.flatnonzero(~inside[start:])
        low = grid[0] if not below.size else self._edge(grid[below[-1]], grid[below[-1] + 1], limits)
        high = grid[-1] if not above.size else self._edge(grid[start + above[0] - 1], grid[start + above[0]], limits)
        return with_unit(float(low), "Hz"), with_unit(float(high), "Hz")

    def _edge(self, one: float, other: float, limits: Limits) -> float:
        from scipy.optimize import brentq  # a slow import, which few plans need

        def over(hertz: float) -> float:
            return float(self.excess(hertz, limits)) - 1

        # exactly at its limit on the inner end: that end is the edge
        if over(one) * over(other) >= 0:
            return one if abs(over(one)) < abs(over(other)) else other
        return float(brentq(over, one, other, rtol=1e-12))
