"""Measuring a line: from sweeps of an analyser, or values typed by hand, to a measured line."""

import numpy as np

from workbook.bench.measured import Measured, value_and_uncertainty
from workbook.bench.measured_line import MeasuredLine
from workbook.bench.sweeps import Sweep
from workbook.bench.uniform_line import COARSEST, FEWEST, Reflection, Shape, UniformLine, fitted
from workbook.checks import instance, not_negative, one_of, positive, single, whole_number
from workbook.errors import InputError
from workbook.formulas import lines
from workbook.line.cable import Cable, check_cable
from workbook.line.lengths import QUARTERS
from workbook.units import (
    FloatArray,
    Frequency,
    Impedance,
    Length,
    Time,
    with_unit,
)

TAPE = 0.005
"""Standard uncertainty [m] of a length by tape."""
DISPLAY = 1e3
"""Standard uncertainty [Hz] of a frequency that is read from a display."""
ODD = 1.25
"""Times as fast or slow as the record from which a resonance is taken for another one, or its length for wrong."""
CERTAIN = 2.0
"""Turns of the reflection up to which length and record say which turn a point is on."""
SLOWEST = 0.6
"""Velocity factor that stands for an unknown cable's, where a step is judged by a length."""


def measure_line(
    open: Sweep | None = None,
    short: Sweep | None = None,
    through: Sweep | None = None,
    length: Length | Measured | None = None,
    cable: Cable | None = None,
    connector_delay: Time = "0 ns",
) -> MeasuredLine:
    """Return what sweeps of a line say about it.

    Parameters
    ----------
    open, short
        Sweeps into port 1 with the far end open or shorted.
    through
        A sweep of two ports through the line; an analyser that measures S11 and S21 alone may leave zeros.
    length
        Length of the cable between its connectors, by tape; a `Measured` brings its own uncertainty, otherwise it is
        5 mm.
    cable
        Its cable; the line is followed by its dispersion outside the sweep. Sweeps of fewer than 12 points need it
        and the length.
    connector_delay
        Electrical delay of one connector; one at each end.

    Returns
    -------
    MeasuredLine

    Raises
    ------
    InputError
        When no sweep comes, sweeps are not on the same frequencies or too coarse, it is not known how many turns of
        phase lie below the first point, or an argument is out of range or of another kind.

    Examples
    --------
    >>> from workbook.bench.sweeps import impedance_sweep
    >>> from workbook.units import Quantity
    >>> from workbook.line.catalogue import cable
    >>> from workbook.line.lengths import input_impedance
    >>> hertz, copper = Quantity(np.linspace(1e6, 10e6, 181), "Hz"), cable("series-6-copper")
    >>> seen = impedance_sweep(hertz, input_impedance(copper, "27 m", hertz, Quantity(np.inf, "ohm")))
    >>> measure_line(open=seen, length="27 m").velocity_factor("1.83 MHz").value
    0.833
    """
    given = {"open": open, "short": short, "through": through}
    sweeps = {name: instance(one, Sweep, name, _HOW) for name, one in given.items() if one is not None}
    if not sweeps:
        raise InputError("no sweep is given", where="open", wanted="open, short or through")
    metres = None if length is None else value_and_uncertainty(length, "m", "length", TAPE)
    extra = 2 * single(not_negative(connector_delay, "s", "connector_delay"), "connector_delay")
    made_of = None if cable is None else check_cable(cable)
    seen = tuple(one for name, sweep in sweeps.items() for one in _reflections(name, sweep))
    _check_steps(sweeps, metres, made_of, extra)
    shape = None if made_of is None else _recorded(made_of, seen[0].hertz, 1.0 if metres is None else metres[0], extra)
    found = fitted(seen, shape, metres is not None)
    signs = {one.sign for one in seen}
    return MeasuredLine(
        found,
        "short" if "short" in sweeps and len(sweeps) == 1 else "open",
        made_of,
        None if metres is None else Measured(with_unit(metres[0], "m"), with_unit(metres[1], "m")),
        with_unit(extra / 2 * 1e9, "ns"),
        len(signs) > 1,
    )


_HOW = "read one with wb.read_sweep('line.s1p')"


def _reflections(name: str, sweep: Sweep) -> tuple[Reflection, ...]:
    """Return what a sweep says of the line as reflections."""
    hertz, ohms = sweep.frequency.m_as("Hz"), float(sweep.port_impedance.m_as("ohm"))
    some = hertz > 0
    hertz, s = hertz[some], sweep.s[some]
    if len(hertz) == 0:
        raise InputError("has no frequency above zero", where=name, remedy="sweep again")
    if name != "through":
        return (Reflection(hertz, s[:, 0, 0], ohms, 1 if name == "open" else -1, 2),)
    if s.shape[1] != 2:
        raise InputError("has one port", where=name, wanted="a sweep of two ports", remedy="save it as .s2p")
    one_way = not np.any(s[:, :, 1])
    back = s[:, 0, 0] if one_way else (s[:, 0, 0] + s[:, 1, 1]) / 2
    along = s[:, 1, 0] if one_way else (s[:, 1, 0] + s[:, 0, 1]) / 2
    if np.abs(along).max() < 0.01:
        problem = "nothing goes through" if np.any(along) else "S21 is zero"
        raise InputError(problem, where=name, remedy="check the connections, and which port is which")
    return Reflection(hertz, back + along, ohms, 1, 1), Reflection(hertz, back - along, ohms, -1, 1)


def _check_steps(
    sweeps: dict[str, Sweep], metres: tuple[float, float] | None, cable: Cable | None, extra: float
) -> None:
    """Refuse sweeps on different frequencies, and those too coarse for the length."""
    first = next(iter(sweeps.values())).frequency.m_as("Hz")
    for name, sweep in sweeps.items():
        hertz = sweep.frequency.m_as("Hz")
        if len(hertz) != len(first) or np.abs(hertz - first).max() > 1.0:
            raise InputError("is on other frequencies", where=name, remedy="sweep both over the same range and points")
        if metres is None or len(hertz) < 2:
            continue
        velocity = SLOWEST if cable is None else cable.nominal_velocity_factor
        per_hertz = (1 if name == "through" else 2) * (metres[0] / (velocity * lines.C) + extra)
        step = float(np.diff(hertz).max())
        # a few typed points lie on the turn that the record says, where an error of it is far below a turn
        known = cable is not None and len(hertz) < FEWEST and hertz[-1] * per_hertz < CERTAIN
        if not known and step * per_hertz > COARSEST:
            raise InputError(
                f"its step of {step / 1e3:.4g} kHz is too coarse for {metres[0]:g} m",
                where=name,
                remedy=f"sweep with a step of at most {COARSEST / 2 / per_hertz / 1e3:.3g} kHz",
            )


def _recorded(cable: Cable, hertz: FloatArray, metres: float, extra: float) -> Shape:
    gamma, ohms = cable.constants(hertz)
    whole = metres + 2 * np.pi * hertz * extra / gamma.imag
    return Shape(gamma.imag * whole, gamma.real * whole, ohms * np.ones(len(hertz), complex))


def measure_resonance(
    cable: Cable,
    frequency: Frequency | Measured,
    far_end: str = "open",
    order: int = 1,
    length: Length | Measured | None = None,
    connector_delay: Time = "0 ns",
    resistance: Impedance | None = None,
) -> MeasuredLine:
    """Return what one typed frequency of zero reactance says about a line.

    Parameters
    ----------
    cable
        Its cable.
    frequency
        Frequency at which the reactance is zero and the resistance low; a `Measured` brings its own uncertainty,
        otherwise it is 1 kHz.
    far_end
        ``"open"``: an odd number of quarter waves; ``"short"``: a whole number of half waves.
    order
        Which of these resonances it is, from 1, the lowest.
    length
        Length of the cable between its connectors, as in `measure_line`.
    connector_delay
        Electrical delay of one connector; one at each end.
    resistance
        What the analyser shows at that frequency; without it the loss is not known.

    Returns
    -------
    MeasuredLine
        Its `attenuation` is refused without `resistance`.

    Raises
    ------
    InputError
        When the length says that it is another resonance, the resistance is that of no line, or an argument is out of
        range or of another kind.

    Examples
    --------
    >>> from workbook.line.catalogue import ideal_cable
    >>> found = measure_resonance(ideal_cable("75 ohm", 0.66), "3.6 MHz", length="50 ft")
    >>> found.velocity_factor("3.6 MHz").value
    0.7320
    """
    made_of = check_cable(cable)
    hertz, hertz_error = value_and_uncertainty(frequency, "Hz", "frequency", DISPLAY)
    metres = None if length is None else value_and_uncertainty(length, "m", "length", TAPE)
    extra = 2 * single(not_negative(connector_delay, "s", "connector_delay"), "connector_delay")
    first, number = QUARTERS[one_of(far_end, QUARTERS, "far_end")], whole_number(order, "order", 1, 99)
    quarters = 2 * number - 1 if first == 1 else 2 * number
    gamma, ohms = made_of.constants(hertz)
    loss = gamma.real * quarters * np.pi / 2 / gamma.imag
    if resistance is not None:
        ratio = single(positive(resistance, "ohm", "resistance"), "resistance") / abs(ohms)
        if ratio >= 1:
            remedy = "take the frequency at which the resistance is low"
            raise InputError("is above the cable's impedance", where="resistance", remedy=remedy)
        loss = float(np.arctanh(ratio))
    tilt = float(np.arcsin(np.clip(-ohms.imag / ohms.real * np.sinh(2 * loss), -1, 1))) / 2
    lag = quarters * np.pi / 2 + tilt
    fit = UniformLine(
        np.array([hertz]),
        np.array([lag]),
        np.array([loss]),
        np.array([complex(ohms)]),
        np.array([lag * hertz_error / hertz]),
        np.array([np.inf if resistance is None else 0.05 * loss]),
        0.0,
    )
    with_length = None if metres is None else Measured(with_unit(metres[0], "m"), with_unit(metres[1], "m"))
    line = MeasuredLine(fit, far_end, made_of, with_length, with_unit(extra / 2 * 1e9, "ns"), False)
    if metres is not None:
        _check_order(made_of, hertz, lag, metres[0] + extra * made_of.velocity(hertz) * lines.C)
    return line


def _check_order(cable: Cable, hertz: float, lag: float, metres: float) -> None:
    """Refuse a resonance that by its length and the record is another one."""
    slower = float(lag / (cable.constants(hertz)[0].imag * metres))
    if not 1 / ODD < slower < ODD:
        raise InputError(
            f"{metres:.4g} m of this cable would be {1 / slower:.2f} times as fast as its record",
            where="frequency",
            remedy="check the length, the far end and the order of the resonance",
        )
