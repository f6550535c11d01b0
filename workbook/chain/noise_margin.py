"""How far external noise at the receiver lies above everything internal, array and chain together."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from workbook.array.firing import Firing
from workbook.array.pattern import noise_gain, signal_gain
from workbook.checks import check_broadcast, instance, not_negative, real
from workbook.errors import InputError, shown
from workbook.formulas.noise import available_power
from workbook.receive.noise import Stage, check_stages, decibels, ratio
from workbook.units import Floats, Gain, Quantity, with_unit


class Contribution(NamedTuple):
    """What one part of the chain adds: its name, and its noise over kT0B at the last stage's input [dB]."""

    name: str
    level: Gain


@dataclass(frozen=True)
class NoiseMargin:
    """External noise against internal noise at the input of the last stage, all levels in dB over kT0B.

    `margin` = `external` over the sum of `front_end` (the elements' own noise) and `chain` (that of the stages);
    `contributions`: each internal part by itself. All have one shape: the weights' leading axes, and those of arrays in
    the stages.
    """

    margin: Gain
    external: Gain
    front_end: Gain
    chain: Gain
    contributions: tuple[Contribution, ...]

    @property
    def limit(self) -> str:
        """Name of the internal part that adds most, by its mean over leading axes."""
        return max(self.contributions, key=lambda part: float(np.mean(part.level.m_as("dB")))).name


def noise_margin(firing: Firing, external: Gain, element: Stage, stages: Iterable[Stage]) -> NoiseMargin:
    """Return the margin of external noise over internal noise at the input of the last stage.

    External noise comes through the array by `noise_gain`, w^H B w / B(0), the elements' own noise by the sum of |w|^2,
    and the noise of the stages once. A small array loses far more external noise than noise of its elements: N
    elements in phase raise external noise by 20 log N and their own by 10 log N.

    Parameters
    ----------
    firing
        The array with one beam; losses between elements and hub are inside its weights.
    external
        External noise Fa in dB over kT0B.
    element
        The stage behind each element.
    stages
        The stages from the hub to the receiver, in this order.

    Returns
    -------
    NoiseMargin
        Levels in dB, shape of the weights' leading axes.

    Raises
    ------
    InputError
        When an argument is of another kind.

    Examples
    --------
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> one = Firing(row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "20 deg", PERFECT_GROUND)
    >>> element, receiver = Stage("element", "-20 dB", "25 dB"), Stage("receiver", "0 dB", "10 dB")
    >>> noise_margin(one, "46.1 dB", element, [receiver]).margin.m_as("dB")
    15.3
    """
    level = real(external, "dB", "external")
    instance(element, Stage, "element", "make one by wb.Stage('element', '-20 dB', '25 dB')")
    row = check_stages(stages)
    received = ratio(noise_gain(firing).m_as("dB"))  # checks the firing
    check_broadcast(received, level, element.power_gain, *(stage.power_gain for stage in row))
    # gain from each stage's input to the last stage's input
    onward: list[Floats] = [np.ones(())]
    for stage in reversed(row[:-1]):
        onward.insert(0, stage.power_gain * onward[0])
    front = element.power_gain * onward[0]
    inside = element.excess * np.sum(np.abs(firing.weights) ** 2, axis=-1) * front
    parts = [stage.excess * gain for stage, gain in zip(row, onward, strict=False)]
    outside, inside, *parts = np.broadcast_arrays(ratio(level) * received * front, inside, *parts)
    chain = sum(parts, np.zeros(outside.shape))
    named = zip(("front ends", *(stage.name for stage in row)), (inside, *parts), strict=True)
    with np.errstate(divide="ignore"):
        margin = decibels(outside / (inside + chain))
    contributions = tuple(Contribution(name, decibels(part)) for name, part in named)
    return NoiseMargin(margin, decibels(outside), contributions[0].level, decibels(chain), contributions)


def one_margin(margin: NoiseMargin, where: tuple[int, ...]) -> NoiseMargin:
    """Return the margin of one case, by its indices, where the levels are arrays."""
    parts = tuple(Contribution(part.name, part.level[where]) for part in margin.contributions)
    return NoiseMargin(
        margin.margin[where], margin.external[where], margin.front_end[where], margin.chain[where], parts
    )


class LeastMargin(NamedTuple):
    """The least of several margins: which case, how much [dB], and the internal part that adds most there."""

    case: str
    margin: Gain
    limit: str


def least_margin(margins: Mapping[str, NoiseMargin]) -> LeastMargin:
    """Return the least of several margins, over directions and bands by name.

    Parameters
    ----------
    margins
        Name of a direction or band -> its margin; a margin with leading axes counts by its least.

    Returns
    -------
    LeastMargin
        Margin in dB.

    Raises
    ------
    InputError
        When there is none.
    """
    remedy = "write {'160 m': wb.noise_margin(...)}"
    if not isinstance(margins, Mapping) or not margins:
        raise InputError(f"got {shown(margins)}", where="margins", wanted="names with their margins", remedy=remedy)
    for each in margins.values():
        instance(each, NoiseMargin, "margins", remedy)
    case, found = min(margins.items(), key=lambda pair: float(np.min(pair[1].margin.m_as("dB"))))
    return LeastMargin(case, with_unit(np.min(found.margin.m_as("dB")), "dB"), found.limit)


class SignalLevel(NamedTuple):
    """Level of a signal at the input of a stage [dBm]."""

    stage: str
    level: Quantity


def signal_levels(firing: Firing, field: Quantity, element: Stage, stages: Iterable[Stage]) -> tuple[SignalLevel, ...]:
    """Return how strong a signal from the firing's direction is at the input of every stage.

    A short lossless vertical on perfect ground offers E^2/(160 ohm k^2) in a field E, whatever its height; the
    element's gain, the array's signal gain and the stages before follow.

    Parameters
    ----------
    firing
        The array with one beam.
    field
        Vertical field strength at the array, rms.
    element
        The stage behind each element.
    stages
        The stages from the hub to the receiver; the last is usually the receiver.

    Returns
    -------
    tuple of SignalLevel
        Levels in dBm, one per stage.

    Raises
    ------
    InputError
        When an argument is of another kind, or the field strength is negative.
    """
    strength = not_negative(field, "V/m", "field")
    instance(element, Stage, "element", "make one by wb.Stage('element', '-20 dB', '25 dB')")
    row = check_stages(stages)
    level = signal_gain(firing).m_as("dB") + element.gain.m_as("dB")
    with np.errstate(divide="ignore"):
        level = level + 10 * np.log10(available_power(strength, firing.frequency.m_as("Hz")) * 1e3)
    found = []
    for stage in row:
        found.append(SignalLevel(stage.name, with_unit(level, "dBm")))
        level = level + stage.gain.m_as("dB")
    return tuple(found)
