"""Figures of a block of trials on plain numbers: RDF by the noise form, ratios of front to back, rear and null."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np

from workbook.array.ground import AnyGround
from workbook.array.merit import NO_BACK
from workbook.tolerance import lobes
from workbook.tolerance.model import AsBuilt, Model
from workbook.units import ComplexArray, Float32Array, FloatArray


@dataclass(frozen=True, eq=False)
class Block:
    """A block of trials; what several figures need is computed once."""

    model: Model
    built: AsBuilt

    @cached_property
    def toward(self) -> ComplexArray:
        """Phases of a wave from the firing's direction (N, T)."""
        return lobes.steering(self.model, self.built, *self.model.across)

    @cached_property
    def front(self) -> FloatArray:
        """Power toward the firing's direction, without the element's own (T,)."""
        return power(self.built.weights * self.toward)

    @cached_property
    def noise(self) -> FloatArray:
        """Noise received from the whole sky, w^H B w (T,)."""
        return noise_power(self.model, self.built)


def power(parts: ComplexArray) -> FloatArray:
    """Return |sum over the elements|^2 of parts (N, T)."""
    total = parts.sum(axis=0)
    return total.real**2 + total.imag**2


def noise_power(model: Model, built: AsBuilt) -> FloatArray:
    """Return w^H B w of each trial (T,), with B at the distances of its own elements where they vary."""
    real, imaginary = built.weights.real, built.weights.imag
    if built.moved is None or model.series is None:
        each = np.einsum("nt,nt->t", real, model.noise @ real)
        return each + np.einsum("nt,nt->t", imaginary, model.noise @ imaginary)
    pairs = np.zeros(real.shape[-1])
    start, count = 0, len(real)
    east, north = model.metres.T[:, :, None] + built.moved
    for first in range(count - 1):
        several = slice(start, start + count - 1 - first)
        squares = (east[first + 1 :] - east[first]) ** 2
        squares += (north[first + 1 :] - north[first]) ** 2
        common = model.series.averages(several, squares)
        common *= real[first] * real[first + 1 :] + imaginary[first] * imaginary[first + 1 :]
        pairs += common.sum(axis=0)
        start = several.stop
    alone = np.einsum("nt,nt->t", real, real) + np.einsum("nt,nt->t", imaginary, imaginary)
    return model.series.alone * alone + 2 * pairs


def _rdf(block: Block) -> FloatArray:
    return _decibels(block.front * block.model.element_power, block.noise)


def _front_to_back(block: Block) -> FloatArray:
    # a half turn of azimuth turns every phase round
    return _decibels(block.front, power(block.built.weights * block.toward.conj()))


def _front_to_rear(block: Block) -> FloatArray:
    return _decibels(block.front * block.model.element_power, lobes.greatest_behind(block.model, block.built))


def _null_depth(block: Block) -> FloatArray:
    across = lobes.toward(block.model, block.model.null_turn)
    return _decibels(block.front, power(block.built.weights * lobes.steering(block.model, block.built, *across)))


def _pointing(block: Block) -> FloatArray:
    return np.degrees(lobes.peak_turn(block.model, block.built))


def _decibels(front: FloatArray, other: FloatArray) -> FloatArray:
    """Return a ratio in dB, infinite where the other is only rounding."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return 10 * np.log10(np.where(other < NO_BACK * front, np.inf, front / other))


FIGURES: Mapping[str, tuple[Callable[[Block], FloatArray], str]] = MappingProxyType(
    {
        "rdf": (_rdf, "dB"),
        "front_to_back": (_front_to_back, "dB"),
        "front_to_rear": (_front_to_rear, "dB"),
        "null_depth": (_null_depth, "dB"),
        "pointing": (_pointing, "degree"),
    }
)
"""Figures that trials can have, and their units."""


def prepared(model: Model, ground: AnyGround, names: tuple[str, ...]) -> Model:
    """Return the model with what some of the figures need beside the rest."""
    if "null_depth" in names:
        model = replace(model, null_turn=lobes.nominal_null(model)[0])
    if "front_to_rear" in names:
        model = replace(model, element=lobes.element_table(ground, model.hertz))
    return model


def figures_of(model: Model, built: AsBuilt, names: tuple[str, ...]) -> FloatArray:
    """Return the wanted figures of each trial (F, T)."""
    block = Block(model, built)
    return np.stack([FIGURES[name][0](block) for name in names])


def run_blocks(model: Model, names: tuple[str, ...], seed: int, first: int, count: int) -> Float32Array:
    """Return the figures of several blocks of trials in their order, float32 (F, count * BLOCK); a worker's task."""
    blocks = range(first, first + count)
    found = [figures_of(model, model.built(seed, block), names).astype(np.float32) for block in blocks]
    return np.concatenate(found, axis=1)
