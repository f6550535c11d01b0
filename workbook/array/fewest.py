"""The greatest RDF that a few distinct delay lines can give: every assignment of rows to lines is tried."""

from dataclasses import dataclass

import numpy as np

from workbook.array.candidates import (
    Candidates,
    Problem,
    count_candidates,
    least_rdf_table,
    line_sums,
    pair_waves,
    problem_of,
    rdf_and_gain,
)
from workbook.array.firing import array_frequency, elevation_angle
from workbook.array.ground import AnyGround, check_arrival
from workbook.array.layout import Layout, Rows, check_layout, check_several, rows_toward
from workbook.array.phasing import gain_limit, weights_of
from workbook.array.search import Progress, SearchResult, search
from workbook.checks import flag, positive, real, single, whole_number
from workbook.errors import InputError, shown
from workbook.units import Angle, ComplexArray, FloatArray, Frequency, Gain, IntArray, Quantity, Time

MOST_LINES, MOST_CANDIDATES = 4, 400_000


@dataclass(frozen=True, eq=False)
class Solution:
    """Rows on delay lines, with their figures.

    Attributes
    ----------
    rows
        The numbers of the elements in each row, front row first.
    line, polarity
        Of each row: its line from 1, or 0 for none, and 1 or -1.
    delays
        Time quantity (L,), ascending.
    rdf, white_noise_gain
        dB quantities, one per frequency.
    """

    rows: tuple[tuple[int, ...], ...]
    line: tuple[int, ...]
    polarity: tuple[int, ...]
    delays: Time
    rdf: Gain
    white_noise_gain: Gain

    @property
    def least_rdf(self) -> Gain:
        """The least RDF over the frequencies."""
        return self.rdf.min()

    def element_delays(self) -> tuple[FloatArray, IntArray]:
        """Return the delay [s] and the polarity of every element, (N,) each.

        Returns
        -------
        (float array, int array)
            Delays [s] and polarities [1] of the elements, (N,) each.
        """
        by_line = np.concatenate(([0.0], self.delays.m_as("s")))
        delays = np.empty(sum(map(len, self.rows)))
        polarity = np.empty(len(delays), dtype=int)
        for row, line, sign in zip(self.rows, self.line, self.polarity, strict=True):
            members = np.array(row) - 1
            delays[members], polarity[members] = by_line[line], sign
        return delays, polarity


@dataclass(frozen=True, eq=False)
class FewestDelays(Solution):
    """The best solution, how far each of its delays may move, and the next best.

    Attributes
    ----------
    slack
        Time quantity (L,): how far each delay may move alone, later or earlier, whichever is less, before the least
        RDF falls 0.3 dB; infinite where it never does.
    runners_up
        The next best solutions, best first.
    problem
        What the rows receive, plain numbers.
    """

    slack: Time
    runners_up: tuple[Solution, ...]
    problem: Problem

    @property
    def at_cap(self) -> bool:
        """Whether a delay lies within 1 % of one period of the lowest frequency, where the search ends.

        Then a longer line may give more; far longer lines may also where none lies there.
        """
        return bool(self.delays.m_as("s").max() >= 0.99 / self.problem.hertz[0])

    def weights(self, frequency: Frequency) -> ComplexArray:
        """Return the weights of all elements.

        Parameters
        ----------
        frequency
            One or several (...).

        Returns
        -------
        plain complex array (..., N)

        Raises
        ------
        InputError
            On a frequency that is not above zero.
        """
        return weights_of(*self.element_delays(), positive(frequency, "Hz", "frequency"))

    def least_rdf_at(self, delays: Time) -> Gain:
        """Return the least RDF over the frequencies with the same rows on lines of other delays.

        Parameters
        ----------
        delays
            Time quantity (..., L).

        Returns
        -------
        dB quantity (...)

        Raises
        ------
        InputError
            When the last axis has another length than there are lines.
        """
        seconds = real(delays, "s", "delays")
        if np.ndim(seconds) == 0 or seconds.shape[-1] != len(self.delays):
            raise InputError(
                f"got the shape {np.shape(seconds)}",
                where="delays",
                wanted=f"one time for each of {len(self.delays)} lines along the last axis",
            )
        flat = seconds.reshape(-1, seconds.shape[-1])
        own = Candidates(np.array([self.line]), np.array([self.polarity]))
        waves = pair_waves(self.problem, flat)
        _, found = least_rdf_table(line_sums(self.problem, own, seconds.shape[-1]), self.problem, waves, None)
        return Quantity(10 * np.log10(found[0]).reshape(seconds.shape[:-1]), "dB")


def fewest_delays(
    layout: Layout,
    frequencies: Frequency,
    azimuth: Angle,
    elevation: Angle,
    ground: AnyGround,
    lines: int,
    polarity_inversion: bool = True,
    least_white_noise_gain: Gain | None = None,
    progress: Progress | None = None,
) -> FewestDelays:
    """Return the greatest least RDF over some frequencies that so many distinct delay lines can give.

    Elements of equal projection on the azimuth are rows. All are on with equal amplitude, each row on one of the
    lines or on none; every assignment, and every choice of reversed rows, is tried, with delays up to one period of
    the lowest frequency. With as many lines as rows one of them has delay 0 and stays idle. Among candidates equal to
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

    Returns
    -------
    FewestDelays

    Raises
    ------
    InputError
        When there are not enough rows for the lines, too many candidates, or none keeps the limit.
    """
    check_layout(layout)
    check_several(layout)
    inversion = flag(polarity_inversion, "polarity_inversion")
    given = np.ravel(array_frequency(frequencies, "frequencies"))
    if not given.size:
        raise InputError(
            "got no frequency",
            where="frequencies",
            remedy="give one or several, such as wb.Quantity([1.83, 3.65], 'MHz')",
        )
    hertz = np.unique(given)
    toward = single(real(azimuth, "radian", "azimuth"), "azimuth")
    height = single(elevation_angle(elevation), "elevation")
    for frequency in hertz:
        check_arrival(ground, frequency, height)
    if progress is not None and not callable(progress):
        raise InputError(f"got {shown(progress)}", where="progress", wanted="a function", remedy="write progress=print")
    limit = None if least_white_noise_gain is None else gain_limit(least_white_noise_gain, layout.count)
    rows = rows_toward(layout.metres, toward)
    check_lines(lines, rows.count, inversion)
    problem = problem_of(layout.metres, rows, hertz, toward, height, ground)
    found = search(problem, min(lines, rows.count - 1), inversion, limit, progress)
    if lines == rows.count:
        found = found.with_idle_line()
    order = [int(np.searchsorted(hertz, frequency)) for frequency in given]
    return fewest_delays_of(problem, found, rows, order)


def check_lines(lines: int, rows: int, inversion: bool) -> None:
    """Refuse a number of delay lines that the rows cannot use, or that makes too many candidates."""
    whole_number(lines, "lines", 1, MOST_LINES)
    if rows == 1:
        raise InputError(
            "all elements lie in one row across this direction, so that no line helps",
            where="lines",
            remedy="choose a direction along the row, or use the rule aligned",
        )
    if lines > rows:
        raise InputError(
            f"{lines} lines are more than the {rows} rows in this direction",
            where="lines",
            remedy=f"give at most {rows}",
        )
    candidates = count_candidates(rows, min(int(lines), rows - 1), inversion)
    if candidates > MOST_CANDIDATES:
        raise InputError(
            f"{rows} rows and {lines} lines make {candidates} candidates, too many to search",
            where="lines",
            remedy=("give fewer lines, no polarity inversion, or a direction in which more elements stand in one row"),
        )


def fewest_delays_of(problem: Problem, found: SearchResult, rows: Rows, order: list[int]) -> FewestDelays:
    """Return a search's result as quantities; `order` holds the places of the frequencies as they were given."""
    choices = [_solution(problem, found, number, rows, order) for number in range(min(len(found.least), 12))]
    best, slack = choices[0], found.slack[np.argsort(found.delays[0], kind="stable")]
    return FewestDelays(**vars(best), slack=Quantity(slack, "s"), runners_up=tuple(choices[1:]), problem=problem)


def _solution(problem: Problem, found: SearchResult, number: int, rows: Rows, order: list[int]) -> Solution:
    rising = np.argsort(found.delays[number], kind="stable")
    name = np.empty(len(rising) + 1, dtype=int)
    name[0], name[rising + 1] = 0, np.arange(1, len(rising) + 1)
    delays = found.delays[number][rising]
    one = found.candidates[number : number + 1]
    line = name[one.line]
    ratio, gain = rdf_and_gain(line_sums(problem, Candidates(line, one.polarity), len(delays)), problem, delays[None])
    return Solution(
        rows.members,
        tuple(int(x) for x in line[0]),
        tuple(int(x) for x in one.polarity[0]),
        Quantity(delays, "s"),
        Quantity(10 * np.log10(ratio[0][order]), "dB"),
        Quantity(10 * np.log10(gain[0][order]), "dB"),
    )
