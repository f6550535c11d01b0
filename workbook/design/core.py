"""The core of a wideband transformer and its turns, in a design file."""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, model_validator

from workbook.checks import whole_number
from workbook.errors import InputError
from workbook.matching.transformer import MOST_TURNS, Core
from workbook.schema import Inductance, Strict, number
from workbook.units import Quantity


class CoreTable(Strict):
    """The core that a wideband transformer is wound on, and its losses."""

    inductance: Inductance = Quantity(400.0, "nH")
    """Inductance for each turn squared, from the core's data sheet."""
    coupling: Annotated[float, number(1e-6, 1, "0.998")] = 0.998
    """Coupling factor of the two windings, up to 1."""
    core_q: Annotated[float, number(1e-6, 1e15, "5")] = 5.0
    """Q of the core, low where it is lossy."""
    winding_q: Annotated[float, number(1e-6, 1e15, "50")] = 50.0
    """Q of the windings."""

    @model_validator(mode="after")
    def _whole(self) -> "CoreTable":
        self.core()
        return self

    def core(self) -> Core:
        """Return it as a transformer takes it."""
        return Core(self.inductance, self.coupling, self.core_q, self.winding_q)


def _two_windings(value: Any) -> list[int]:
    if not isinstance(value, list) or len(value) != 2:
        raise InputError(
            "holds the turns of both windings", remedy="write turns = [13, 11], the winding at the hub first"
        )
    return [whole_number(turns, "value", 1, MOST_TURNS) for turns in value]


WindingTurns = Annotated[list[int], BeforeValidator(_two_windings), Field(examples=["[13, 11]"])]
"""Turns of the winding at the source and of the one at the load."""
