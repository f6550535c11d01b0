"""What a design file may hold; every refusal names the key and the remedy."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from workbook.array.ground import USUAL_GROUND, AnyGround
from workbook.checks import nearest, one_of
from workbook.design.core import CoreTable, WindingTurns
from workbook.design.directions import ArraySetup, Direction, Name
from workbook.design.hubs import AnyHub, Joined
from workbook.design.phasing import AnyPhasing
from workbook.design.reception import (
    EnvironmentTable,
    FeedTable,
    FrontEndTable,
    Price,
    ReceiverTable,
    TransmitterTable,
)
from workbook.design.site import AnyArray, Day, GroundTable, Site
from workbook.design.tolerances import ToleranceTable
from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cable_files
from workbook.line.trade_names import unknown_cable
from workbook.matching.candidates import METHODS, TRANSFORMER
from workbook.schema import (
    Delay,
    Duration,
    Frequency,
    Impedance,
    Length,
    Loss,
    NonNegativeLength,
    Strict,
    Tolerance,
    VelocityFactor,
    number,
)
from workbook.units import Quantity


def _word(known: tuple[str, ...]) -> BeforeValidator:
    """Accept one of a few words."""
    return BeforeValidator(lambda value: one_of(value, known, "value"))


def _length_units(value: Any) -> LengthUnits:
    return LengthUnits(one_of(value, tuple(LengthUnits), "value"))


def _known_cable(value: Any) -> Any:
    known = sorted(cable_files())
    if value not in known:
        raise unknown_cable(value, known)
    return value


CableName = Annotated[str, BeforeValidator(_known_cable), Field(examples=['"series-6-copper"'])]


class Cables(Strict):
    """Which cable goes where; runs are of the delay lines' cable unless the file says otherwise."""

    delay_line: CableName
    """Cable of the delay lines."""
    element_run: CableName
    """Cable of the element runs; the delay lines' cable unless given."""
    receiver_run: CableName
    """Cable of the run from the hub to the receiver; the delay lines' cable unless given."""

    @model_validator(mode="before")
    @classmethod
    def _delay_line_for_all(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and "delay_line" in data:
            # an unknown cable is one fault, not one in every run
            known = list(cable_files())
            runs = data["delay_line"] if data["delay_line"] in known else known[0]
            return {"element_run": runs, "receiver_run": runs, **data}
        return data


class Lengths(Strict):
    """Lengths that the layout does not give; without its length there is no receiver run."""

    receiver_run: Length | None = None
    """Length of the run from the hub to the receiver; leave it out for none."""
    slack: NonNegativeLength = Quantity(0.5, "m")
    """How much longer every element run is than the longest distance from an element to the hub."""


class End(Strict):
    """One connector, fitted at each end: its delay, and the cable that goes into it."""

    delay: Delay = Quantity(0.0, "s")
    """Delay of one connector."""
    strip: NonNegativeLength = Quantity(0.0, "m")
    """Length of cable that goes into one connector."""


class Ends(Strict):
    """Connectors by the kind of line."""

    delay_line: End = End()
    """Connectors of the delay lines."""
    element_run: End = End()
    """Connectors of the element runs."""


MOST_BANDS, MOST_DIRECTIONS = 24, 360
"""Greatest numbers of bands and directions; the plan's time goes with their product."""
BEST = "best"
WAYS = (BEST, *(method.name for method in METHODS))


class MatchTable(Strict):
    """How to get from the hub's impedance to the receiver's: a way by its name, or the best within the limits."""

    way: Annotated[str, _word(WAYS)] = BEST
    """Matching method, by its name in worksheet 06, or "best"."""
    source: Impedance = Quantity(75.0, "ohm")
    """Impedance of the hub's output."""
    load: Impedance = Quantity(50.0, "ohm")
    """Impedance of the receiver."""
    cables: list[CableName] | None = None
    """Cables for matching sections; all unless given."""
    most_swr: Annotated[float, number(1.001, 100, "1.2")] = 1.2
    """Highest SWR to accept."""
    most_loss: Loss = Quantity(1.0, "dB")
    """Highest loss to accept."""
    turns: WindingTurns | None = None
    """Turns of a wideband transformer, the winding at the hub first; the best for the bands unless given."""
    core: CoreTable = CoreTable()
    """Core of a wideband transformer."""

    @model_validator(mode="after")
    def _loss(self) -> "MatchTable":
        if self.most_loss.m_as("dB") <= 0:
            raise InputError("is not above 0 dB", where="most_loss", remedy='write it like most_loss = "1 dB"')
        wound = self.model_fields_set & {"turns", "core"}
        if wound and self.way not in (BEST, TRANSFORMER.name):
            raise InputError(
                f"does not go with {self.way}",
                where=sorted(wound)[-1],
                wanted=f'way = "{TRANSFORMER.name}"',
                remedy="take it out",
            )
        if self.cables == []:
            raise InputError(
                "is empty", where="cables", remedy='write ["series-6-copper", "rg-213-solid-pe"], or leave it out'
            )
        return self


ONE_REEL = ("runs and lines", "lines", "nothing")
"""What comes from one reel, since it should have one velocity factor."""


class Cutting(Strict):
    """How much longer to cut before trimming, and the error at which a line is good."""

    trim: NonNegativeLength = Quantity(0.1, "m")
    """How much longer the first cut is, for trimming."""
    accept: Tolerance | None = Field(default=None, examples=['"1 deg"'])
    """Error on the cut band at which a line is accepted; unless given it keeps RDF within 0.1 dB, F/B within 1 dB."""

    kerf: NonNegativeLength = Quantity(5.0, "mm")
    """Length of cable that each cut from a reel wastes."""
    one_reel: Annotated[str, _word(ONE_REEL)] = ONE_REEL[0]
    """What comes from one reel, as far as the stock allows: "runs and lines" (all element runs; the copies of each
    line), "lines" alone, or "nothing"."""
    time_limit: Duration = Quantity(10.0, "s")
    """Time after which the best plan for the reels that was found is taken, with its gap."""

    @model_validator(mode="after")
    def _accept(self) -> "Cutting":
        if self.accept is not None and not 0 < self.accept.m_as("degree") <= 45:
            raise InputError("lies outside 0 to 45 deg", where="accept", remedy='write for example accept = "1 deg"')
        return self


class MeasuredVelocity(Strict):
    """A velocity factor measured at a frequency."""

    value: VelocityFactor = Field(examples=["0.829"])
    """Measured velocity factor."""
    frequency: Frequency = Field(examples=['"1.83 MHz"'])
    """Frequency of the measurement."""
    date: Day = None
    """Day of the measurement, such as 2026-11-25."""


class ReelTable(Strict):
    """A reel in stock."""

    label: Name = Field(examples=['"R1"'])
    """What the reel is called."""
    cable: CableName
    """Cable on it."""
    length: Length = Field(examples=['"305 m"'])
    """Length left on it."""
    velocity_factor: VelocityFactor | None = None
    """Velocity factor measured on it."""


class DesignFile(Strict):
    """A whole design."""

    format: Annotated[Literal[1], BeforeValidator(lambda value: _format(value))] = 1
    """Version of the file format."""
    name: Name = Field(examples=['"Long Meadow"'])
    """Name of the array, printed on every sheet and label."""
    units: Annotated[LengthUnits, BeforeValidator(_length_units)] = LengthUnits.BOTH
    """How lengths are written on screen, sheets and labels: "metric", "feet" or "both"."""
    bands: dict[Name, Frequency] = Field(examples=['{ "160 m" = "1.83 MHz" }'])
    """One design frequency for each band, at most 24."""
    array: AnyArray = Field(discriminator="kind", examples=['{ kind = "ring" }'])
    """Where the elements stand."""
    ground: GroundTable | None = None
    """The ground: two numbers, or a class; 13 and 5 mS/m unless given."""
    site: Site | None = None
    """For magnetic bearings: the declination, or the place and date it follows from."""
    phasing: AnyPhasing = Field(discriminator="rule", examples=['{ rule = "aligned" }'])
    """How the delays are found."""
    directions: list[Direction] = Field(examples=['[{ name = "north", azimuth = "0 deg" }]'])
    """One [[directions]] table for each switch position, at most 360."""
    hub: AnyHub = Joined()
    """Where the runs meet the delay lines."""
    cables: Cables = Field(examples=['{ delay_line = "series-6-copper" }'])
    """Which cable goes where."""
    lengths: Lengths = Lengths()
    """Lengths that the layout does not give."""
    ends: Ends = Ends()
    """Connectors, one at each end."""
    cutting: Cutting = Cutting()
    """How lines are cut and accepted."""
    velocity_factor: dict[CableName, MeasuredVelocity] = Field(default_factory=dict)
    """Measured on the reel, by cable: "series-6-copper" = { value = 0.829, frequency = "1.84 MHz" }."""
    tolerance: ToleranceTable | None = None
    """How exactly the array is built."""
    match: MatchTable | None = None
    """How the hub's impedance is matched to the receiver's."""
    environment: EnvironmentTable | None = None
    """Noise and signals outside, and the margin wanted; goes with front_end."""
    front_end: FrontEndTable | None = None
    """The vertical with its chokes and buffer; with it the plan says how far band noise rules at the receiver."""
    receiver: ReceiverTable | None = None
    """What follows the elements; goes with front_end."""
    transmitters: list[TransmitterTable] = Field(default_factory=list)
    """One [[transmitters]] table for each transmitter of the station near the array; goes with front_end."""
    feed: FeedTable | None = None
    """Direct current to the front ends."""
    prices: dict[CableName, Price] = Field(default_factory=dict)
    """What each cable costs: "series-6-copper" = { price = 95, per = "305 m" }."""
    stock: list[ReelTable] = Field(default_factory=list)
    """One [[stock]] table for each reel in stock; with it the plan says which piece to cut from which reel."""

    @field_validator("bands", mode="before")
    @classmethod
    def _no_band_twice(cls, bands: Any) -> Any:
        names = [str(name).strip() for name in bands] if isinstance(bands, dict) else []
        for place, name in enumerate(names):
            if name in names[:place]:
                raise InputError(f"the band {shown(name)} is there twice but for spaces", remedy="keep one")
        return bands

    @field_validator("phasing")
    @classmethod
    def _lowest_band(cls, phasing: AnyPhasing, info: ValidationInfo) -> AnyPhasing:
        bands = info.data.get("bands")
        if phasing.cut_band or not bands:
            return phasing
        lowest = min(bands, key=lambda name: bands[name].m_as("Hz"))
        return phasing.model_copy(update={"cut_band": lowest})

    @model_validator(mode="after")
    def _consistent(self) -> "DesignFile":
        faults = [*_band_faults(self), *_direction_faults(self), *_reception_faults(self)]
        if faults:
            raise InputError.together(faults)
        return self

    def ground_below(self) -> AnyGround:
        """Return the ground, the usual one where the file says nothing."""
        return USUAL_GROUND if self.ground is None else self.ground.ground()

    @property
    def band_hertz(self) -> dict[str, float]:
        """Design frequencies [Hz] by band."""
        return {name: float(frequency.m_as("Hz")) for name, frequency in self.bands.items()}

    @property
    def cut_hertz(self) -> float:
        """Frequency [Hz] of the band on which lines have exactly their delay."""
        return self.band_hertz[self.phasing.cut_band]

    @property
    def accepted_error(self) -> Any:
        """The error at which a line is good, of a file or a plan that has decided about it."""
        assert self.cutting.accept is not None  # `plan.acceptance` decides
        return self.cutting.accept

    @property
    def has_receiver_run(self) -> bool:
        """Whether the design has a run from the hub to the receiver."""
        return self.lengths.receiver_run is not None

    def setup(self) -> ArraySetup:
        """Return the array that the phasing rule is solved for."""
        return ArraySetup(self.array.layout(), self.ground_below(), self.band_hertz, self.cut_hertz)


def _format(value: Any) -> Any:
    if value != 1 or isinstance(value, bool):
        raise InputError(f"{shown(value)} is not a format of this workbook", remedy="write format = 1")
    return 1


def _band_faults(design: DesignFile) -> Iterator[InputError]:
    if len(design.bands) > MOST_BANDS:
        problem = f"there are {len(design.bands)}"
        yield InputError(problem, where="bands", wanted=f"at most {MOST_BANDS} bands", remedy="make two designs")
    if not design.bands:
        yield InputError("there is no band", where="bands", remedy='write "160 m" = "1.83 MHz" under [bands]')
        return
    for name, frequency in design.bands.items():
        # between these lies everything that coaxial delay lines are cut for
        if not 1e4 <= frequency.m_as("Hz") <= 1e9:
            problem = f"{frequency:g~P} lies outside the 10 kHz to 1 GHz of cables"
            yield InputError(problem, where=f"bands.{name}", remedy=_in_megahertz(frequency.m_as("Hz")))
    band = design.phasing.cut_band
    if band not in design.bands:
        remedy = nearest(band, design.bands)
        yield InputError(f"{band!r} is not under [bands]", where="phasing.cut_band", remedy=remedy)


def _in_megahertz(hertz: float) -> str:
    """Return what to write for a frequency that is off by a prefix of its unit."""
    for factor in (1e-3, 1e3, 1e-6, 1e6):
        if 1e6 <= hertz * factor <= 1e8:
            return f'did you mean "{hertz * factor / 1e6:g} MHz"?'
    return "write it in MHz"


def _direction_faults(design: DesignFile) -> Iterator[InputError]:
    if len(design.directions) > MOST_DIRECTIONS:
        problem, wanted = f"there are {len(design.directions)}", f"at most {MOST_DIRECTIONS} directions"
        yield InputError(problem, where="directions", wanted=wanted, remedy="one a degree is more than a beam needs")
        return
    if not design.directions:
        remedy = "add [[directions]] with a name and an azimuth"
        yield InputError("there is none", where="directions", remedy=remedy)
    names = [direction.name for direction in design.directions]
    try:
        count = design.array.layout().count
    except InputError as error:
        yield _inside("array", error)
        return
    for place, direction in enumerate(design.directions, 1):
        where = f"directions[{place}]"
        if direction.name in names[: place - 1]:
            problem = f"{direction.name!r} is there twice"
            yield InputError(problem, where=f"{where}.name", remedy="give each direction its own name")
        try:
            design.phasing.check_direction(direction, count)
        except InputError as error:
            yield _inside(f"{where} ({direction.name})", error)


def _reception_faults(design: DesignFile) -> Iterator[InputError]:
    if design.front_end is None:
        for key in ("environment", "receiver", "transmitters"):
            if getattr(design, key):
                remedy = 'add [front_end] with height = "7 m" and diameter = "25 mm"'
                yield InputError("the table front_end is missing", where=key, remedy=remedy)
    for band in design.environment.entered if design.environment else ():
        if band not in design.bands:
            remedy = nearest(band, design.bands)
            yield InputError(f"{band!r} is not under [bands]", where="environment.entered", remedy=remedy)
    if design.transmitters and design.front_end and design.front_end.greatest_voltage is None:
        remedy = 'write greatest_voltage = "5 V" under [front_end]'
        yield InputError("the voltage that the buffers survive is missing", where="transmitters", remedy=remedy)
    labels = [reel.label for reel in design.stock]
    for place, name in enumerate(labels, 1):
        if name in labels[: place - 1]:
            remedy = "give each reel its own label"
            yield InputError(f"the label {shown(name)} is there twice", where=f"stock[{place}].label", remedy=remedy)


def _inside(table: str, error: InputError) -> InputError:
    """Return a refusal of a key as one of a key in a table."""
    key, *inner = error.where or ("",)
    return error.at(f"{table}.{key}".removesuffix("."), *inner)
