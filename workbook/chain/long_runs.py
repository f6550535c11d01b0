"""Long runs of cable from elements to hub and from hub to receiver: the bands, lengths and feed they are made for."""

from dataclasses import dataclass
from typing import NamedTuple

from workbook.array.firing import Firing
from workbook.chain.noise_margin import NoiseMargin, noise_margin
from workbook.checks import instance, not_negative, positive, real, single, whole_number
from workbook.errors import InputError
from workbook.receive.dc_feed import DcFeed, FeedRun, dc_feed
from workbook.receive.noise import Stage, cascade, check_stages, passive_stage
from workbook.units import FloatArray, Gain, Impedance, Length, Quantity


@dataclass(frozen=True)
class ReceiveBand:
    """One band: the array, the noise outside, and everything of the chain but the runs to be compared.

    Parameters
    ----------
    name
        Name of the band, and of the direction where several are compared.
    firing
        The array with one beam; its weights hold what delay lines and hub lose per channel.
    external
        External noise Fa in dB, such as ``external_noise("1.83 MHz", "quiet rural")``.
    element
        The stage at each element, before the element run.
    before, after
        Stages between hub and receiver run, and from there to the receiver.
    source
        Where the noise level is from, for tables.

    Raises
    ------
    InputError
        When a part is of another kind, or the weights carry leading axes.
    """

    name: str
    firing: Firing
    external: Gain
    element: Stage
    before: tuple[Stage, ...] = ()
    after: tuple[Stage, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        """Check every part."""
        instance(self.name, str, "name", "write the band's name, such as '160 m'")
        instance(self.firing, Firing, "firing", "make one by wb.Firing(layout, weights, ...)")
        if self.firing.weights.ndim > 1:
            raise InputError("several sets of weights at once", where="firing", remedy="give a band for each")
        instance(self.source, str, "source", "write where the noise level is from")
        object.__setattr__(self, "external", Quantity(single(real(self.external, "dB", "external"), "external"), "dB"))
        instance(self.element, Stage, "element", "make one by wb.Stage('element', '-20 dB', '25 dB')")
        object.__setattr__(self, "before", check_stages(self.before, "before"))
        object.__setattr__(self, "after", check_stages(self.after, "after"))
        if not self.after:
            raise InputError(
                "the receiver is missing", where="after", remedy="add wb.Stage('receiver', '0 dB', '10 dB')"
            )


class ChainStages(NamedTuple):
    """The stages of a chain but for the runs: at each element, from hub to receiver run, from there on."""

    element: Stage
    before: tuple[Stage, ...]
    after: tuple[Stage, ...]


def band_margin(band: ReceiveBand, element_loss: FloatArray, receiver_loss: FloatArray) -> NoiseMargin:
    """Return the noise margins with element runs and receiver run of these losses, plain arrays [dB]."""
    stages = ChainStages(band.element, band.before, band.after)
    return chain_margin(band.firing, band.external, stages, element_loss, receiver_loss)


def chain_margin(
    firing: Firing, external: Gain, stages: ChainStages, element_loss: FloatArray, receiver_loss: FloatArray
) -> NoiseMargin:
    """Return the same for weights of any shape."""
    # the noise figure of the cascade holds the stage's own temperature already
    gain, figure = cascade([stages.element, _run_stage("element run", element_loss)])
    element, run = Stage(stages.element.name, gain, figure), _run_stage("receiver run", receiver_loss)
    return noise_margin(firing, external, element, (*stages.before, run, *stages.after))


def _run_stage(name: str, loss: FloatArray) -> Stage:
    return passive_stage(name, Quantity(loss, "dB"))


@dataclass(frozen=True)
class CableRuns:
    """The runs to be made of one cable.

    Parameters
    ----------
    element_run
        Length from an element to the hub, 0 m where those runs are not compared.
    elements
        How many element runs there are, and how many front ends are fed.
    receiver_run
        Length from the hub to the receiver, 0 m where that run is not compared.

    Raises
    ------
    InputError
        When a length is negative, or both are zero.
    """

    element_run: Length = "0 m"
    elements: int = 1
    receiver_run: Length = "0 m"

    def __post_init__(self) -> None:
        """Check the lengths."""
        for name in ("element_run", "receiver_run"):
            plain = single(not_negative(getattr(self, name), "m", name), name)
            object.__setattr__(self, name, Quantity(plain, "m"))
        whole_number(self.elements, "elements", 1, 64)
        if not self.total.magnitude:
            raise InputError("both runs have no length", where="element_run", remedy="give at least one a length")

    @property
    def total(self) -> Length:
        """Length of cable in all [m]."""
        return self.element_run * self.elements + self.receiver_run


@dataclass(frozen=True)
class DcSupply:
    """How the front ends are fed.

    Parameters
    ----------
    supply, least_voltage, current
        Voltage at the receiver's end, what a front end needs, and its current.
    pair_resistance
        Loop resistance per length of a separate pair; None to feed over the coax. The pair is common practice (no
        published source): moisture in a joint that carries direct current makes noise.
    """

    supply: Quantity
    least_voltage: Quantity
    current: Quantity
    pair_resistance: Impedance | None = None

    def __post_init__(self) -> None:
        """Check every figure."""
        for name, unit, check in (
            ("supply", "V", positive),
            ("least_voltage", "V", positive),
            ("current", "A", not_negative),
            ("pair_resistance", "ohm/m", not_negative),
        ):
            if name != "pair_resistance" or self.pair_resistance is not None:
                object.__setattr__(self, name, Quantity(single(check(getattr(self, name), unit, name), name), unit))


def voltage_over(
    runs: CableRuns, supply: DcSupply, loop_resistance: Impedance, receiver_loop: Impedance | None = None
) -> DcFeed:
    """Return what arrives over these runs, by coax of this loop resistance or by the supply's own pair.

    The receiver run has a loop resistance of its own where one is given.
    """
    pair = supply.pair_resistance
    element = loop_resistance if pair is None else pair
    receiver = receiver_loop if pair is None and receiver_loop is not None else element
    row = [
        FeedRun("receiver run", runs.receiver_run, receiver, runs.elements),
        FeedRun("element run", runs.element_run, element),
    ]
    return dc_feed(supply.supply, supply.least_voltage, supply.current, [run for run in row if run.length.magnitude])
