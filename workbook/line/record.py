"""What a cable file holds: every number with its source, and what nobody has told us."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import Field, model_validator

from workbook.schema import (
    Capacitance,
    Conductivity,
    Fraction,
    Frequency,
    Impedance,
    Length,
    LossPerLength,
    Mass,
    NonNegativeLoss,
    Resistance,
    Strict,
    Truth,
    number,
)

Value = TypeVar("Value")


class Source(Strict):
    """Where numbers come from; `seen` is false when they are quoted from memory."""

    citation: str = Field(examples=['"ASTM B869-04, table 1"'])
    seen: Truth = Field(examples=["false"])


class Cited(Strict, Generic[Value]):
    """One number and the key of its source."""

    value: Value = Field(examples=['"0.0403 in"'])
    source: str = Field(examples=['"b869"'])


class Spread(Strict, Generic[Value]):
    """A range whose three figures each have a source."""

    least: Cited[Value] = Field(examples=['{ value = "8 um", source = "measured" }'])
    typical: Cited[Value] = Field(examples=['{ value = "15 um", source = "b869" }'])
    greatest: Cited[Value] = Field(examples=['{ value = "35 um", source = "b869" }'])

    @model_validator(mode="after")
    def _in_order(self) -> "Spread[Value]":
        if not self.least.value <= self.typical.value <= self.greatest.value:  # type: ignore[operator]
            raise ValueError("the range is out of order; write least, typical and greatest in rising order.")
        return self


class Centre(Strict):
    """The centre conductor; a clad one has a range of claddings and of the steel's permeability."""

    material: Literal["copper", "copper-clad steel", "copper-clad aluminium"] = Field(examples=['"copper"'])
    diameter: Cited[Length]
    strands: Cited[Annotated[float, number(1, 1000, "7")]] | None = None
    effective_diameter: Cited[Fraction] | None = None
    dc_resistance: Cited[Resistance] | None = None
    cladding: Spread[Length] | None = None
    steel_conductivity: Cited[Conductivity] | None = None
    steel_permeability: Spread[Annotated[float, number(1, 1e5, "200.0")]] | None = None

    @model_validator(mode="after")
    def _clad_or_not(self) -> "Centre":
        steel = (self.cladding, self.steel_conductivity, self.steel_permeability)
        if self.material == "copper-clad steel" and None in steel:
            raise ValueError("a clad centre needs cladding, steel_conductivity and steel_permeability; add them.")
        if self.material == "copper-clad aluminium" and (self.cladding is None or steel[1:] != (None, None)):
            raise ValueError("a centre of copper-clad aluminium needs a cladding, and no steel; mend its keys.")
        if self.material == "copper" and steel != (None, None, None):
            raise ValueError('a copper centre has no cladding or steel; write material = "copper-clad steel".')
        if self.cladding and self.cladding.greatest.value >= self.diameter.value / 2:
            raise ValueError("the cladding is not thinner than the radius; check the cladding's unit.")
        if self.steel_permeability and self.steel_permeability.least.value < 1:
            raise ValueError("the steel's relative permeability is below 1; steel lies at 50 to 500.")
        return self


class Dielectric(Strict):
    """What fills the cable."""

    material: str = Field(examples=['"foamed polyethylene"'])
    diameter: Cited[Length]
    loss_tangent: Cited[Annotated[float, number(0, 0.1, "0.0002")]]


class Shield(Strict):
    """The shield from the inside out; its resistance sets the wall of the tube that stands for it."""

    layers: list[str] = Field(examples=['["aluminium foil", "60 % aluminium braid"]'])
    material: Literal["copper", "aluminium"] = Field(examples=['"aluminium"'])
    dc_resistance: Cited[Resistance] | None = None
    dc_resistance_range: Spread[Resistance] | None = None
    braid_factor: Cited[Annotated[float, number(0.1, 20, "2.0")]] | None = None

    @model_validator(mode="after")
    def _resistance(self) -> "Shield":
        if (self.dc_resistance is None) == (self.dc_resistance_range is None):
            raise ValueError("write dc_resistance, or dc_resistance_range where only a range is known.")
        return self


class Jacket(Strict):
    """The jacket, as far as known."""

    material: str | None = None
    diameter: Cited[Length] | None = None
    mass: Cited[Mass] | None = None


class Point(Strict):
    """One published attenuation; `disputed` says why the model does not follow it."""

    frequency: Frequency = Field(examples=['"55 MHz"'])
    loss: LossPerLength = Field(examples=['"1.60 dB/100 ft"'])
    status: Literal["standard maximum", "typical", "measured"] = Field(examples=['"typical"'])
    source: str = Field(examples=['"scte-74"'])
    disputed: str | None = None


class LossTerms(Strict):
    """Loss of a cable of unknown construction: a constant term, one that grows with the square root of the frequency
    and one that grows with the frequency, the last two given at 1 MHz. Estimated below the lowest published point.
    Without `loop_resistance` the direct-current resistance is estimated from the constant term.
    """

    dc: Cited[NonNegativeLoss]
    skin: Cited[LossPerLength]
    dielectric: Cited[NonNegativeLoss]
    loop_resistance: Cited[Resistance] | None = None


class Temperature(Strict):
    """How loss and delay change per kelvin, as shares of their values at 20 degC; unknown where left out."""

    loss: Cited[Annotated[float, number(-0.1, 0.1, "0.002")]] | None = None
    delay: Cited[Annotated[float, number(-0.01, 0.01, "-0.00005")]] | None = None


class MeasuredLine(Strict):
    """What somebody measured on a reel of this cable, and when."""

    date: str = Field(examples=['"2026-05-30"'])
    how: str = Field(examples=['"check frequency of 20 m, far end open"'])
    velocity_factor: Cited[Fraction] | None = None
    frequency: Frequency | None = None

    @model_validator(mode="after")
    def _together(self) -> "MeasuredLine":
        if (self.velocity_factor is None) != (self.frequency is None):
            raise ValueError("velocity_factor and frequency go together; write both, or neither.")
        return self


class Record(Strict):
    """One cable, as its file tells it: by its construction, or by a table of loss terms."""

    standard_type: str = Field(examples=['"Series 6 drop cable, foam dielectric"'])
    impedance: Cited[Impedance]
    nominal_velocity_factor: Cited[Fraction]
    balanced: Truth = False
    capacitance: Cited[Capacitance] | None = None
    centre: Centre | None = None
    dielectric: Dielectric | None = None
    shield: Shield | None = None
    table: LossTerms | None = None
    temperature: Temperature = Temperature()
    measured: list[MeasuredLine] = Field(default_factory=list)
    versions: list[str] = Field(default_factory=list)
    jacket: Jacket = Jacket()
    attenuation: list[Point] = Field(examples=["[ { frequency = ..., loss = ..., status = ..., source = ... } ]"])
    unknown: list[str] = Field(examples=['["the mass"]'])
    sources: dict[str, Source] = Field(examples=['{ b869 = { citation = "ASTM B869-04", seen = true } }'])

    @model_validator(mode="after")
    def _hangs_together(self) -> "Record":
        if self.nominal_velocity_factor.value >= 1:
            raise ValueError("a velocity factor of 1 leaves no dielectric; write the cable's own, such as 0.85.")
        parts = (self.centre, self.dielectric, self.shield)
        if (None in parts) == (self.table is None) or (self.table and parts != (None, None, None)):
            raise ValueError(
                "a cable is told by centre, dielectric and shield, or by table alone; write one of the two."
            )
        if self.centre and self.dielectric and self.dielectric.diameter.value <= self.centre.diameter.value:
            raise ValueError("the dielectric is not wider than the centre conductor; check both diameters.")
        for key in cited(self):
            if key not in self.sources:
                raise ValueError(f"the source {key!r} is not under [sources]; add it there.")
        for status in {(point.status, point.source) for point in self.attenuation}:
            rows = [point for point in self.attenuation if (point.status, point.source) == status]
            for one, next_one in pairwise(rows):
                _rising(one, next_one)
        return self


def _rising(one: Point, next_one: Point) -> None:
    where = f"at {next_one.frequency:~P} after {one.frequency:~P}"
    if not next_one.frequency > one.frequency:
        raise ValueError(f"attenuation points of one source are out of order {where}; write them in rising order.")
    if next_one.loss < one.loss and next_one.disputed is None:
        raise ValueError(f"the loss falls with frequency {where}; check both points, or say why under disputed.")


def cited(part: Any) -> Iterator[str]:
    """Yield the source keys used anywhere in a record."""
    if isinstance(part, (Cited, Point)):
        yield part.source
    elif isinstance(part, Strict):
        for name in type(part).model_fields:
            yield from cited(getattr(part, name))
    elif isinstance(part, list):
        for item in part:
            yield from cited(item)
