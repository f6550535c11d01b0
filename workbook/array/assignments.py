"""Every way of putting rows on a few delay lines, and the RDF of many such ways at many delays; plain SI numbers.

Shapes: K ways, M rows, L lines, F frequencies, P sets of delays (P, L).
"""

from dataclasses import dataclass
from math import comb
from typing import Any

import numpy as np

from workbook.array.ground import AnyGround, element_power
from workbook.array.merit import noise_matrix, steering_vector
from workbook.array.rows import Rows


@dataclass(frozen=True, eq=False)
class Task:
    """What the rows receive: signals (F, M) complex, common noise (F, M, M), over one element's power (F,)."""

    hertz: Any
    signals: Any
    noise: Any
    elements: int

    @property
    def rows(self) -> int:
        """How many rows."""
        return int(self.signals.shape[1])


def task(metres: Any, rows: Rows, hertz: Any, azimuth: float, elevation: float, ground: AnyGround) -> Task:
    """Return the task for positions [m], frequencies (F,) [Hz] and a direction [rad]."""
    member = (rows.of == np.arange(rows.count)[:, None]).astype(float)
    signals, noise = [], []
    for one in hertz:
        power = element_power(ground, one, elevation)
        signals.append(member @ steering_vector(metres, one, azimuth, elevation))
        noise.append(member @ noise_matrix(metres, one, ground) @ member.T / power)
    return Task(np.asarray(hertz, dtype=float), np.array(signals), np.array(noise), len(metres))


@dataclass(frozen=True, eq=False)
class Ways:
    """Ways: the line of every row (K, M), 0 for none, and its polarity (K, M)."""

    line: Any
    polarity: Any

    def __len__(self) -> int:
        return len(self.line)

    def __getitem__(self, which: Any) -> "Ways":
        return Ways(self.line[which], self.polarity[which])


def count_ways(rows: int, lines: int, inversion: bool) -> int:
    """Return how many ways there are: partitions of the rows, times which part goes without a line, times signs."""
    parts = lines + 1
    surjections = sum((-1) ** i * comb(parts, i) * (parts - i) ** rows for i in range(parts + 1))
    divisor = int(np.prod(range(1, lines + 1)))  # lines are told apart by their delays alone
    return surjections // divisor * (2 ** (rows - 1) if inversion else 1)


def all_ways(rows: int, lines: int, inversion: bool) -> Ways:
    """Return every way; lines that differ only by their names are one way, and so is every polarity turned over."""
    grown = np.zeros((1, 1), dtype=int)
    for _ in range(rows - 1):
        # each further row joins a part that is there or opens the next
        choices = grown.max(axis=1) + 2
        again = np.repeat(np.arange(len(grown)), choices)
        opened = np.concatenate([np.arange(n) for n in choices])
        grown = np.column_stack((grown[again], opened))[opened <= lines]
    grown = grown[grown.max(axis=1) == lines]
    # the part that goes without a line may be any of them: it changes names with part 0
    swapped = [np.where(grown == part, 0, np.where(grown == 0, part, grown)) for part in range(lines + 1)]
    line = np.concatenate(swapped)
    signs = np.ones((1, rows), dtype=int)
    if inversion:
        bits = (np.arange(2 ** (rows - 1))[:, None] >> np.arange(rows - 1)) & 1
        signs = np.column_stack((np.ones(len(bits), dtype=int), 1 - 2 * bits))
    return Ways(np.repeat(line, len(signs), axis=0), np.tile(signs, (len(line), 1)))


@dataclass(frozen=True, eq=False)
class Blocks:
    """The rows of each way summed line by line: signals (K, F, L + 1), noise (K, F, L + 1, L + 1)."""

    signals: Any
    noise: Any

    def __getitem__(self, which: Any) -> "Blocks":
        return Blocks(self.signals[which], self.noise[which])


def blocks(asked: Task, ways: Ways, lines: int) -> Blocks:
    """Return the sums over the rows on each line."""
    place = (ways.line[:, None, :] == np.arange(lines + 1)[:, None]) * ways.polarity[:, None, :].astype(float)
    signals = np.einsum("klm,fm->kfl", place, asked.signals)
    noise = np.einsum("kam,fmn,kbn->kfab", place, asked.noise, place, optimize=True)
    return Blocks(signals, noise)


def ratios(found: Blocks, asked: Task, delays: Any) -> tuple[Any, Any]:
    """Return RDF and white-noise gain as ratios (K, F, ...) of each way at its own delays (K, ..., L) [s]."""
    turns = np.exp(-2j * np.pi * asked.hertz[:, None] * delays[..., None, :])
    phases = np.concatenate((np.ones((*turns.shape[:-1], 1)), turns), axis=-1)  # (K, ..., F, L + 1)
    more = delays.ndim - 2
    over = (slice(None), *(None,) * more)
    signal = np.abs(np.sum(found.signals[over] * phases, axis=-1)) ** 2
    noise = np.einsum("...fa,...fab,...fb->...f", phases.conj(), found.noise[over], phases, optimize=False).real
    return signal / noise, signal / asked.elements


def table(found: Blocks, asked: Task, delays: Any, limit: float | None) -> Any:
    """Return the least RDF over the frequencies (K, P), a ratio, of every way at every set of delays (P, L).

    Both powers are sums over pairs of lines of cosines and sines of differences of phase, the same for all ways, so
    one product of matrices does them all. A way short of the white-noise gain is marked down steeply.
    """
    one, other = np.triu_indices(found.signals.shape[-1], 1)
    least = np.full((len(found.signals), len(delays)), np.inf)
    weakest = least.copy()
    for number, hertz in enumerate(asked.hertz):
        phase = np.column_stack((np.zeros(len(delays)), 2 * np.pi * hertz * delays))
        apart = phase[:, other] - phase[:, one]
        cosines, sines = np.cos(apart).T, np.sin(apart).T
        sums, common = found.signals[:, number], found.noise[:, number]
        pairs = 2 * sums[:, one].conj() * sums[:, other]
        signal = (np.abs(sums) ** 2).sum(axis=1)[:, None] + pairs.real @ cosines + pairs.imag @ sines
        noise = np.trace(common, axis1=1, axis2=2)[:, None] + 2 * common[:, one, other] @ cosines
        np.minimum(least, signal / noise, out=least)
        if limit is not None:
            np.minimum(weakest, signal, out=weakest)
    return least if limit is None else held(least, weakest / asked.elements, limit)


def held(ratio: Any, white_noise_gain: Any, limit: float) -> Any:
    """Return a ratio marked down steeply where the white-noise gain falls short of its limit."""
    return ratio * np.minimum(1.0, white_noise_gain / limit) ** 8
