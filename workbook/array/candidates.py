"""Candidates of the search for fewest delays: every assignment of rows to a few lines, and their RDF at many delays.

Plain SI numbers. Shapes: K candidates, M rows, L lines, F frequencies, P sets of delays (P, L).
"""

from dataclasses import dataclass
from math import comb, factorial
from typing import Any

import numpy as np

from workbook.array.ground import AnyGround, element_power
from workbook.array.layout import Rows
from workbook.array.merit import noise_matrix, steering_vector
from workbook.units import ComplexArray, FloatArray, IntArray


@dataclass(frozen=True, eq=False)
class Problem:
    """What the rows receive: signals (F, M), noise matrices (F, M, M) over one element's power, on frequencies (F,)."""

    hertz: FloatArray
    signals: ComplexArray
    noise: FloatArray
    elements: int

    @property
    def rows(self) -> int:
        """How many rows."""
        return int(self.signals.shape[1])


def problem_of(
    metres: FloatArray, rows: Rows, hertz: FloatArray, azimuth: float, elevation: float, ground: AnyGround
) -> Problem:
    """Return the problem for positions (N, 2) [m], frequencies (F,) [Hz] and a direction [rad]."""
    member = (rows.of == np.arange(rows.count)[:, None]).astype(float)
    signals, noise = [], []
    for one in hertz:
        signals.append(member @ steering_vector(metres, one, azimuth, elevation))
        noise.append(member @ noise_matrix(metres, one, ground) @ member.T / element_power(ground, one, elevation))
    return Problem(np.asarray(hertz, dtype=float), np.array(signals), np.array(noise), len(metres))


@dataclass(frozen=True, eq=False)
class Candidates:
    """Assignments: the line of every row (K, M), 0 for none, and its polarity (K, M)."""

    line: IntArray
    polarity: IntArray

    def __len__(self) -> int:
        return len(self.line)

    def __getitem__(self, which: Any) -> "Candidates":
        return Candidates(self.line[which], self.polarity[which])


def count_candidates(rows: int, lines: int, inversion: bool) -> int:
    """Return how many candidates there are: partitions of the rows, times which part has no line, times signs."""
    parts = lines + 1
    surjections = sum((-1) ** i * comb(parts, i) * (parts - i) ** rows for i in range(parts + 1))
    # lines differ by their delays alone
    return surjections // factorial(lines) * (2 ** (rows - 1) if inversion else 1)


def all_candidates(rows: int, lines: int, inversion: bool) -> Candidates:
    """Return every candidate once: renaming lines, and reversing every polarity, makes no other candidate."""
    grown = np.zeros((1, 1), dtype=int)
    for _ in range(rows - 1):
        # each further row joins a part that is there or opens the next
        choices = grown.max(axis=1) + 2
        again = np.repeat(np.arange(len(grown)), choices)
        opened = np.concatenate([np.arange(n) for n in choices])
        grown = np.column_stack((grown[again], opened))[opened <= lines]
    grown = grown[grown.max(axis=1) == lines]
    # the part without a line may be any of them: it exchanges names with part 0
    swapped = [np.where(grown == part, 0, np.where(grown == 0, part, grown)) for part in range(lines + 1)]
    line = np.concatenate(swapped)
    signs = np.ones((1, rows), dtype=int)
    if inversion:
        bits = (np.arange(2 ** (rows - 1))[:, None] >> np.arange(rows - 1)) & 1
        signs = np.column_stack((np.ones(len(bits), dtype=int), 1 - 2 * bits))
    return Candidates(np.repeat(line, len(signs), axis=0), np.tile(signs, (len(line), 1)))


@dataclass(frozen=True, eq=False)
class LineSums:
    """The rows of each candidate summed line by line: signals (K, F, L + 1), noise (K, F, L + 1, L + 1)."""

    signals: ComplexArray
    noise: FloatArray

    def __getitem__(self, which: Any) -> "LineSums":
        return LineSums(self.signals[which], self.noise[which])


def line_sums(problem: Problem, candidates: Candidates, lines: int) -> LineSums:
    """Return the sums over the rows on each line."""
    place = (candidates.line[:, None, :] == np.arange(lines + 1)[:, None]) * candidates.polarity[:, None, :].astype(
        float
    )
    signals = np.einsum("klm,fm->kfl", place, problem.signals)
    noise = np.matmul(np.matmul(place[:, None], problem.noise), place[:, None].swapaxes(-1, -2))
    return LineSums(signals, noise)


def rdf_and_gain(sums: LineSums, problem: Problem, delays: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return RDF and white-noise gain as ratios (K, F, ...) of each candidate at its own delays (K, ..., L) [s]."""
    turns = np.exp(-2j * np.pi * problem.hertz[:, None] * delays[..., None, :])
    phases = np.concatenate((np.ones((*turns.shape[:-1], 1)), turns), axis=-1)  # (K, ..., F, L + 1)
    more = delays.ndim - 2
    over = (slice(None), *(None,) * more)
    signal = np.abs(np.sum(sums.signals[over] * phases, axis=-1)) ** 2
    noise = np.einsum("...fa,...fab,...fb->...f", phases.conj(), sums.noise[over], phases, optimize=False).real
    return signal / noise, signal / problem.elements


def pair_waves(problem: Problem, delays: FloatArray) -> FloatArray:
    """Return one, then cosines and sines of the phases between lines (F, 1 + 2 pairs, P), for sets of delays (P, L)."""
    one, other = np.triu_indices(delays.shape[1] + 1, 1)
    phase = 2 * np.pi * problem.hertz[:, None, None] * np.insert(delays, 0, 0.0, axis=1).T
    apart = phase[:, other] - phase[:, one]
    return np.concatenate((np.ones_like(phase[:, :1]), np.cos(apart), np.sin(apart)), axis=1)


def least_rdf_table(
    sums: LineSums, problem: Problem, waves: FloatArray, limit: float | None, floor: float = -np.inf
) -> tuple[IntArray, FloatArray]:
    """Return which candidates (K,) reach a floor anywhere, and their least RDF over the frequencies (K, P), a ratio.

    Both powers are sums over pairs of lines of the cosines and sines of `pair_waves`, which are the same for all
    candidates, so that products of matrices compute them. A candidate short of the white-noise gain is penalised. One
    that is below the floor at every set of delays on the first frequencies is left out: the others only lower it.
    """
    one, other = np.triu_indices(sums.signals.shape[-1], 1)
    pairs = 2 * sums.signals[..., one].conj() * sums.signals[..., other]
    alone = (np.abs(sums.signals) ** 2).sum(axis=-1, keepdims=True)
    total = np.trace(sums.noise, axis1=-2, axis2=-1)[..., None]
    signals = np.concatenate((alone, pairs.real, pairs.imag), axis=-1)
    noises = np.concatenate((total, 2 * sums.noise[..., one, other]), axis=-1)
    kept = np.arange(len(alone))
    least = weakest = table = np.full((len(alone), waves.shape[-1]), np.inf)
    for number, on_band in enumerate(waves):
        signal, noise = signals[kept, number] @ on_band, noises[kept, number] @ on_band[: noises.shape[-1]]
        # where lines cancel, rounding must not leave a negative power
        np.maximum(signal, 1e-16 * alone[kept, number], out=signal)
        least = np.minimum(least, np.divide(signal, noise, out=noise), out=noise)
        weakest = np.minimum(weakest, signal, out=signal)
        table = least if limit is None else penalised(least, weakest, limit * problem.elements)
        high = ~(table.max(axis=1) < floor)
        if not high.all():
            kept, least, weakest, table = kept[high], least[high], weakest[high], table[high]
    return kept, table


def penalised(ratio: FloatArray, white_noise_gain: FloatArray, limit: float) -> FloatArray:
    """Return a ratio reduced steeply where the white-noise gain is below its limit."""
    share = np.asarray(white_noise_gain / limit)
    np.minimum(share, 1.0, out=share)
    # three squares in place are far quicker than an eighth power
    for _ in range(3):
        np.square(share, out=share)
    return np.asarray(np.multiply(ratio, share, out=share))
