"""A tolerance: what it is on, how it is distributed, how wide it is, and which lines or elements share it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, TypeAlias

import numpy as np

from workbook.checks import one_of, plain_number, real, single
from workbook.errors import InputError, shown
from workbook.formulas import chance
from workbook.units import FloatArray, Quantity, quantity

UNITS: Mapping[str, str] = MappingProxyType(
    {
        "velocity factor": "",
        "cut length": "m",
        "connector delay": "s",
        "position": "m",
        "amplitude": "",
        "phase": "radian",
    }
)
"""What a tolerance may be on, and the unit its spread is calculated in; relative spreads have none."""

OF_LINES = ("velocity factor", "cut length", "connector delay")
"""Errors of delay lines; the others are errors of elements and their channels."""

SHARED = ("each", "reel", "all")

Spread: TypeAlias = Any
"""A length, time or angle as a quantity or text, or a plain relative number."""

NORMAL_REACH = 3.0
"""Standard deviations within which a normal distribution must stay physical; 3 draws in 1000 lie outside."""


@dataclass(frozen=True)
class Distribution:
    """How one kind of tolerance is drawn; `half_width` in standard deviations, infinite where there is none."""

    draw: Callable[[np.random.Generator, tuple[int, ...]], FloatArray]
    half_width: float


DISTRIBUTIONS: Mapping[str, Distribution] = MappingProxyType(
    {
        "normal": Distribution(chance.normal, np.inf),
        "uniform": Distribution(chance.uniform, float(np.sqrt(3))),
        "triangular": Distribution(chance.triangular, float(np.sqrt(6))),
    }
)


@dataclass(frozen=True)
class Tolerance:
    """One tolerance as a distribution around zero; its spread is given once.

    Parameters
    ----------
    what
        ``"velocity factor"``, ``"cut length"``, ``"connector delay"``, ``"position"``, ``"amplitude"`` or ``"phase"``.
    kind
        ``"normal"``, ``"uniform"`` or ``"triangular"``.
    half_width
        Greatest error, for kinds that have one: a quantity, or a plain relative number for velocity factor and
        amplitude.
    standard_uncertainty
        Standard deviation, in the same unit; the only spread of a normal distribution.
    shared
        ``"each"``: a draw of its own for every line or element; ``"reel"``: one draw for all delay lines, none for
        elements without; ``"all"``: one draw for all.

    Raises
    ------
    InputError
        On an unknown word, no spread or two, a spread that is not above zero, or a relative spread that looks like
        per cent.

    Examples
    --------
    >>> Tolerance("cut length", "uniform", half_width="1 cm").uncertainty.m_as("mm")
    5.77
    >>> Tolerance("velocity factor", "normal", standard_uncertainty=0.004, shared="reel").uncertainty
    0.004
    """

    what: str
    kind: str
    half_width: Spread | None = None
    standard_uncertainty: Spread | None = None
    shared: str = "each"

    def __post_init__(self) -> None:
        """Check at birth."""
        one_of(self.what, UNITS, "what")
        one_of(self.kind, DISTRIBUTIONS, "kind")
        one_of(self.shared, SHARED, "shared")
        given = [name for name in ("half_width", "standard_uncertainty") if getattr(self, name) is not None]
        if len(given) != 1:
            came = "both spreads came" if given else "the spread is missing"
            raise InputError(
                came, where="half_width, standard_uncertainty", remedy="give one of them, or leave the tolerance out"
            )
        name = given[0]
        if name == "half_width" and np.isinf(DISTRIBUTIONS[self.kind].half_width):
            raise InputError("a normal distribution has none", where=name, remedy="give standard_uncertainty instead")
        unit = UNITS[self.what]
        object.__setattr__(self, name, _spread(getattr(self, name), unit, name) if unit else self._relative(name))

    def _relative(self, name: str) -> float:
        value = getattr(self, name)
        plain = not isinstance(value, (bool, np.bool_)) and isinstance(value, (int, float, np.integer, np.floating))
        if not plain or np.isnan(value):
            raise InputError(f"got {shown(value)}", where=name, wanted="a plain relative number such as 0.005")
        if value <= 0:
            raise InputError(f"{value:g} is not above zero", where=name, remedy="leave the tolerance out instead")
        if value >= 1:
            per_cent = f"{value:g} looks like per cent, write {value / 100:g}" if value < 100 else "write it like 0.005"
            raise InputError(f"a relative spread of {value:g} is 1 or more", where=name, remedy=per_cent)
        return float(value)

    @property
    def spread(self) -> Spread:
        """The spread as given: half width or standard uncertainty."""
        return self.half_width if self.standard_uncertainty is None else self.standard_uncertainty

    @property
    def uncertainty(self) -> Spread:
        """Standard uncertainty, whichever spread was given; a quantity, or a plain relative number."""
        if self.standard_uncertainty is not None:
            return self.standard_uncertainty
        return self.spread / DISTRIBUTIONS[self.kind].half_width

    @property
    def deviation(self) -> float:
        """Standard uncertainty on plain numbers: relative, metres, seconds or radians."""
        unit = UNITS[self.what]
        return float(self.uncertainty.m_as(unit) if unit else self.uncertainty)

    @property
    def reach(self) -> float:
        """How far the error goes, on plain numbers: the half width, or three standard deviations of a normal one."""
        return self.deviation * min(DISTRIBUTIONS[self.kind].half_width, NORMAL_REACH)

    def scaled(self, factor: float) -> "Tolerance":
        """Return the same tolerance with its spread multiplied.

        Parameters
        ----------
        factor
            Plain number above 0.

        Returns
        -------
        Tolerance with the spread given the same way

        Raises
        ------
        InputError
            When the spread leaves what is possible.
        """
        factor = plain_number(factor, "factor", 1e-12, 1e12, "2.0")
        if self.standard_uncertainty is None:
            return replace(self, half_width=self.spread * factor)
        return replace(self, standard_uncertainty=self.spread * factor)


def _spread(value: Spread, unit: str, name: str) -> Spread:
    plain = single(real(value, unit, name), name)
    if plain <= 0:
        came = f"{plain:g} {unit}" if unit != "radian" else f"{np.degrees(plain):g} degree"
        raise InputError(f"{came} is not above zero", where=name, remedy="leave the tolerance out instead")
    read = quantity(value) if isinstance(value, str) else value
    return Quantity(float(read.magnitude), read.units)
