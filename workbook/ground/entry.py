"""Rods, strap and surge of one entry together: what the strap takes, how the rods rise, what another earth sees."""

from dataclasses import dataclass

from workbook.checks import instance, one_of, plain_number
from workbook.ground.conductors import SURGE_WAVES, SurgeWave, strap_inductance, surge_voltage
from workbook.ground.rods import potential_between_earths, rods_resistance
from workbook.units import Impedance, Length, Quantity


@dataclass(frozen=True)
class Rods:
    """Equal rods that are joined, as `wb.rods_resistance` takes them."""

    resistivity: Quantity
    length: Length
    diameter: Length
    spacing: Length
    count: int
    shape: str

    @property
    def resistance(self) -> Impedance:
        """Resistance to far earth [ohm]."""
        return rods_resistance(self.resistivity, self.length, self.diameter, self.spacing, self.count, self.shape)


@dataclass(frozen=True)
class Strap:
    """A flat strap, as `wb.strap_inductance` takes it."""

    length: Length
    width: Length
    thickness: Length

    @property
    def inductance(self) -> Quantity:
        """Inductance [H]."""
        return strap_inductance(self.length, self.width, self.thickness)


@dataclass(frozen=True)
class Entry:
    """The entry of cables into a building while a surge rises.

    Parameters
    ----------
    rods, strap
        The rods, and the strap from the panel to them.
    wave
        Name of a standard wave.
    share
        Share of its peak current that takes this path, a plain number above 0 to 1.
    distance
        Distance to another earth that is not joined.

    Raises
    ------
    InputError
        When the wave is not known, or a part is of another kind.
    """

    rods: Rods
    strap: Strap
    wave: str
    share: float
    distance: Length

    def __post_init__(self) -> None:
        """Check what the parts do not check themselves."""
        instance(self.rods, Rods, "rods", "give resistivity, length, diameter, spacing, count and shape")
        instance(self.strap, Strap, "strap", "give length, width and thickness")
        one_of(self.wave, SURGE_WAVES, "wave")
        plain_number(self.share, "share", 1e-6, 1.0, "0.5")

    @property
    def surge(self) -> SurgeWave:
        """The standard wave."""
        return SURGE_WAVES[self.wave]

    @property
    def current(self) -> Quantity:
        """Peak current on this path [A]."""
        return self.share * self.surge.peak

    @property
    def along(self) -> Quantity:
        """Voltage along the strap while the current rises [V]."""
        return surge_voltage(self.strap.inductance, Quantity(0.0, "ohm"), self.current, self.surge.rise_time)

    @property
    def rise(self) -> Quantity:
        """Voltage of the rods against far earth at the peak [V]."""
        return self.current.to("A") * self.rods.resistance

    @property
    def between(self) -> Quantity:
        """Voltage between the rods and an earth at the distance that is not joined to them [V]."""
        return potential_between_earths(self.current, self.rods.resistance, self.rods.resistivity, self.distance)
