"""What elements stand on: real ground, perfect ground, or free space for checks.

Each gives two things on plain SI numbers: the response of one element at an elevation, and the common response of a
pair of elements, averaged over the sphere.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any

import numpy as np

from workbook.checks import not_negative, plain_number
from workbook.errors import InputError, shown
from workbook.formulas import waves
from workbook.units import ComplexArray, FloatArray, Floats, Quantity, scalar

MOST_PHASE = 2000.0
"""Greatest phase between two elements [rad] for which the average over the sky is computed."""


def too_wide() -> InputError:
    """Return the refusal of an array that no figure can be computed for."""
    return InputError(
        "the array is hundreds of wavelengths across", where=("layout", "frequency"), remedy="check the units"
    )


class _OverGround:
    """A short vertical over flat ground; nothing arrives from below."""

    sphere = False
    """Whether waves arrive from below the horizon too."""

    def _reflection(self, hertz: float, elevation: Floats) -> ComplexArray:
        raise NotImplementedError

    def element(self, hertz: float, elevation: Floats) -> ComplexArray:
        """Return one element's response, of size 1 at the horizon over perfect ground; elevation in rad.

        Parameters
        ----------
        hertz
            Frequency [Hz].
        elevation
            Elevations [rad], any shape.

        Returns
        -------
        complex array
            Response [1], in the shape of the elevations.
        """
        elevation = np.asarray(elevation)
        above = elevation >= 0
        height = np.where(above, elevation, 0.0)
        return np.where(above, np.cos(height) * (1 + self._reflection(hertz, height)) / 2, 0.0)

    def averages(self, hertz: float, metres: Floats) -> FloatArray:
        """Return the common response of pairs at these distances [m], averaged over the sphere.

        Parameters
        ----------
        hertz
            Frequency [Hz].
        metres
            Distances of pairs [m], any shape.

        Returns
        -------
        float array
            Average over the sphere [1], in the shape of the distances.
        """
        phase = waves.wave_number(hertz) * np.asarray(metres)
        if np.max(phase, initial=0.0) > MOST_PHASE:
            raise too_wide()
        # eighty points are good to 1e-11, and to 1e-7 of a dB even where the ground is nearly vacuum or metal and the
        # response rises within a hundredth of a degree; beyond a phase of 50 more are needed
        elevation, weight = waves.sky_nodes(max(80, 30 + int(np.max(phase, initial=0.0))))
        return waves.pair_average(phase, elevation, weight, np.abs(self.element(hertz, elevation)) ** 2)


@dataclass(frozen=True)
class Ground(_OverGround):
    """Real ground.

    Parameters
    ----------
    relative_permittivity
        A plain number, 1 (air) to 1000.
    conductivity
        Such as "5 mS/m", 0 to 100 S/m.

    Raises
    ------
    InputError
        On values outside these ranges.

    Examples
    --------
    >>> print(Ground(13, "5 mS/m"))
    relative permittivity 13, 5 mS/m
    """

    relative_permittivity: float
    conductivity: Any

    def __post_init__(self) -> None:
        """Check both at birth."""
        relative = plain_number(self.relative_permittivity, "relative_permittivity", 1, 1000, "13")
        siemens = not_negative(self.conductivity, "S/m", "conductivity")
        if np.ndim(siemens) or siemens > 100:
            raise InputError(
                f"got {shown(self.conductivity)}",
                where="conductivity",
                wanted="one value up to 100 S/m",
                remedy="write it like '5 mS/m' (sea water has 5 S/m)",
            )
        object.__setattr__(self, "relative_permittivity", relative)
        object.__setattr__(self, "conductivity", Quantity(scalar(siemens), "S/m"))

    @cached_property
    def _siemens(self) -> float:
        # converted once: a search uses the ground many times
        return float(self.conductivity.m_as("S/m"))

    def _reflection(self, hertz: float, elevation: Floats) -> ComplexArray:
        permittivity = waves.complex_permittivity(self.relative_permittivity, self._siemens, hertz)
        return waves.vertical_reflection(permittivity, elevation)

    def __str__(self) -> str:
        return f"relative permittivity {self.relative_permittivity:g}, {self.conductivity.m_as('mS/m'):g} mS/m"


@dataclass(frozen=True, repr=False)
class _Perfect(_OverGround):
    """Ground that conducts without loss."""

    def _reflection(self, hertz: float, elevation: Floats) -> ComplexArray:
        return np.ones_like(elevation)

    def __repr__(self) -> str:
        return "PERFECT_GROUND"

    def __str__(self) -> str:
        return "perfect ground"


@dataclass(frozen=True, repr=False)
class _FreeSpace:
    """No ground, and an element that receives equally from everywhere; for checks against closed forms."""

    sphere = True

    def element(self, hertz: float, elevation: Floats) -> ComplexArray:
        """Return one element's response: 1 everywhere."""
        return np.ones_like(np.asarray(elevation), dtype=float)

    def averages(self, hertz: float, metres: Floats) -> FloatArray:
        """Return the common response of pairs at these distances [m]: sin(kd)/kd."""
        return np.sinc(waves.wave_number(hertz) * np.asarray(metres) / np.pi)

    def __repr__(self) -> str:
        return "FREE_SPACE"

    def __str__(self) -> str:
        return "free space"


PERFECT_GROUND = _Perfect()
FREE_SPACE = _FreeSpace()
AnyGround = Ground | _Perfect | _FreeSpace

NOTHING = 1e-24
"""One element's power, beside that at the horizon over perfect ground, below which it receives nothing."""


def element_power(ground: AnyGround, hertz: float, elevation: float) -> float:
    """Return the power that one element receives at an elevation [rad], 1 at the horizon over perfect ground."""
    return float(np.abs(ground.element(hertz, elevation)) ** 2)


def nothing_arrives(ground: AnyGround, hertz: float, elevation: float) -> bool:
    """Return whether one element receives nothing from an elevation [rad]."""
    return element_power(ground, hertz, elevation) < NOTHING


def check_arrival(ground: AnyGround, hertz: float, elevation: float) -> None:
    """Refuse anything but a ground, and an elevation [rad] from which one element over it receives nothing."""
    if not isinstance(ground, AnyGround):
        raise InputError(
            f"got {shown(ground)}",
            where="ground",
            wanted="a ground",
            remedy="give wb.Ground(13, '5 mS/m'), wb.PERFECT_GROUND or wb.FREE_SPACE",
        )
    if nothing_arrives(ground, hertz, elevation):
        raise InputError(
            f"nothing arrives at {np.degrees(elevation):g} deg over {ground}",
            where="elevation",
            remedy="try 20 deg, or another angle between horizon and zenith",
        )


GROUND_CLASSES: Mapping[str, AnyGround] = MappingProxyType(
    {
        "sea water": Ground(70.0, "5 S/m"),
        "wet ground": Ground(30.0, "10 mS/m"),
        "fresh water": Ground(80.0, "3 mS/m"),
        "medium dry ground": Ground(15.0, "1 mS/m"),
        "very dry ground": Ground(3.0, "0.1 mS/m"),
        "perfect": PERFECT_GROUND,
    }
)
"""Classes of ground by name: the curves of Recommendation ITU-R P.527-3, from memory."""

USUAL_GROUND = Ground(13.0, "5 mS/m")
"""What a design without [ground] stands on (contract)."""
