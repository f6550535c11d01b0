"""A sweep of an analyser, sweeps from typed values, and the check frequency that a sweep shows."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import instance, magnitude, not_negative, one_of, positive, single
from workbook.errors import InputError, shown
from workbook.units import ComplexArray, Frequency, Impedance, Quantity, with_unit


@dataclass(frozen=True, eq=False)
class Sweep:
    """Scattering parameters over frequency.

    Attributes
    ----------
    frequency
        Rising frequencies (n).
    s
        Complex (n, ports, ports); ``s[:, 1, 0]`` is S21.
    port_impedance
        Reference impedance of every port [ohm], one resistance.
    """

    frequency: Frequency
    s: ComplexArray
    port_impedance: Impedance

    def __post_init__(self) -> None:
        """Refuse values that are not a sweep."""
        hertz, shape = not_negative(self.frequency, "Hz", "frequency"), _shape(self.s)
        if np.ndim(hertz) != 1 or np.any(np.diff(hertz) <= 0):
            raise InputError("the frequencies do not rise", where="frequency", wanted="one row of rising frequencies")
        if shape not in ((len(hertz), 1, 1), (len(hertz), 2, 2)):
            wanted = f"an array of the shape ({len(hertz)}, ports, ports) with 1 or 2 ports"
            raise InputError(f"got {shown(self.s)}", where="s", wanted=wanted)
        ohms = single(positive(self.port_impedance, "ohm", "port_impedance"), "port_impedance")
        object.__setattr__(self, "frequency", Quantity(hertz, "Hz"))
        object.__setattr__(self, "s", np.asarray(self.s, dtype=complex))
        object.__setattr__(self, "port_impedance", Quantity(ohms, "ohm"))


def _shape(s: Any) -> tuple[int, ...]:
    """Return the shape of an array of numbers, an empty one for anything else."""
    try:
        array = None if isinstance(s, Quantity) else np.asarray(s)
    except ValueError:  # rows of unequal length
        return ()
    return array.shape if array is not None and array.dtype.kind in "iufc" else ()


def impedance_sweep(frequency: Frequency, impedance: Impedance) -> Sweep:
    """Return resistance and reactance that were read off an analyser at a few frequencies as a sweep of one port.

    Parameters
    ----------
    frequency
        Rising frequencies (n).
    impedance
        Complex impedances (n), resistance + j reactance.

    Returns
    -------
    Sweep
        Its reference impedance is 50 ohm.

    Raises
    ------
    InputError
        When a resistance is negative, or there are not as many impedances as frequencies.

    Examples
    --------
    >>> impedance_sweep("3.6 MHz", "50 ohm").s.tolist()
    [[[0j]]]
    """
    hertz = np.atleast_1d(positive(frequency, "Hz", "frequency"))
    ohms = np.atleast_1d(magnitude(impedance, "ohm", "impedance"))
    if ohms.shape != hertz.shape:
        raise InputError(f"got {ohms.size} for {hertz.size} frequencies", where="impedance", wanted="one for each")
    if np.any(np.real(ohms) < 0):
        raise InputError("a resistance is negative", where="impedance", remedy="give 0 ohm or more")
    infinite = np.isinf(ohms)
    s = np.where(infinite, 1, (np.where(infinite, 0, ohms) - 50) / (np.where(infinite, 0, ohms) + 50))
    return Sweep(Quantity(hertz, "Hz"), s.astype(complex)[:, None, None], Quantity(50.0, "ohm"))


def check_frequency_in(sweep: Sweep, far_end: str = "open") -> Frequency:
    """Return the check frequency that a sweep of a line shows at port 1: its lowest zero of reactance.

    The reflection of an open line starts near +1 and turns clockwise; its reactance is zero where the phase has
    fallen by half a turn (for a shorted line, by a whole turn from -1).

    Parameters
    ----------
    sweep
        The sweep, which starts below that frequency.
    far_end
        ``"open"`` or ``"short"``.

    Returns
    -------
    quantity [Hz]

    Raises
    ------
    InputError
        When the sweep does not reach that frequency, starts above it, or has too few points to follow the phase.
    """
    instance(sweep, Sweep, "sweep", "read one with wb.read_sweep('reel.s1p')")
    one_of(far_end, ("open", "short"), "far_end")
    reflection = sweep.s[:, 0, 0] * (1 if far_end == "open" else -1)
    phase = np.unwrap(np.angle(reflection))
    wanted = -np.pi if far_end == "open" else -2 * np.pi
    if len(phase) < 4 or np.abs(np.diff(phase)).max() > np.pi / 2:
        raise InputError("has too few points to follow the phase", where="sweep", remedy="sweep with a finer step")
    below = np.flatnonzero(phase <= wanted)
    if phase[0] > 0.1 or below.size == 0 or below[0] == 0:
        raise InputError(
            "the lowest zero of reactance is not in it", where="sweep", remedy="start lower, or sweep further up"
        )
    last = below[0]
    # phase is smooth: a parabola through the neighbours is far better than any analyser
    near = slice(max(last - 2, 0), last + 2)
    hertz = sweep.frequency.m_as("Hz")[near]
    inverse = np.polynomial.Polynomial.fit(phase[near], hertz, min(2, len(hertz) - 1))
    return with_unit(float(inverse(wanted)), "Hz")
