"""What the tests of tolerances share: a ring of eight over land with its delays, and a pair with a complete null."""

from typing import Any, NamedTuple

import numpy as np
import pytest

import workbook as wb


class Case(NamedTuple):
    firing: Any
    delays: Any
    velocity_factor: float = 0.83

    @property
    def lines(self) -> dict[str, Any]:
        return {"delays": self.delays, "velocity_factor": self.velocity_factor}


@pytest.fixture(scope="session")
def ring() -> Case:
    delays = wb.Quantity([121.627, 121.627, 86.003, 35.624, 0, 0, 35.624, 86.003], "ns")
    weights = np.exp(-2j * np.pi * 1.83e6 * delays.m_as("s"))
    layout = wb.ring(8, "42 m", "0 deg")
    return Case(wb.Firing(layout, weights, "1.83 MHz", "22.5 deg", "20 deg", wb.Ground(13, "5 mS/m")), delays)


@pytest.fixture(scope="session")
def cardioid() -> Case:
    """A quarter wave apart in free space: both in phase to the front, nothing to the back."""
    metres = 299_792_458 / 1.83e6 / 4
    layout = wb.row(2, wb.Quantity(metres, "m"), "0 deg")
    firing = wb.Firing(layout, [-1j, 1], "1.83 MHz", "0 deg", "0 deg", wb.FREE_SPACE)
    return Case(firing, wb.Quantity([0.25 / 1.83e6, 0], "s"))


@pytest.fixture(scope="session")
def every_kind() -> list[wb.Tolerance]:
    return [
        wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.004, shared="reel"),
        wb.Tolerance("velocity factor", "normal", standard_uncertainty=0.002),
        wb.Tolerance("cut length", "uniform", half_width="1 cm"),
        wb.Tolerance("connector delay", "triangular", half_width="0.1 ns"),
        wb.Tolerance("position", "normal", standard_uncertainty="20 cm"),
        wb.Tolerance("amplitude", "normal", standard_uncertainty=0.02),
        wb.Tolerance("phase", "normal", standard_uncertainty="1 deg"),
    ]
