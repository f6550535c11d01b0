"""Two-ports on plain numbers: chain matrices, power waves between complex ends, and lines that match two ends.

Sources: chain (ABCD) matrices as in any textbook, for example D. M. Pozar, "Microwave Engineering", chapter 4; power
waves as defined by K. Kurokawa, IEEE Trans. MTT-13 (1965), both cited from memory; the two circles of
`pair_lags` are derived there.
"""

from functools import reduce
from typing import Any, NamedTuple

import numpy as np


class Chain(NamedTuple):
    """A two-port from its first port on: V1 = a V2 + b I2, I1 = c V2 + d I2, I2 flowing out of the second port."""

    a: Any
    b: Any
    c: Any
    d: Any


THROUGH = Chain(1.0, 0.0, 0.0, 1.0)

MOST_NEPERS = 300.0
"""Loss beyond which nothing is left of a wave; more would overflow, so a line is counted as losing no more."""


def series(impedance: Any) -> Chain:
    """Return the two-port of an impedance in series.

    Parameters
    ----------
    impedance
        Impedance [ohm].

    Returns
    -------
    Chain: a and d [1], b [ohm], c one over [ohm]
    """
    return Chain(1.0, impedance, 0.0, 1.0)


def shunt(impedance: Any) -> Chain:
    """Return the two-port of an impedance across the line.

    Parameters
    ----------
    impedance
        Impedance [ohm], not zero.

    Returns
    -------
    Chain: a and d [1], b [ohm], c one over [ohm]
    """
    return Chain(1.0, 0.0, 1.0 / impedance, 1.0)


def transformer(ratio: Any) -> Chain:
    """Return the two-port of an ideal transformer.

    Parameters
    ----------
    ratio
        Turns of the first winding over those of the second [1].

    Returns
    -------
    Chain: a and d [1], b [ohm], c one over [ohm]
    """
    return Chain(ratio, 0.0, 0.0, 1.0 / ratio)


def line(propagation: Any, impedance: Any) -> Chain:
    """Return the two-port of a uniform line.

    Parameters
    ----------
    propagation
        Propagation constant times length [1], complex: nepers, counted up to 300, and radians.
    impedance
        Characteristic impedance [ohm], complex.

    Returns
    -------
    Chain: a and d [1], b [ohm], c one over [ohm]
    """
    forward = np.exp(np.minimum(np.real(propagation), MOST_NEPERS) + 1j * np.imag(propagation))
    backward = 1.0 / forward
    even, odd = (forward + backward) / 2, (forward - backward) / 2
    return Chain(even, impedance * odd, odd / impedance, even)


def _after(one: Chain, other: Chain) -> Chain:
    return Chain(
        one.a * other.a + one.b * other.c,
        one.a * other.b + one.b * other.d,
        one.c * other.a + one.d * other.c,
        one.c * other.b + one.d * other.d,
    )


def cascade(chains: Any) -> Chain:
    """Return the two-port of several, one behind the other.

    Parameters
    ----------
    chains
        Sequence of Chain: a and d [1], b [ohm], c one over [ohm]; none is a plain connection.

    Returns
    -------
    Chain: a and d [1], b [ohm], c one over [ohm]
    """
    return reduce(_after, chains, THROUGH)


def scattering(chain: Chain, source: Any, load: Any) -> tuple[Any, Any, Any, Any]:
    """Return S11, S12, S21 and S22 of a reciprocal two-port for power waves between two complex ends.

    With power waves |S21|^2 is the power in the load over all the power that the source can give, and S11 is zero
    where the input impedance is the conjugate of the source's. Between real ends they are the usual ones.

    Parameters
    ----------
    chain
        Chain: a and d [1], b [ohm], c one over [ohm].
    source, load
        Impedance of the source at port 1 and of the load at port 2 [ohm], resistance above zero.

    Returns
    -------
    (complex array, complex array, complex array, complex array) [1]
    """
    a, b, c, d = chain
    into_load, through_source = a * load + b, (c * load + d) * source
    whole = into_load + through_source
    passed = 2.0 * np.sqrt(np.real(source) * np.real(load)) / whole
    back_in = (into_load - (c * load + d) * np.conj(source)) / whole
    back_out = (b + d * source - (a + c * source) * np.conj(load)) / whole
    # the determinant of what is reciprocal is 1; worked out, it would drown in rounding where lines lose much
    return back_in, passed, passed, back_out


def swr(reflection: Any) -> Any:
    """Return the standing wave ratio of a reflection coefficient; infinite where everything comes back.

    Parameters
    ----------
    reflection
        Reflection coefficient [1], complex.

    Returns
    -------
    float array [1]
    """
    # rounding of a passive two-port may leave a hair above one
    size = np.minimum(np.abs(reflection), 1.0)
    with np.errstate(divide="ignore"):
        return (1.0 + size) / (1.0 - size)


def minimum_loss_pad(high: Any, low: Any) -> tuple[Any, Any, Any]:
    """Return the two resistors of the pad that matches two resistances with the least loss, and that loss.

    The resistor in series stands on the high side, the other across the low side.

    Parameters
    ----------
    high, low
        Resistances to be matched [ohm], the first above the second.

    Returns
    -------
    (float array [ohm], float array [ohm], float array [Np])
    """
    ratio = high / low
    return np.sqrt(high * (high - low)), low * np.sqrt(high / (high - low)), np.log(np.sqrt(ratio) + np.sqrt(ratio - 1))


def single_line(source: Any, load: Any) -> tuple[Any, Any]:
    """Return impedance and lag of the one lossless line that matches a load to a source.

    Between resistances it is the quarter wave of sqrt(R1 R2). In general Zs* = Z (ZL + jZt)/(Z + jZLt), t the tangent
    of the lag; real and imaginary part give Z^2 = (RL |Zs|^2 - Rs |ZL|^2)/(Rs - RL) and
    t = Z (Rs - RL)/(Rs XL - RL Xs). Between two equal ends with reactance every line has a length that matches; the
    one that is returned is the quarter wave of |Z|.

    Parameters
    ----------
    source, load
        Impedances to be matched [ohm], resistance above zero.

    Returns
    -------
    (float array [ohm], float array [rad]), not a number where no line matches them
    """
    rs, rl = np.real(source), np.real(load)
    with np.errstate(divide="ignore", invalid="ignore"):
        impedance = np.sqrt((rl * np.abs(source) ** 2 - rs * np.abs(load) ** 2) / (rs - rl))
        lag = np.arctan2(impedance * np.abs(rs - rl), np.sign(rs - rl) * (rs * np.imag(load) - rl * np.imag(source)))
    any_line = np.abs(source - load) <= 1e-9 * np.abs(source)
    return np.where(any_line, np.abs(source), impedance), np.where(any_line, np.pi / 2, lag)


def pair_lags(source: Any, first: Any, second: Any, load: Any) -> Any:
    """Return the lags of two lossless lines in a row that match a load to a source; two ways, the shorter first.

    Along a line of impedance Z the impedance moves on the circle x^2 + y^2 - 2 c x + Z^2 = 0. The joint of the lines
    lies on the load's circle by the second and on the conjugate source's by the first; so
    x = (Z1^2 - Z2^2)/(2 (c1 - c2)) and y^2 = 2 c1 x - Z1^2 - x^2, which may have no root.

    Parameters
    ----------
    source
        Impedance of the source [ohm], resistance above zero.
    first, second
        Impedances of the line at the source and of the line at the load [ohm], real.
    load
        Impedance of the load [ohm], resistance above zero.

    Returns
    -------
    float array (..., 2, 2) [rad]: way, line; not a number where no lengths match
    """
    source, first, second, load = np.broadcast_arrays(np.conj(source), first, second, load)
    with np.errstate(divide="ignore", invalid="ignore"):
        one, other = _centre(source, first), _centre(load, second)
        x = (first**2 - second**2) / (2 * (one - other))
        square = 2 * one * x - first**2 - x**2
        # at the very edge of what is possible rounding may fall on the wrong side
        square = np.where(np.abs(square) < 1e-12 * (first**2 + x**2), 0.0, square)
        joint = x[..., None] + 1j * np.sqrt(square)[..., None] * np.array([1, -1])
        lags = np.stack(
            (
                _lag(joint, first[..., None], source[..., None]),
                _lag(load[..., None], second[..., None], joint),
            ),
            axis=-1,
        )
    longer = (lags.sum(axis=-1)[..., 0] > lags.sum(axis=-1)[..., 1])[..., None, None]
    return np.where(longer, lags[..., ::-1, :], lags)


def first_line_edges(source: Any, second: Any, load: Any) -> tuple[Any, Any, Any]:
    """Return between or beyond which impedances the first line of a pair must lie, the second being given.

    A joint at x on the load's circle by the second line (x from Z2/s to Z2 s, s the load's SWR on it) asks for
    Z1^2 = (2 c2 Rs x - Rs Z2^2 - |Zs|^2 x)/(x - Rs), which is monotonic but for a pole at Rs: with Rs among the x
    the allowed impedances lie beyond the two edges, else between them.

    Parameters
    ----------
    source
        Impedance of the source [ohm], resistance above zero.
    second
        Impedance of the line at the load [ohm], real.
    load
        Impedance of the load [ohm], resistance above zero.

    Returns
    -------
    (lower edge [ohm], upper edge [ohm], 1 for beyond or 0 for between them [1])
    """
    ratio, rs = swr((load - second) / (load + second)), np.real(source)
    ends = np.stack(np.broadcast_arrays(second / ratio, second * ratio, rs))[:2]
    beside = ends - rs
    # an end of the circle that differs from the pole by rounding lies at it, reached from inside the circle
    inside = 1e-12 * np.stack((rs * np.ones_like(ends[0]), -rs * np.ones_like(ends[1])))
    beside = np.where(np.abs(beside) <= 1e-12 * rs, inside, beside)
    with np.errstate(divide="ignore", invalid="ignore"):
        squared = (rs * (2 * _centre(load, second) * ends - second**2) - np.abs(source) ** 2 * ends) / beside
    # a circle that is one point at the pole leaves no impedance
    nowhere = np.all(np.abs(beside) <= 2e-12 * rs, axis=0) & (np.abs(squared[0]) > second**2 * 1e6)
    lower, upper = np.where(nowhere, np.inf, np.sqrt(np.maximum(np.sort(squared, axis=0), 0.0)))
    return lower, upper, (beside[0] < 0) & (beside[1] > 0)


def _centre(end: Any, impedance: Any) -> Any:
    """Centre of the circle on which an end moves along a line."""
    return (np.abs(end) ** 2 + impedance**2) / (2 * np.real(end))


def _lag(far: Any, impedance: Any, near: Any) -> Any:
    """Lag of a line that turns one impedance into another on the same circle, from 0 to below half a wave."""
    turned = np.angle((far - impedance) / (far + impedance) * np.conj((near - impedance) / (near + impedance)))
    lag = np.mod(turned / 2, np.pi)
    return np.where(lag > np.pi - 1e-9, 0.0, lag)
