"""What a line is per metre: from its construction, or from four constants; plain SI numbers."""

import functools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Protocol

import numpy as np

from workbook.formulas import conductors, lines
from workbook.line.record import Centre, Record
from workbook.units import ComplexArray, Complexes, Floats

# Annealed copper by IEC 60028; commercial aluminium and its use for foil and braid from memory.
CONDUCTIVITY: Mapping[str, float] = MappingProxyType({"copper": 58.0e6, "aluminium": 35.0e6})


class LineModel(Protocol):
    """Series impedance and shunt admittance per metre at any angular frequency, and the resistance at zero."""

    @property
    def loop_resistance(self) -> Floats:
        """Direct-current resistance of centre and shield [ohm/m]."""

    def per_metre(self, omega: Floats) -> tuple[Complexes, Complexes]:
        """Return R + jwL [ohm/m] and G + jwC [S/m]."""


@dataclass(frozen=True, eq=False)
class ConstantModel:
    """R, L, G and C per metre that do not change with frequency; numbers or arrays."""

    resistance: Floats
    inductance: Floats
    conductance: Floats
    capacitance: Floats

    @property
    def loop_resistance(self) -> Floats:
        """Direct-current resistance [ohm/m]."""
        return self.resistance

    def per_metre(self, omega: Floats) -> tuple[Complexes, Complexes]:
        """Return R + jwL [ohm/m] and G + jwC [S/m]."""
        return (
            self.resistance + 1j * omega * self.inductance,
            self.conductance + 1j * omega * self.capacitance,
        )


@dataclass(frozen=True)
class CoaxModel:
    """A coaxial cable by its construction.

    The centre is solid, or steel under a cladding; the shield is a tube whose wall gives its direct-current
    resistance. `braid_factor` multiplies what the shield's impedance has above its direct-current resistance.
    The capacitance follows from the nominal velocity factor, which is the limit at high frequency.
    """

    radius: float
    conductivity: float
    dielectric_radius: float
    velocity_limit: float
    loss_tangent: float
    shield_thickness: float
    shield_conductivity: float
    braid_factor: float = 1.0
    steel_conductivity: float = 0.0
    cladding: Floats = None
    permeability: Floats = None
    cladding_range: tuple[float, float] | None = None
    permeability_range: tuple[float, float] | None = None

    @property
    def is_clad(self) -> bool:
        """Whether the centre is steel under copper."""
        return self.cladding is not None

    @functools.cached_property
    def external_inductance(self) -> float:
        """Inductance of the field between the conductors [H/m]."""
        return conductors.MU0 / (2 * np.pi) * float(np.log(self.dielectric_radius / self.radius))

    @property
    def capacitance(self) -> float:
        """Capacitance [F/m]."""
        return 1 / (self.external_inductance * (self.velocity_limit * lines.C) ** 2)

    @property
    def centre_resistance(self) -> Floats:
        """Direct-current resistance of the centre [ohm/m]."""
        whole = np.pi * self.radius**2
        if not self.is_clad:
            return 1 / (self.conductivity * whole)
        core = np.pi * (self.radius - self.cladding) ** 2
        return 1 / (self.conductivity * (whole - core) + self.steel_conductivity * core)

    @property
    def shield_resistance(self) -> float:
        """Direct-current resistance of the shield [ohm/m]."""
        outer = self.dielectric_radius + self.shield_thickness
        return 1 / (self.shield_conductivity * np.pi * (outer**2 - self.dielectric_radius**2))

    @property
    def loop_resistance(self) -> Floats:
        """Direct-current resistance of centre and shield [ohm/m]."""
        return self.centre_resistance + self.shield_resistance

    def centre_impedance(self, omega: Floats) -> Complexes:
        """Return the internal impedance of the centre [ohm/m]."""
        if not self.is_clad:
            return conductors.rod_impedance(omega, (self.radius,), (self.conductivity,), (1.0,))
        return conductors.rod_impedance(
            omega,
            (self.radius - self.cladding, self.radius),
            (self.steel_conductivity, self.conductivity),
            (self.permeability, 1.0),
        )

    def shield_impedance(self, omega: Floats) -> Complexes:
        """Return the internal impedance of the shield [ohm/m]."""
        tube = conductors.tube_impedance(
            omega, self.dielectric_radius, self.shield_thickness, self.shield_conductivity, 1.0
        )
        return self.shield_resistance + self.braid_factor * (tube - self.shield_resistance)

    def per_metre(self, omega: Floats) -> tuple[Complexes, Complexes]:
        """Return R + jwL [ohm/m] and G + jwC [S/m]."""
        inside = self.centre_impedance(omega) + self.shield_impedance(omega)
        shunt = 1j * omega * self.capacitance * (1 - 1j * self.loss_tangent)
        return 1j * omega * self.external_inductance + inside, shunt

    def at(self, cladding: Floats, permeability: Floats) -> "CoaxModel":
        """Return the same cable at other claddings [m] and permeabilities of its steel, numbers or arrays."""
        return replace(self, cladding=cladding, permeability=permeability)

    def with_cladding(self, cladding: float) -> "CoaxModel":
        """Return the same cable at one cladding [m], its range of claddings closed up."""
        return replace(self, cladding=cladding, cladding_range=(cladding, cladding))


@dataclass(frozen=True)
class TableModel:
    """A cable of unknown construction by the three terms of its loss [Np/m]: constant, at 1 Hz with the square root of
    the frequency, and at 1 Hz with the frequency. The internal inductance goes with the skin term (X = R).
    """

    impedance: float
    velocity_limit: float
    dc: float
    skin: float
    dielectric: float
    known_loop_resistance: float | None = None

    @property
    def loop_resistance(self) -> float:
        """Direct-current resistance [ohm/m]; where none is known, an estimate by the constant term."""
        return 2 * self.impedance * self.dc if self.known_loop_resistance is None else self.known_loop_resistance

    def per_metre(self, omega: Floats) -> tuple[Complexes, Complexes]:
        """Return R + jwL [ohm/m] and G + jwC [S/m]."""
        hertz, slowness = omega / (2 * np.pi), 1 / (self.velocity_limit * lines.C)
        skin = 2 * self.impedance * self.skin * np.sqrt(hertz)
        series = 2 * self.impedance * self.dc + (1 + 1j) * skin + 1j * omega * self.impedance * slowness
        return series, 2 * self.dielectric * hertz / self.impedance + 1j * omega * slowness / self.impedance


@functools.lru_cache(maxsize=64)
def _solved_once(model: CoaxModel, packed: bytes) -> tuple[ComplexArray, ComplexArray]:
    """Solve a model once where loss, velocity and impedance are computed one after the other."""
    solved = lines.propagation(*model.per_metre(np.frombuffer(packed)))
    for array in solved:
        array.flags.writeable = False
    return solved


def propagation(model: LineModel, omega: Floats) -> tuple[Complexes, Complexes]:
    """Return propagation constant [1/m] and characteristic impedance [ohm] at angular frequencies [rad/s]."""
    if not isinstance(model, CoaxModel) or np.size(omega) > 10_000:
        return lines.propagation(*model.per_metre(omega))
    shape = np.shape(omega)
    gamma, impedance = _solved_once(model, np.ascontiguousarray(omega, dtype=float).tobytes())
    return gamma.reshape(shape)[()], impedance.reshape(shape)[()]


def line_model(record: Record) -> CoaxModel | TableModel:
    """Return the model that a cable file describes."""
    return _table_model(record) if record.table else _coax_model(record)


def _table_model(record: Record) -> TableModel:
    assert record.table is not None
    # the record gives the last two terms at 1 MHz
    return TableModel(
        record.impedance.value.m_as("ohm"),
        record.nominal_velocity_factor.value,
        record.table.dc.value.m_as("Np/m"),
        record.table.skin.value.m_as("Np/m") / 1e3,
        record.table.dielectric.value.m_as("Np/m") / 1e6,
        record.table.loop_resistance.value.m_as("ohm/m") if record.table.loop_resistance else None,
    )


def _coax_model(record: Record) -> CoaxModel:
    centre, dielectric, shield = record.centre, record.dielectric, record.shield
    # the record has checked that they come together
    assert centre is not None
    assert dielectric is not None
    assert shield is not None
    # a strand's bumps make it act like a somewhat thinner rod
    shrink = centre.effective_diameter.value if centre.effective_diameter else 1.0
    radius = centre.diameter.value.m_as("m") / 2 * shrink
    inside = dielectric.diameter.value.m_as("m") / 2
    shield_conductivity = CONDUCTIVITY[shield.material]
    spread = shield.dc_resistance_range
    known = spread.typical if spread else shield.dc_resistance
    assert known is not None
    resistance = known.value.m_as("ohm/m")
    model = CoaxModel(
        radius=radius,
        conductivity=_centre_conductivity(centre, radius),
        dielectric_radius=inside,
        velocity_limit=record.nominal_velocity_factor.value,
        loss_tangent=dielectric.loss_tangent.value,
        shield_thickness=float(conductors.tube_thickness(inside, resistance, shield_conductivity)),
        shield_conductivity=shield_conductivity,
        braid_factor=shield.braid_factor.value if shield.braid_factor else 1.0,
    )
    return _clad(model, centre) if centre.cladding else model


def _centre_conductivity(centre: Centre, radius: float) -> float:
    """Copper, but for a strand, whose rod of the same effect must keep the strand's resistance."""
    if centre.strands is None or centre.dc_resistance is None:
        return CONDUCTIVITY["copper"]
    return 1 / (np.pi * radius**2 * centre.dc_resistance.value.m_as("ohm/m"))


def _clad(model: CoaxModel, centre: Centre) -> CoaxModel:
    cladding, steel, permeability = centre.cladding, centre.steel_conductivity, centre.steel_permeability
    assert cladding is not None
    values = (
        [one.value for one in (permeability.least, permeability.typical, permeability.greatest)]
        if permeability
        else [1.0] * 3
    )
    return replace(
        model,
        steel_conductivity=steel.value.m_as("S/m") if steel else CONDUCTIVITY["aluminium"],
        cladding=cladding.typical.value.m_as("m"),
        cladding_range=(cladding.least.value.m_as("m"), cladding.greatest.value.m_as("m")),
        permeability=values[1],
        permeability_range=(values[0], values[2]),
    )
