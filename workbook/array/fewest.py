"""The best that a few distinct delay lines can do: every assignment of lines to rows is tried."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.assignments import Task, Ways, blocks, count_ways, ratios, table, task
from workbook.array.firing import array_frequency, elevation_angle
from workbook.array.ground import AnyGround, check_arrival
from workbook.array.layout import Layout, check_layout
from workbook.array.phasing import gain_limit, weights_of
from workbook.array.rows import Rows, rows_toward
from workbook.array.search import Found, Progress, search
from workbook.checks import flag, positive, real, single
from workbook.errors import InputError, shown
from workbook.units import Quantity

MOST_LINES, MOST_WAYS = 4, 400_000


@dataclass(frozen=True, eq=False)
class Choice:
    """One way of doing it: the line of every row (0 = none), its polarity, the delays, and what comes of it.

    `rows` names the elements of each row, front first; `line` and `polarity` follow it; `delays` rise.
    """

    rows: tuple[tuple[int, ...], ...]
    line: tuple[int, ...]
    polarity: tuple[int, ...]
    delays: Any
    rdf: Any
    white_noise_gain: Any

    @property
    def least_rdf(self) -> Any:
        """The least RDF over the frequencies."""
        return self.rdf.min()

    def element_delays(self) -> tuple[Any, Any]:
        """Return the wait [s] and the polarity of every element, (N,) each."""
        waits = np.concatenate(([0.0], self.delays.m_as("s")))
        delays = np.empty(sum(map(len, self.rows)))
        polarity = np.empty(len(delays), dtype=int)
        for row, line, sign in zip(self.rows, self.line, self.polarity, strict=True):
            members = np.array(row) - 1
            delays[members], polarity[members] = waits[line], sign
        return delays, polarity


@dataclass(frozen=True, eq=False)
class FewestDelays(Choice):
    """The best choice, how far each of its delays may move, and what came next.

    `slack` is one time per delay, alone and the smaller of both ways, before the least RDF falls 0.3 dB; infinite
    where it never does.
    """

    slack: Any
    runners_up: tuple[Choice, ...]
    asked: Task

    @property
    def at_cap(self) -> bool:
        """Whether a delay lies within 1 % of one period of the lowest frequency, where the search ends: a longer line
        may do better. Far longer ones may too where none lies there.
        """
        return bool(self.delays.m_as("s").max() >= 0.99 / self.asked.hertz[0])

    def weights(self, frequency: Any) -> Any:
        """Return the weights of all elements: plain complex array (..., N), frequency (...)."""
        return weights_of(*self.element_delays(), positive(frequency, "Hz", "frequency"))

    def least_rdf_at(self, delays: Any) -> Any:
        """Return the least RDF with the same assignment at other delays (..., L), a dB quantity."""
        seconds = real(delays, "s", "delays")
        if np.ndim(seconds) == 0 or seconds.shape[-1] != len(self.delays):
            raise InputError(f"one for each of {len(self.delays)} lines is wanted along the last axis", where="delays")
        flat = seconds.reshape(-1, seconds.shape[-1])
        ways = Ways(np.array([self.line]), np.array([self.polarity]))
        found = table(blocks(self.asked, ways, seconds.shape[-1]), self.asked, flat, None)
        return Quantity(10 * np.log10(found[0]).reshape(seconds.shape[:-1]), "dB")


def fewest_delays(
    layout: Layout,
    frequencies: Any,
    azimuth: Any,
    elevation: Any,
    ground: AnyGround,
    lines: int,
    polarity_inversion: bool = True,
    least_white_noise_gain: Any = None,
    progress: Progress | None = None,
) -> FewestDelays:
    """Return the greatest least RDF over some frequencies that so many distinct delay lines can give.

    Elements of equal projection on the azimuth are rows. All are on with equal amplitude, each row on one of the
    lines or on none; every assignment, and every choice of reversed rows, is tried, with delays up to one period of
    the lowest frequency. With as many lines as rows one of them has delay 0 and stays idle. Among choices equal to
    0.001 dB the one whose longest line is shortest is taken.

    Parameters
    ----------
    layout
        Elements.
    frequencies
        One or several.
    azimuth, elevation
        One direction.
    ground
        What the elements stand on.
    lines
        How many distinct delay lines, 1 to 4.
    polarity_inversion
        Whether rows may be reversed.
    least_white_noise_gain
        Limit that holds on every frequency, a dB quantity; None for no limit.
    progress
        Called with the share that is done.

    Raises
    ------
    InputError
        When there are not enough rows for the lines, too many ways to try, or none keeps the limit.
    """
    check_layout(layout)
    inversion = flag(polarity_inversion, "polarity_inversion")
    given = np.ravel(array_frequency(frequencies, "frequencies"))
    if not given.size:
        raise InputError(
            "there is none", where="frequencies", remedy="give one or several, such as wb.Quantity([1.83, 3.65], 'MHz')"
        )
    hertz = np.unique(given)
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    height = single(elevation_angle(elevation), "elevation")
    for frequency in hertz:
        check_arrival(ground, frequency, height)
    limit = None if least_white_noise_gain is None else gain_limit(least_white_noise_gain, layout.count)
    rows = rows_toward(layout.metres, toward)
    check_lines(lines, rows.count, inversion)
    asked = task(layout.metres, rows, hertz, toward, height, ground)
    found = search(asked, min(lines, rows.count - 1), inversion, limit, progress)
    if lines == rows.count:
        found = found.with_idle_line()
    order = [int(np.searchsorted(hertz, frequency)) for frequency in given]
    return answer(asked, found, rows, order)


def check_lines(lines: int, rows: int, inversion: bool) -> None:
    """Refuse a number of delay lines that the rows cannot use, or that makes too many ways to try."""
    if isinstance(lines, bool) or not isinstance(lines, (int, np.integer)) or not 1 <= lines <= MOST_LINES:
        raise InputError(
            f"{shown(lines)} is no number of delay lines to search", where="lines", remedy=f"give 1 to {MOST_LINES}"
        )
    if rows == 1:
        raise InputError(
            "all elements lie in one row across this direction, so that no line helps",
            where="lines",
            remedy="fire along the row, or use the rule aligned",
        )
    if lines > rows:
        raise InputError(
            f"{lines} lines are more than the {rows} rows in this direction",
            where="lines",
            remedy=f"give at most {rows}",
        )
    ways = count_ways(rows, min(int(lines), rows - 1), inversion)
    if ways > MOST_WAYS:
        raise InputError(
            f"{rows} rows and {lines} lines make {ways} ways, too many to try all",
            where="lines",
            remedy=("give fewer lines, no polarity inversion, or a direction in which more elements stand in one row"),
        )


def answer(asked: Task, found: Found, rows: Rows, order: list[Any]) -> FewestDelays:
    """Return what a search found in the trade's words; `order` are the places of the frequencies as they were asked."""
    choices = [_choice(asked, found, number, rows.members, order) for number in range(min(len(found.least), 12))]
    best, slack = choices[0], found.slack[np.argsort(found.delays[0], kind="stable")]
    return FewestDelays(**vars(best), slack=Quantity(slack, "s"), runners_up=tuple(choices[1:]), asked=asked)


def _choice(asked: Task, found: Found, number: int, members: Any, order: list[Any]) -> Choice:
    rising = np.argsort(found.delays[number], kind="stable")
    name = np.empty(len(rising) + 1, dtype=int)
    name[0], name[rising + 1] = 0, np.arange(1, len(rising) + 1)
    delays = found.delays[number][rising]
    way = found.ways[number : number + 1]
    line = name[way.line]
    ratio, gain = ratios(blocks(asked, Ways(line, way.polarity), len(delays)), asked, delays[None])
    return Choice(
        members,
        tuple(int(x) for x in line[0]),
        tuple(int(x) for x in way.polarity[0]),
        Quantity(delays, "s"),
        Quantity(10 * np.log10(ratio[0][order]), "dB"),
        Quantity(10 * np.log10(gain[0][order]), "dB"),
    )
