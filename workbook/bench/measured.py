"""A measured value with its standard uncertainty."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.checks import instance, listed, magnitude, not_negative, plain_array, positive, real, single
from workbook.errors import InputError
from workbook.units import FloatArray, Quantity, quantity


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
            unit = f"{self.value.units:~P}"
            magnitude(self.value, unit, "value")
            not_negative(self.uncertainty, unit, "uncertainty")
            return
        numbers = [plain_array(getattr(self, name), name, "write it like 0.831") for name in ("value", "uncertainty")]
        if not all(np.all(np.isfinite(one)) for one in numbers) or np.any(numbers[1] < 0):
            raise InputError("is not a finite number of zero or more", where="uncertainty", wanted="a plain number")


def value_and_uncertainty(given: Any, unit: str, name: str, allowance: float) -> tuple[float, float]:
    """Return one value above zero and its standard uncertainty in a unit, an allowance where none is given."""
    if not isinstance(given, Measured):
        return single(positive(given, unit, name), name), allowance
    value = single(positive(given.value, unit, name), name)
    return value, single(real(given.uncertainty, unit, name), name)


def weighted_mean(values: Sequence[Measured]) -> Measured:
    """Return the mean of several measurements of one thing, each with the weight 1/u^2.

    Its uncertainty is 1/sqrt(sum of weights), enlarged by the Birge ratio where the values differ by more than their
    uncertainties explain (R. T. Birge, Physical Review 40, 207, 1932; from memory).

    Parameters
    ----------
    values
        At least one, of one kind, each with an uncertainty above zero.

    Returns
    -------
    Measured
        A quantity in the unit of the first, or a plain number.

    Raises
    ------
    InputError
        When values are of different kinds, or one has no uncertainty.

    Examples
    --------
    >>> mean = weighted_mean([Measured(0.831, 0.001), Measured(0.834, 0.002)])
    >>> mean.value, mean.uncertainty
    (0.8316, 0.00120)
    """
    given = [instance(one, Measured, "values", _HOW) for one in listed(values, "values", _HOW)]
    if not given:
        raise InputError("nothing was measured", where="values", wanted="at least one")
    unit = f"{given[0].value.units:~P}" if isinstance(given[0].value, Quantity) else None
    plain, errors = _plain(given, unit)
    weights = 1 / errors**2
    mean = float(np.sum(weights * plain) / np.sum(weights))
    birge = np.sqrt(np.sum(weights * (plain - mean) ** 2) / max(len(given) - 1, 1))
    error = float(max(birge, 1.0) / np.sqrt(np.sum(weights)))
    return Measured(mean, error) if unit is None else Measured(Quantity(mean, unit), Quantity(error, unit))


_HOW = "write wb.Measured(0.831, 0.001) for each"


def _plain(given: Sequence[Measured], unit: str | None) -> tuple[FloatArray, FloatArray]:
    """Return values and uncertainties in one unit, or plain numbers where there is none."""
    if any(isinstance(one.value, Quantity) != (unit is not None) for one in given):
        raise InputError("some have a unit and some have none", where="values", wanted="all of one kind")
    if unit is None:
        pairs = [(single(one.value, "values"), single(one.uncertainty, "values")) for one in given]
    else:
        pairs = [
            tuple(single(real(x, unit, "values"), "values") for x in (one.value, one.uncertainty)) for one in given
        ]
    values, errors = np.array(pairs, dtype=float).T
    if not np.all(np.isfinite(values)) or not np.all((errors > 0) & np.isfinite(errors)):
        raise InputError("one has no uncertainty above zero", where="values", remedy="give each its uncertainty")
    return values, errors
