"""A measured value with its standard uncertainty."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import not_negative, positive, real, single
from workbook.errors import InputError
from workbook.units import Quantity, quantity


@dataclass(frozen=True, eq=False)
class Measured:
    """A measured value with its standard uncertainty (GUM 2.3.1): the truth lies within twice of it 95 times of 100.

    Attributes
    ----------
    value
        The value: a quantity or, of a velocity factor, a plain number; one or an array of them.
    uncertainty
        Its standard uncertainty, in the same unit; of a complex value that of real and of imaginary part.

    Examples
    --------
    >>> Measured("26.911 m", "5 mm").uncertainty.m_as("m")
    0.005
    """

    value: Any
    uncertainty: Any

    def __post_init__(self) -> None:
        """Read texts, and refuse an uncertainty that cannot belong to the value."""
        for name in ("value", "uncertainty"):
            given = getattr(self, name)
            object.__setattr__(self, name, quantity(given) if isinstance(given, str) else given)
        if isinstance(self.value, Quantity):
            not_negative(self.uncertainty, f"{self.value.units:~P}", "uncertainty")
            return
        numeric = all(np.asarray(one).dtype.kind in "iufc" for one in (self.value, self.uncertainty))
        if isinstance(self.uncertainty, Quantity) or not numeric or np.any(np.asarray(self.uncertainty) < 0):
            raise InputError("does not belong to the value", where="uncertainty", wanted="one of the same unit")


def value_and_uncertainty(given: Any, unit: str, name: str, allowance: float) -> tuple[float, float]:
    """Return one value above zero and its standard uncertainty in a unit, an allowance where none is given."""
    if not isinstance(given, Measured):
        return single(positive(given, unit, name), name), allowance
    value = single(positive(given.value, unit, name), name)
    return value, single(real(given.uncertainty, unit, name), name)
