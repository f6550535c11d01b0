"""What a design file may hold; every refusal names the key and the remedy."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from workbook.array.fewest import MOST_LINES
from workbook.array.ground import USUAL_GROUND, AnyGround
from workbook.checks import nearest, one_of
from workbook.design.site import AnyArray, GroundTable, Site
from workbook.errors import InputError, shown
from workbook.line.catalogue import cable_files
from workbook.matching.candidates import METHODS
from workbook.schema import (
    Angle,
    Boolean,
    Delay,
    DelayOrOff,
    Frequency,
    Gain,
    Impedance,
    Length,
    Loss,
    NonNegativeLength,
    PhaseOrOff,
    Place,
    Strict,
    VelocityFactor,
    number,
)
from workbook.units import Quantity


def _word(known: tuple[str, ...]) -> BeforeValidator:
    """Accept one of a few words."""
    return BeforeValidator(lambda value: one_of(value, known, "value"))


def _lines(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= MOST_LINES:
        raise InputError(f"{shown(value)} is no number of delay lines to search", remedy=f"write 1 to {MOST_LINES}")
    return value


def _known_cable(value: Any) -> Any:
    known = sorted(cable_files())
    if value not in known:
        raise InputError(f"there is no cable {shown(value)}", remedy=f"{nearest(value, known)}")
    return value


def _text(value: Any) -> Any:
    if not isinstance(value, str) or not value.strip() or len(value) > 80 or not value.isprintable():
        raise InputError(f"{shown(value)} is no name", remedy="write 1 to 80 characters on one line")
    return value.strip()


Name = Annotated[str, BeforeValidator(_text)]
CableName = Annotated[str, BeforeValidator(_known_cable)]


RULES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "aligned": (),
        "entered": (),
        "endfire": ("null_elevation", "polarity_inversion"),
        "greatest-rdf": ("least_white_noise_gain", "polarity_inversion"),
        "fewest-delays": ("lines", "polarity_inversion", "least_white_noise_gain"),
    }
)
"""The phasing rules, and the keys that go with each."""


class Phasing(Strict):
    """How delays are found, and the band on which lines have exactly theirs."""

    rule: Annotated[str, _word(tuple(RULES))] = Field(examples=['"aligned"'])
    elevation: Angle | None = None
    cut_band: Name = Field(examples=['"160 m"'])
    null_elevation: Angle | None = None
    polarity_inversion: Boolean | None = None
    least_white_noise_gain: Gain | None = None
    lines: Annotated[int, BeforeValidator(_lines)] | None = None

    @model_validator(mode="after")
    def _whole(self) -> "Phasing":
        if self.rule != "entered" and self.elevation is None:
            raise ValueError('the key elevation is missing; write elevation = "20 deg".')
        for key in ("elevation", "null_elevation"):
            value = getattr(self, key)
            if value is not None and not 0 <= value.m_as("degree") <= 90:
                raise ValueError(f"the {key} {value:~P} lies outside 0 to 90 deg; write one between.")
        for key in ("null_elevation", "polarity_inversion", "least_white_noise_gain", "lines"):
            if getattr(self, key) is not None and key not in RULES[self.rule]:
                rules = " or ".join(f'"{rule}"' for rule, keys in RULES.items() if key in keys)
                raise ValueError(f"{key}: goes with the rule {rules}; take it out, or change the rule.")
        for rule, key, example in (
            ("greatest-rdf", "least_white_noise_gain", '"-8 dB"'),
            ("fewest-delays", "lines", 2),
        ):
            if self.rule == rule and getattr(self, key) is None:
                raise ValueError(f"the key {key} is missing; write {key} = {example}.")
        return self


class Direction(Strict):
    """One switch position; delays or phases, one per element, where the rule is `entered`."""

    name: Name = Field(examples=['"north-east"'])
    azimuth: Angle = Field(examples=['"45 deg"'])
    delays: list[DelayOrOff] | None = None
    phases: list[PhaseOrOff] | None = None
    polarity: list[Literal[1, -1]] | None = None


HUBS = ("joined", "ports", "ladder")


class Hub(Strict):
    """Where the runs meet, and how delay lines are shared there."""

    kind: Annotated[str, _word(HUBS)] = Field(examples=['"joined"'])
    position: Place = (Quantity(0.0, "m"), Quantity(0.0, "m"))
    merge: Angle | None = None
    source_impedance: Impedance | None = None
    port_impedance: Impedance | None = None
    summing_impedance: Impedance | None = None
    source_tolerance: Annotated[float, number(0, 0.9, "0.05")] = 0.0
    port_tolerance: Annotated[float, number(0, 0.9, "0.05")] = 0.0

    @model_validator(mode="after")
    def _both_ends(self) -> "Hub":
        if self.merge is not None and not 0 < self.merge.m_as("degree") <= 30:
            raise ValueError('merge: lies outside 0 to 30 deg; write for example merge = "1 deg".')
        if (self.source_impedance is None) != (self.port_impedance is None):
            raise ValueError(
                'source_impedance and port_impedance go together; write both, such as "75 ohm", or neither.'
            )
        if self.summing_impedance is not None and (self.kind == "ports" or self.source_impedance is None):
            raise ValueError(
                "summing_impedance: goes with source_impedance in a hub that sums before its lines, joined or ladder; "
                "take it out."
            )
        if self.source_impedance is None and (self.source_tolerance or self.port_tolerance):
            raise ValueError('source_tolerance and port_tolerance go with source_impedance = "75 ohm"; write that too.')
        return self


class Cables(Strict):
    """Which cable goes where."""

    element_run: CableName = Field(examples=['"series-6-copper"'])
    delay_line: CableName = Field(examples=['"series-6-copper"'])
    receiver_run: CableName | None = None


class Lengths(Strict):
    """Lengths that the layout does not give."""

    receiver_run: Length | None = None
    slack: NonNegativeLength = Quantity(0.0, "m")


class End(Strict):
    """One connector, fitted at each end: its delay, and the cable that goes into it."""

    delay: Delay = Quantity(0.0, "s")
    strip: NonNegativeLength = Quantity(0.0, "m")


class Ends(Strict):
    """Connectors by the kind of line."""

    delay_line: End = End()
    element_run: End = End()


BEST = "best"
WAYS = (BEST, *(method.name for method in METHODS))


class MatchTable(Strict):
    """How to get from the hub's impedance to the receiver's: a way by its name, or the best within the limits."""

    way: Annotated[str, _word(WAYS)] = BEST
    source: Impedance = Quantity(75.0, "ohm")
    load: Impedance = Quantity(50.0, "ohm")
    cables: list[CableName] | None = None
    most_swr: Annotated[float, number(1.001, 100, "1.2")] = 1.2
    most_loss: Loss = Quantity(1.0, "dB")

    @model_validator(mode="after")
    def _loss(self) -> "MatchTable":
        if self.most_loss.m_as("dB") <= 0:
            raise ValueError('most_loss: is not above 0 dB; write it like most_loss = "1 dB".')
        if self.cables == []:
            raise ValueError('cables: is empty; write ["series-6-copper", "rg-213-solid-pe"], or leave it out.')
        return self


class Cutting(Strict):
    """How much longer to cut before trimming, and the error at which a line is good."""

    trim: NonNegativeLength = Field(examples=['"10 cm"'])
    accept: Angle = Quantity(1.0, "degree")

    @model_validator(mode="after")
    def _accept(self) -> "Cutting":
        if not 0 < self.accept.m_as("degree") <= 45:
            raise ValueError('accept lies outside 0 to 45 deg; write for example accept = "1 deg".')
        return self


class MeasuredVelocity(Strict):
    """A velocity factor measured at a frequency."""

    value: VelocityFactor = Field(examples=["0.829"])
    frequency: Frequency = Field(examples=['"1.83 MHz"'])


class DesignFile(Strict):
    """A whole design."""

    format: Annotated[Literal[1], BeforeValidator(lambda value: _format(value))] = Field(examples=["1"])
    name: Name = Field(examples=['"Long Meadow"'])
    bands: dict[Name, Frequency] = Field(examples=['{ "160 m" = "1.83 MHz" }'])
    array: AnyArray = Field(discriminator="kind", examples=['{ kind = "ring" }'])
    ground: GroundTable | None = None
    site: Site | None = None
    phasing: Phasing = Field(examples=['{ rule = "aligned" }'])
    directions: list[Direction] = Field(examples=['[{ name = "north", azimuth = "0 deg" }]'])
    hub: Hub = Field(examples=['{ kind = "joined" }'])
    cables: Cables = Field(examples=['{ delay_line = "series-6-copper" }'])
    lengths: Lengths = Lengths()
    ends: Ends = Ends()
    cutting: Cutting = Field(examples=['{ trim = "10 cm" }'])
    velocity_factor: dict[CableName, MeasuredVelocity] = Field(default_factory=dict)
    match: MatchTable | None = None

    @field_validator("bands", mode="before")
    @classmethod
    def _no_band_twice(cls, bands: Any) -> Any:
        names = [str(name).strip() for name in bands] if isinstance(bands, dict) else []
        for place, name in enumerate(names):
            if name in names[:place]:
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
            offered = f"; {nearest(self.phasing.cut_band, self.bands)}"
            raise ValueError(f"phasing.cut_band: {self.phasing.cut_band!r} is not under [bands]{offered}")
        if (self.cables.receiver_run is None) != (self.lengths.receiver_run is None):
            raise ValueError("lengths.receiver_run and cables.receiver_run go together; write both, or neither.")
        _check_directions(self)
        return self

    def ground_below(self) -> AnyGround:
        """Return the ground, the usual one where the file says nothing."""
        return USUAL_GROUND if self.ground is None else self.ground.ground()


def _format(value: Any) -> Any:
    if value != 1 or isinstance(value, bool):
        raise InputError(f"{shown(value)} is not a format of this workbook", remedy="write format = 1")
    return 1


def _check_directions(design: DesignFile) -> None:
    if not design.directions:
        raise ValueError("directions: there is none; add [[directions]] with a name and an azimuth.")
    names = [direction.name for direction in design.directions]
    try:
        count = design.array.layout().count
    except InputError as error:
        raise ValueError(f"array.{error}") from None
    for place, direction in enumerate(design.directions, 1):
        where = f"directions[{place}]"
        if direction.name in names[: place - 1]:
            raise ValueError(f"{where}.name: {direction.name!r} is there twice; give each direction its own name.")
        try:
            _check_direction(direction, design.phasing.rule, count)
        except InputError as error:
            raise ValueError(f"{where} ({direction.name}).{error}") from None


def _check_direction(direction: Direction, rule: str, count: int) -> None:
    given = {key: getattr(direction, key) for key in ("delays", "phases", "polarity")}
    given = {key: row for key, row in given.items() if row is not None}
    if rule != "entered":
        if given:
            raise InputError(
                'goes with the rule "entered"', where=str(next(iter(given))), remedy="take it out, or change the rule"
            )
        return
    if ("delays" in given) == ("phases" in given):
        raise InputError(
            'the rule "entered" wants either delays or phases, one for each element', where="delays", remedy="write one"
        )
    for key, entries in given.items():
        if len(entries) != count:
            raise InputError(
                f"has {len(entries)} entries, but the array has {count} elements", where=key, remedy=f"write {count}"
            )
    key = "delays" if "delays" in given else "phases"
    if all(isinstance(entry, str) for entry in given[key]):
        raise InputError("every element is off", where=key, remedy="leave at least one on")
