"""Ideal weights and what the channels make of them, so that the array's figures can stand side by side."""

from typing import Any

import numpy as np

from workbook.checks import check_broadcast, real
from workbook.errors import InputError, shown
from workbook.units import NEPER_IN_DB, Quantity


def real_weights(weights: Any, phase_error: Any, level: Any) -> Any:
    """Return weights (..., N) times 10^(level/20) e^{+j error}: what real channels make of ideal ones.

    A positive error arrives early, so it takes away from the lag in e^{-j omega tau}.

    Parameters
    ----------
    weights
        Ideal weights, plain complex, elements along the last axis.
    phase_error, level
        Errors as they come from `channel_errors`: channels, one for each element, along the first axis. An element
        that is off has weight 0 and stays off.

    Raises
    ------
    InputError
        When the counts of elements and channels differ.

    Examples
    --------
    >>> from workbook.units import Quantity
    >>> real_weights([1, 1], Quantity([0, -90], "degree"), Quantity([0, 0], "dB")).round(3).tolist()
    [(1+0j), -1j]
    """
    early = np.atleast_1d(real(phase_error, "radian", "phase_error"))
    gain = np.atleast_1d(real(level, "dB", "level")) / NEPER_IN_DB
    check_broadcast(early, gain)
    try:
        ideal = np.asarray(None if isinstance(weights, Quantity) else weights, dtype=complex)
    except (TypeError, ValueError):
        raise InputError(
            f"{shown(weights)} are no plain complex numbers", where="weights", remedy="give one for each element"
        ) from None
    factor = np.moveaxis(np.exp(gain + 1j * early), 0, -1)
    if ideal.ndim == 0 or ideal.shape[-1] != factor.shape[-1]:
        came = ideal.shape[-1] if ideal.ndim else 1
        raise InputError(
            f"{came} came for {factor.shape[-1]} channels", where="weights", remedy="give one for each channel"
        )
    check_broadcast(ideal, factor)
    return ideal * factor
