"""What a design file may hold; every refusal names the key and the remedy."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from workbook.array.layout import Layout, layout_from, ring, row, square
from workbook.errors import InputError, shown
from workbook.line.catalogue import cable_files
from workbook.schema import (
    Angle,
    Delay,
    DelayOrOff,
    Fraction,
    Frequency,
    Length,
    LengthOrNone,
    PhaseOrOff,
    Place,
    Strict,
)
from workbook.units import Quantity, nearest, one_of


def _word(known: tuple[str, ...], later: tuple[str, ...] = ()) -> BeforeValidator:
    """Accept one of a few words; words that the format knows but this version does not are refused by name."""

    def check(value: Any) -> Any:
        if value in later:
            raise InputError(f"{shown(value)} is not built yet; write {' or '.join(known)}.")
        return one_of(value, known, "value")

    return BeforeValidator(check)


def _known_cable(value: Any) -> Any:
    known = sorted(cable_files())
    if value not in known:
        raise InputError(f"there is no cable {shown(value)}{nearest(value, known)}")
    return value


def _text(value: Any) -> Any:
    if not isinstance(value, str) or not value.strip() or len(value) > 80 or not value.isprintable():
        raise InputError(f"{shown(value)} is no name; write 1 to 80 characters on one line.")
    return value.strip()


def _count(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int) or not 2 <= value <= 24:
        raise InputError(f"{shown(value)} makes no array; write a whole number from 2 to 24.")
    return value


Name = Annotated[str, BeforeValidator(_text)]
CableName = Annotated[str, BeforeValidator(_known_cable)]
Count = Annotated[int, BeforeValidator(_count)]


class RingArray(Strict):
    """A ring of elements."""

    kind: Literal["ring"]
    count: Count = Field(examples=["8"])
    diameter: Length = Field(examples=['"42 m"'])
    first_azimuth: Angle = "0 deg"

    def layout(self) -> Layout:
        """Return the positions."""
        return ring(self.count, self.diameter, self.first_azimuth)


class SquareArray(Strict):
    """Four elements in a square."""

    kind: Literal["square"]
    side: Length = Field(examples=['"24 m"'])
    first_azimuth: Angle = "0 deg"

    def layout(self) -> Layout:
        """Return the positions."""
        return square(self.side, self.first_azimuth)


class RowArray(Strict):
    """A straight row."""

    kind: Literal["row"]
    count: Count = Field(examples=["3"])
    spacing: Length = Field(examples=['"20 m"'])
    azimuth: Angle = Field(examples=['"45 deg"'])

    def layout(self) -> Layout:
        """Return the positions."""
        return row(self.count, self.spacing, self.azimuth)


class CustomArray(Strict):
    """Elements where they are entered to stand."""

    kind: Literal["custom"]
    positions: list[Place] = Field(examples=['[["0 m", "0 m"], ["0 m", "20 m"]]'])

    def layout(self) -> Layout:
        """Return the positions."""
        rows = [[place.m_as("m") for place in pair] for pair in self.positions]
        return layout_from(Quantity(rows or [[0.0, 0.0]], "m"))


class Phasing(Strict):
    """How delays are found, and the band on which lines have exactly theirs."""

    rule: Annotated[
        Literal["aligned", "entered"],
        _word(("aligned", "entered"), ("endfire", "greatest-rdf", "fewest-delays")),
    ] = Field(examples=['"aligned"'])
    elevation: Angle | None = None
    cut_band: Name = Field(examples=['"160 m"'])

    @model_validator(mode="after")
    def _elevation(self) -> "Phasing":
        if self.rule == "aligned" and self.elevation is None:
            raise ValueError('the key elevation is missing; write elevation = "20 deg".')
        if self.elevation is not None and not 0 <= self.elevation.m_as("degree") <= 90:
            raise ValueError(f"the elevation {self.elevation:~P} lies outside 0 to 90 deg; write one between.")
        return self


class Direction(Strict):
    """One switch position; delays or phases, one per element, where the rule is `entered`."""

    name: Name = Field(examples=['"north-east"'])
    azimuth: Angle = Field(examples=['"45 deg"'])
    delays: list[DelayOrOff] | None = None
    phases: list[PhaseOrOff] | None = None
    polarity: list[Literal[1, -1]] | None = None


class Hub(Strict):
    """Where the runs meet, and how delay lines are shared there."""

    kind: Annotated[Literal["joined", "ports"], _word(("joined", "ports"), ("ladder",))] = Field(examples=['"joined"'])
    position: Place = (Quantity(0.0, "m"), Quantity(0.0, "m"))


class Cables(Strict):
    """Which cable goes where."""

    element_run: CableName = Field(examples=['"series-6-copper"'])
    delay_line: CableName = Field(examples=['"series-6-copper"'])
    receiver_run: CableName | None = None


class Lengths(Strict):
    """Lengths that the layout does not give."""

    receiver_run: Length | None = None
    slack: LengthOrNone = Quantity(0.0, "m")


class End(Strict):
    """One connector, fitted at each end: its delay, and the cable that goes into it."""

    delay: Delay = Quantity(0.0, "s")
    strip: LengthOrNone = Quantity(0.0, "m")


class Ends(Strict):
    """Connectors by the kind of line."""

    delay_line: End = End()
    element_run: End = End()


class Cutting(Strict):
    """How much longer to cut before trimming, and the error at which a line is good."""

    trim: LengthOrNone = Field(examples=['"10 cm"'])
    accept: Angle = Quantity(1.0, "degree")

    @model_validator(mode="after")
    def _accept(self) -> "Cutting":
        if not 0 < self.accept.m_as("degree") <= 45:
            raise ValueError('accept lies outside 0 to 45 deg; write for example accept = "1 deg".')
        return self


class MeasuredVelocity(Strict):
    """A velocity factor measured at a frequency."""

    value: Fraction = Field(examples=["0.829"])
    frequency: Frequency = Field(examples=['"1.83 MHz"'])


class DesignFile(Strict):
    """A whole design."""

    format: Annotated[Literal[1], BeforeValidator(lambda value: _format(value))] = Field(examples=["1"])
    name: Name = Field(examples=['"Long Meadow"'])
    bands: dict[Name, Frequency] = Field(examples=['{ "160 m" = "1.83 MHz" }'])
    array: RingArray | SquareArray | RowArray | CustomArray = Field(
        discriminator="kind", examples=['{ kind = "ring" }']
    )
    phasing: Phasing = Field(examples=['{ rule = "aligned" }'])
    directions: list[Direction] = Field(examples=['[{ name = "north", azimuth = "0 deg" }]'])
    hub: Hub = Field(examples=['{ kind = "joined" }'])
    cables: Cables = Field(examples=['{ delay_line = "series-6-copper" }'])
    lengths: Lengths = Lengths()
    ends: Ends = Ends()
    cutting: Cutting = Field(examples=['{ trim = "10 cm" }'])
    velocity_factor: dict[CableName, MeasuredVelocity] = Field(default_factory=dict)

    @field_validator("bands", mode="before")
    @classmethod
    def _no_band_twice(cls, bands: Any) -> Any:
        names = [str(name).strip() for name in bands] if isinstance(bands, dict) else []
        for number, name in enumerate(names):
            if name in names[:number]:
                raise ValueError(f"the band {shown(name)} is there twice but for spaces; keep one.")
        return bands

    @model_validator(mode="after")
    def _whole(self) -> "DesignFile":
        if not self.bands:
            raise ValueError('bands: there is no band; write "160 m" = "1.83 MHz" under [bands].')
        for name, frequency in self.bands.items():
            # between these lies everything that coaxial delay lines are cut for
            if not 1e4 <= frequency.m_as("Hz") <= 1e9:
                raise ValueError(f"bands.{name}: {frequency:~P} is no radio frequency for cable; write it in MHz.")
        if self.phasing.cut_band not in self.bands:
            offered = nearest(self.phasing.cut_band, self.bands)
            raise ValueError(f"phasing.cut_band: {self.phasing.cut_band!r} is not under [bands]{offered}")
        if (self.cables.receiver_run is None) != (self.lengths.receiver_run is None):
            raise ValueError("lengths.receiver_run and cables.receiver_run go together; write both, or neither.")
        _check_directions(self)
        return self


def _format(value: Any) -> Any:
    if value != 1 or isinstance(value, bool):
        raise InputError(f"{shown(value)} is not a format of this workbook; write format = 1.")
    return 1


def _check_directions(design: DesignFile) -> None:
    if not design.directions:
        raise ValueError("directions: there is none; add [[directions]] with a name and an azimuth.")
    names = [direction.name for direction in design.directions]
    try:
        count = design.array.layout().count
    except InputError as error:
        raise ValueError(f"array.{error}") from None
    for number, direction in enumerate(design.directions, 1):
        where = f"directions[{number}]"
        if direction.name in names[: number - 1]:
            raise ValueError(f"{where}.name: {direction.name!r} is there twice; give each direction its own name.")
        try:
            _check_direction(direction, design.phasing.rule, count)
        except InputError as error:
            raise ValueError(f"{where} ({direction.name}).{error}") from None


def _check_direction(direction: Direction, rule: str, count: int) -> None:
    given = {key: getattr(direction, key) for key in ("delays", "phases", "polarity")}
    given = {key: row for key, row in given.items() if row is not None}
    if rule == "aligned":
        if given:
            raise InputError(f'{next(iter(given))}: goes with the rule "entered"; take it out, or change the rule.')
        return
    if ("delays" in given) == ("phases" in given):
        raise InputError('delays: the rule "entered" wants either delays or phases, one for each element; write one.')
    for key, entries in given.items():
        if len(entries) != count:
            raise InputError(f"{key}: has {len(entries)} entries, but the array has {count} elements; write {count}.")
    key = "delays" if "delays" in given else "phases"
    if all(isinstance(entry, str) for entry in given[key]):
        raise InputError(f"{key}: every element is off; leave at least one on.")
