"""Simulated sweeps for the bench: lines of scikit-rf's coaxial media, with noise; no line model of the workbook."""

import numpy as np
import skrf

import workbook as wb


def media(hertz, impedance=75.0, velocity=0.83, centre=1.024e-3, port=50.0):
    """Return scikit-rf's coaxial medium of copper with a foam of some velocity factor."""
    permittivity = 1 / velocity**2
    # 59.96 ohm is the impedance of free space over 2 pi
    outer = centre * np.exp(impedance * np.sqrt(permittivity) / 59.96)
    return skrf.media.Coaxial(
        skrf.Frequency.from_f(hertz, unit="Hz"),
        z0_port=port,
        Dint=centre,
        Dout=outer,
        epsilon_r=permittivity,
        tan_delta=2e-4,
        sigma=58e6,
    )


def sweeps(network, rng, noise=1e-3):
    """Return the sweeps of a two-port network with open and shorted far end and through it, with noise on each S."""
    medium = skrf.media.DefinedGammaZ0(network.frequency, z0=network.z0[:, 0].real)
    seen = {"open": network ** medium.open(), "short": network ** medium.short(), "through": network}
    return {name: as_sweep(one, rng, noise) for name, one in seen.items()}


def as_sweep(network, rng, noise=1e-3):
    """Return a network as the workbook's sweep, with noise of a standard deviation on real and imaginary parts."""
    s = network.s + noise * (rng.normal(size=network.s.shape) + 1j * rng.normal(size=network.s.shape)) / np.sqrt(2)
    return wb.Sweep(wb.Quantity(network.f, "Hz"), s, wb.Quantity(float(network.z0[0, 0].real), "ohm"))
