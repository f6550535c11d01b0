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
    noise = np.einsum("kam,fmn,kbn->kfab", place, problem.noise, place, optimize=True)
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


def least_rdf_table(sums: LineSums, problem: Problem, delays: FloatArray, limit: float | None) -> FloatArray:
    """Return the least RDF over the frequencies (K, P), a ratio, of every candidate at every set of delays (P, L).

    Both powers are sums over pairs of lines of cosines and sines of phase differences, the same for all candidates, so
    one product of matrices computes them all. A candidate short of the white-noise gain is penalised.
    """
    one, other = np.triu_indices(sums.signals.shape[-1], 1)
    least = np.full((len(sums.signals), len(delays)), np.inf)
    weakest = least.copy()
    for number, hertz in enumerate(problem.hertz):
        phase = np.column_stack((np.zeros(len(delays)), 2 * np.pi * hertz * delays))
        apart = phase[:, other] - phase[:, one]
        cosines, sines = np.cos(apart).T, np.sin(apart).T
        signals, common = sums.signals[:, number], sums.noise[:, number]
        pairs = 2 * signals[:, one].conj() * signals[:, other]
        alone = (np.abs(signals) ** 2).sum(axis=1)[:, None]
        # where lines cancel, rounding must not leave a negative power
        signal = np.maximum(alone + pairs.real @ cosines + pairs.imag @ sines, 1e-16 * alone)
        noise = np.trace(common, axis1=1, axis2=2)[:, None] + 2 * common[:, one, other] @ cosines
        np.minimum(least, signal / noise, out=least)
        if limit is not None:
            np.minimum(weakest, signal, out=weakest)
    return least if limit is None else penalised(least, weakest / problem.elements, limit)


def penalised(ratio: FloatArray, white_noise_gain: FloatArray, limit: float) -> FloatArray:
    """Return a ratio reduced steeply where the white-noise gain is below its limit."""
    return np.asarray(ratio * np.minimum(1.0, white_noise_gain / limit) ** 8)
