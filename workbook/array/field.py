"""The array as plain SI numbers: phases of a wave at the elements, and the form that weighs the whole sky.

Shapes: `metres` (N, 2); weights (..., N), complex; B real and symmetric, (N, N).
"""

from typing import Any

import numpy as np

from workbook.array.ground import AnyGround
from workbook.array.layout import distances
from workbook.formulas.waves import wave_number

ROUNDING = 1e-14
"""Share of what the elements hear one by one below which what they hear together is rounding."""
CANCELLED = (
    "weights: the elements cancel so exactly that rounding decides what is left; space them wider, or ask for more "
    "white-noise gain."
)


def projections(metres: Any, azimuth: Any) -> Any:
    """Return how far each element lies toward an azimuth [rad]: (..., N) [m]."""
    azimuth = np.asarray(azimuth)[..., None]
    return metres[:, 0] * np.sin(azimuth) + metres[:, 1] * np.cos(azimuth)


def steering(metres: Any, hertz: Any, azimuth: Any, elevation: Any) -> Any:
    """Return e^{+jk u.r} for waves from directions [rad]: complex (..., N)."""
    across = wave_number(hertz) * np.cos(np.asarray(elevation))
    return np.exp(1j * across[..., None] * projections(metres, azimuth))


def form(metres: Any, hertz: float, ground: AnyGround) -> Any:
    """Return B of w^H B w, the power that weights w receive from the whole sphere."""
    apart = distances(metres)
    one, other = np.triu_indices(len(metres), 1)
    # equal distances are worked out once: a ring has few; 1 nm tells apart what rounding does not
    distinct, which = np.unique(np.append(np.round(apart[one, other], 9), 0.0), return_inverse=True)
    averages = ground.averages(hertz, distinct)
    noise = np.empty(apart.shape)
    noise[one, other] = noise[other, one] = averages[which[:-1]]
    np.fill_diagonal(noise, averages[which[-1]])
    return noise


def received(weights: Any, noise_form: Any) -> Any:
    """Return w^H B w for weights (..., N)."""
    return np.einsum("...n,...n->...", weights.real @ noise_form, weights.real) + np.einsum(
        "...n,...n->...", weights.imag @ noise_form, weights.imag
    )


def sensed(weights: Any, toward: Any) -> Any:
    """Return |sum of w_n e^{jk u.r_n}|^2 for weights (..., N) and one direction's steering (N,)."""
    total = weights @ toward
    return total.real**2 + total.imag**2


def error_variance(decibels: float, radians: float) -> float:
    """Return the variance of a weight of size 1 that is off at random in amplitude [dB] and phase [rad]."""
    return float((10 ** (decibels / 20) - 1) ** 2 + radians**2)


def weight_power(weights: Any) -> Any:
    """Return the sum of |w|^2 over the elements of weights (..., N): what they receive of noise of their own."""
    return np.sum(weights.real**2 + weights.imag**2, axis=-1)


def lost_to_errors(weights: Any, noise_form: Any, variance: float) -> Any:
    """Return by what ratio independent errors of every weight raise the noise, signal unchanged: RDF falls as much.

    They add their variance times B(0) times sum |w|^2, as in the theory of random errors in arrays (for example R. C.
    Hansen, "Phased Array Antennas", chapter on errors; cited from memory).
    """
    return 1 + variance * weight_power(weights) * noise_form[0, 0] / received(weights, noise_form)
