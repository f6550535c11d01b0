"""What an ohmmeter says of a piece: the resistance of centre and shield in series, beside the record."""

from typing import NamedTuple

import numpy as np

from workbook.bench.measured import Measured, value_and_uncertainty
from workbook.bench.measuring import TAPE
from workbook.errors import InputError
from workbook.line.cable import Cable, check_cable
from workbook.line.models import CoaxModel
from workbook.units import Floats, Impedance, Length, with_unit

METER = 0.05
"""Standard uncertainty [ohm] of an ordinary meter with its leads taken off."""
ROOM = 0.1
"""Share by which a resistance may be below that of copper: a warm record, a cold piece, a thicker shield."""


class LoopResistance(NamedTuple):
    """A measured loop resistance per length, and the record's least and greatest [ohm/m]."""

    measured: Measured
    least: Impedance
    greatest: Impedance

    @property
    def fits(self) -> bool:
        """Whether it lies in the record's range, within twice its uncertainty."""
        value, error = self.measured.value, 2 * self.measured.uncertainty
        return bool(self.least <= value + error and value - error <= self.greatest)


def measure_loop_resistance(
    cable: Cable, resistance: Impedance | Measured, length: Length | Measured
) -> LoopResistance:
    """Return the loop resistance of a piece per length, beside that of its record over all claddings.

    Parameters
    ----------
    cable
        Its cable.
    resistance
        Centre and shield in series, the far end shorted, less that of the meter's leads; a `Measured` brings its own
        uncertainty, otherwise it is 0.05 ohm.
    length
        Length by tape.

    Returns
    -------
    LoopResistance
        Quantities [ohm/m].

    Raises
    ------
    InputError
        When the resistance is below that of a centre all of copper, or an argument is of another kind.

    Examples
    --------
    >>> from workbook.line.catalogue import cable
    >>> measure_loop_resistance(cable("series-6-copper"), "2.4 ohm", "50 m").measured.value.m_as("ohm/km")
    48.0
    """
    ohms, error = value_and_uncertainty(resistance, "ohm", "resistance", METER)
    metres, metres_error = value_and_uncertainty(length, "m", "length", TAPE)
    least, greatest, copper = _range(check_cable(cable))
    found = ohms / metres
    if found < (1 - ROOM) * copper:
        raise InputError(
            f"{ohms:g} ohm over {metres:g} m is below the {copper * metres:.3g} ohm of copper",
            where="resistance",
            remedy="check that the far end is shorted, the unit, and the length",
        )
    relative = float(np.hypot(error / ohms, metres_error / metres))
    measured = Measured(with_unit(found, "ohm/m"), with_unit(found * relative, "ohm/m"))
    return LoopResistance(measured, with_unit(least, "ohm/m"), with_unit(greatest, "ohm/m"))


def _range(cable: Cable) -> tuple[Floats, Floats, Floats]:
    """Return least and greatest loop resistance of a record, and that with a centre all of copper [ohm/m]."""
    model, typical = cable.model, float(cable.model.loop_resistance)
    if not isinstance(model, CoaxModel) or cable.claddings is None:
        # makers allow so much of either conductor
        return typical * (1 - ROOM), typical * (1 + ROOM), typical
    ends = [float(cable.with_cladding(thickness).model.loop_resistance) for thickness in cable.claddings]
    solid = 1 / (model.conductivity * np.pi * model.radius**2)
    return min(ends), max(ends), typical - float(model.centre_resistance) + solid
