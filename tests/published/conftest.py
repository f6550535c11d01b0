"""What every check against an outside source shares: one way to compare with a printed number."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest


def printed_value(printed: str) -> tuple[Decimal, Decimal, str]:
    """Return a printed number, half a unit in its last digit, and the unit behind it (may be empty)."""
    number, _, unit = printed.partition(" ")
    value = Decimal(number)
    return value, Decimal(5).scaleb(int(value.as_tuple().exponent) - 1), unit


def check_printed(got: Any, printed: str, *, source: str) -> None:
    """Fail unless `got` agrees with the print; the tolerance comes from the printed digits and nothing else.

    A unit behind the number asks for a quantity, and takes it in that unit. Complex values are printed, and so
    checked, as real and imaginary part.
    """
    assert source.strip(), "a printed value without a source is no check"
    value, half_a_digit, unit = printed_value(printed)
    plain = float(got.m_as(unit) if unit else got)
    away = abs(Decimal(plain) - value)
    assert away <= half_a_digit, f"{plain!r} is not the printed {printed} ({source})"


@pytest.fixture(scope="session")
def assert_printed() -> Callable[..., None]:
    return check_printed
