"""What a cable file holds: every number with its source, and what is unknown."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import Field, model_validator

from workbook.errors import InputError, shown
from workbook.schema import (
    Boolean,
    Capacitance,
    Conductivity,
    Frequency,
    Impedance,
    Length,
    LossPerLength,
    Mass,
    NonNegativeLoss,
    Resistance,
    Share,
    Strict,
    VelocityFactor,
    number,
)
from workbook.units import Quantity

Value = TypeVar("Value")


class Source(Strict):
    """Where numbers come from; `seen` is false when they are quoted from memory."""

    citation: str = Field(examples=['"ASTM B869-04, table 1"'])
    seen: Boolean = Field(examples=["false"])


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
            raise InputError("the range is out of order", remedy="write least, typical and greatest in rising order")
        return self


class Centre(Strict):
    """The centre conductor; a clad one has a range of claddings and of the steel's permeability."""

    material: Literal["copper", "copper-clad steel", "copper-clad aluminium"] = Field(examples=['"copper"'])
    diameter: Cited[Length]
    strands: Cited[Annotated[float, number(1, 1000, "7")]] | None = None
    effective_diameter: Cited[Share] | None = None
    dc_resistance: Cited[Resistance] | None = None
    cladding: Spread[Length] | None = None
    steel_conductivity: Cited[Conductivity] | None = None
    steel_permeability: Spread[Annotated[float, number(1, 1e5, "200.0")]] | None = None

    @model_validator(mode="after")
    def _clad_or_not(self) -> "Centre":
        steel = (self.cladding, self.steel_conductivity, self.steel_permeability)
        if self.material == "copper-clad steel" and None in steel:
            raise InputError(
                "a clad centre needs cladding, steel_conductivity and steel_permeability", remedy="add what is missing"
            )
        if self.material == "copper-clad aluminium" and (self.cladding is None or steel[1:] != (None, None)):
            raise InputError(
                "a centre of copper-clad aluminium needs a cladding, and no steel", remedy="correct its keys"
            )
        if self.material == "copper" and steel != (None, None, None):
            raise InputError("a copper centre has no cladding or steel", remedy='write material = "copper-clad steel"')
        if self.cladding and self.cladding.greatest.value >= self.diameter.value / 2:
            raise InputError(
                "the thickest is not thinner than the radius of the centre", where="cladding", remedy="check the unit"
            )
        if self.steel_permeability and self.steel_permeability.least.value < 1:
            raise InputError(
                "the relative permeability is below 1", where="steel_permeability", remedy="steel has 50 to 500"
            )
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
            raise InputError(
                "needs one of dc_resistance and dc_resistance_range", remedy="write a range where only that is known"
            )
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
    """One measurement on a reel of this cable, and its date."""

    date: str = Field(examples=['"2026-05-30"'])
    how: str = Field(examples=['"check frequency of 20 m, far end open"'])
    velocity_factor: Cited[VelocityFactor] | None = None
    frequency: Frequency | None = None

    @model_validator(mode="after")
    def _together(self) -> "MeasuredLine":
        if (self.velocity_factor is None) != (self.frequency is None):
            raise InputError("velocity_factor and frequency go together", remedy="write both, or neither")
        return self


class Record(Strict):
    """One cable as its file describes it: by its construction, or by a table of loss terms."""

    standard_type: str = Field(examples=['"Series 6 drop cable, foam dielectric"'])
    impedance: Cited[Impedance]
    nominal_velocity_factor: Cited[VelocityFactor]
    balanced: Boolean = False
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

    def __reduce__(self) -> tuple[Any, ...]:
        """Survive pickling, which the generic tables of a record do not."""
        return Record.model_validate, (self.model_dump(),)

    @model_validator(mode="after")
    def _consistent(self) -> "Record":
        if self.nominal_velocity_factor.value >= 1:
            raise InputError(
                "a velocity factor of 1 leaves no dielectric",
                where="nominal_velocity_factor",
                remedy="write the cable's own, such as 0.85",
            )
        parts = (self.centre, self.dielectric, self.shield)
        if (None in parts) == (self.table is None) or (self.table and parts != (None, None, None)):
            raise InputError(
                "a cable is described by centre, dielectric and shield, or by table alone",
                remedy="write one of the two",
            )
        if self.centre and self.dielectric and self.dielectric.diameter.value <= self.centre.diameter.value:
            raise InputError(
                "is not wider than the centre conductor", where="dielectric.diameter", remedy="check both diameters"
            )
        for key in cited(self):
            if key not in self.sources:
                raise InputError(f"the source {shown(key)} is not under [sources]", remedy="add it there")
        for status in {(point.status, point.source) for point in self.attenuation}:
            rows = [point for point in self.attenuation if (point.status, point.source) == status]
            for one, next_one in pairwise(rows):
                _rising(one, next_one)
        return self


def _rising(one: Point, next_one: Point) -> None:
    at = f"at {next_one.frequency:~P} after {one.frequency:~P}"
    if not next_one.frequency > one.frequency:
        raise InputError(
            f"points of one source are out of order {at}", where="attenuation", remedy="write them in rising order"
        )
    if next_one.loss < one.loss and next_one.disputed is None:
        raise InputError(
            f"the loss falls with frequency {at}",
            where="attenuation",
            remedy="check both points, or say why under disputed",
        )


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


def uncertain(record: Record) -> Iterator[str]:
    """Yield a sentence for a shield of uncertain resistance and for each published point that is not followed."""
    spread = record.shield.dc_resistance_range if record.shield else None
    if spread:
        yield (
            "low-band loss uncertain: the shield's resistance is only known to lie between "
            f"{spread.least.value:~P} and {spread.greatest.value:~P}"
        )
    for point in record.attenuation:
        if point.disputed:
            per_hundred_feet = point.loss.to("dB/m") * Quantity(30.48, "m")
            yield (
                f"{per_hundred_feet:.3g~P} per 100 ft at {point.frequency:~P} ({point.status}) is not followed: "
                f"{point.disputed}"
            )
