"""The phasing rules: the keys that go with each, and the delays that it gives the elements."""

from abc import abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import BeforeValidator, Field, model_validator

from workbook.array.candidates import Problem, problem_of
from workbook.array.fewest import MOST_LINES, FewestDelays, check_lines, fewest_delays_of
from workbook.array.ground import check_arrival
from workbook.array.layout import Rows, projections, rows_toward
from workbook.array.phasing import aligned_delays, endfire_delays, gain_limit, greatest_rdf_weights, least_lags
from workbook.array.search import SearchResult, continued, refined_delays, search
from workbook.checks import whole_number
from workbook.design.directions import ArraySetup, Direction, Feeds, name_text
from workbook.design.searches import Progress, Searched, SearchMemory
from workbook.errors import InputError
from workbook.schema import Angle, Boolean, Elevation, Gain, Strict
from workbook.units import FloatArray, Quantity


class PhasingRule(Strict):
    """How delays are found, and the band on which lines have exactly theirs."""

    keys: ClassVar[tuple[str, ...]] = ()
    """The keys that go with this rule, besides those of all rules."""
    solved_per_band: ClassVar[bool] = False
    """Whether the rule has other delays when it is solved for another band."""
    searches: ClassVar[bool] = False
    """Whether the rule takes a search, which a moved control does not wait for."""
    enters_feeds: ClassVar[bool] = False
    """Whether the directions of the file enter delays or phases."""

    rule: str
    """Phasing rule."""
    elevation: Elevation = Quantity(20.0, "degree")
    """Elevation that the rule and all figures are for."""
    cut_band: Annotated[str, BeforeValidator(lambda value: value and name_text(value))] = ""
    """Band on which every line has exactly its delay; the lowest unless given."""

    @model_validator(mode="before")
    @classmethod
    def _keys_of_other_rules(cls, data: Any) -> Any:
        for key in data if isinstance(data, Mapping) else ():
            rules = [name for name, rule in RULES.items() if key in rule.keys]
            if rules and key not in cls.keys:
                listed = " or ".join(f'"{name}"' for name in rules)
                raise InputError(f"goes with the rule {listed}", where=key, remedy="take it out, or change the rule")
        return data

    @model_validator(mode="after")
    def _angles(self) -> "PhasingRule":
        for key in ("elevation", "null_elevation"):
            value = getattr(self, key, None)
            if value is not None and not 0 <= value.m_as("degree") <= 90:
                raise InputError(f"got {value:~P}", where=key, wanted="an angle from 0 to 90 deg")
        return self

    @property
    def elevation_radians(self) -> float:
        """Elevation [rad]."""
        return float(self.elevation.m_as("radian"))

    def written(self, key: str) -> Any:
        """Return what the file says under a key, None where it says nothing or the rule has no such key."""
        return getattr(self, key) if key in self.model_fields_set else None

    def check_direction(self, direction: Direction, count: int) -> None:
        """Refuse a direction that enters delays, which only the rule *entered* reads."""
        for key in direction.entered():
            raise InputError('goes with the rule "entered"', where=key, remedy="take it out, or change the rule")

    @abstractmethod
    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return how the elements are fed in a direction when the rule is solved at a frequency [Hz].

        Parameters
        ----------
        setup
            The array.
        direction
            The direction.
        hertz
            The frequency.
        searched
            What `search` found, for a rule that searches; without it the search runs.

        Returns
        -------
        Feeds
            (N,), the least delay 0.

        Raises
        ------
        InputError
            When the rule has no answer in this direction; names one that has.
        """

    def search(
        self, setup: ArraySetup, direction: Direction, memory: SearchMemory, progress: Progress | None = None
    ) -> Searched | None:
        """Return what a search finds in a direction, None for a rule in closed form."""
        return None

    def continued(
        self, setup: ArraySetup, direction: Direction, memory: SearchMemory, before: Searched, nearby: SearchMemory
    ) -> Searched | None:
        """Return the answer of a design nearby moved to this one, without a search.

        Parameters
        ----------
        setup
            The array.
        direction
            The direction.
        memory
            Answers of earlier searches.
        before
            The answer in the same direction of a design that differs a little.
        nearby
            What is continued already in directions alike.

        Returns
        -------
        Searched or None
            None where `memory` has the answer of a search, or nothing can be continued.
        """
        return None

    def feeds_scaled(
        self, setup: ArraySetup, direction: Direction, scales: FloatArray, searched: Searched | None
    ) -> list[Feeds | None]:
        """Return the feeds of the array made larger by each scale, None where the rule has no answer."""
        found: list[Feeds | None] = []
        for scale in scales:
            try:
                found.append(self.feeds(setup.scaled(scale), direction, setup.cut_hertz))
            except InputError:
                found.append(None)
        return found

    def direction_warnings(self, directions: Sequence[Direction]) -> Iterator[str]:
        """Yield what this rule finds odd in the directions."""
        yield from ()

    def line_warnings(self, count: int) -> Iterator[str]:
        """Yield what to know of so many different delay lines."""
        yield from ()

    @property
    def remedy_on_other_bands(self) -> str:
        """What makes the rule hold on every band; empty where nothing does."""
        return ""


class Aligned(PhasingRule):
    """A wave from the direction adds in step."""

    rule: Literal["aligned"]

    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return the delays that a plane wave needs from element to element."""
        delays = aligned_delays(setup.layout.metres, direction.radians, self.elevation_radians)
        return Feeds.equal(delays, np.ones(setup.layout.count, dtype=int))

    def direction_warnings(self, directions: Sequence[Direction]) -> Iterator[str]:
        """Yield directions of equal azimuth, which have equal delays."""
        seen: dict[float, str] = {}
        for direction in directions:
            azimuth = round(direction.azimuth.m_as("degree") % 360, 6)
            if azimuth in seen:
                yield f"The directions {seen[azimuth]} and {direction.name} have the same azimuth; check them."
            seen[azimuth] = direction.name


class Entered(PhasingRule):
    """Every direction enters delays or phases, one for each element; phases are lags on the cut band."""

    enters_feeds = True

    rule: Literal["entered"]

    def check_direction(self, direction: Direction, count: int) -> None:
        """Refuse a direction without exactly one list of delays or phases for all elements."""
        lists = direction.entered()
        if ("delays" in lists) == ("phases" in lists):
            raise InputError(
                'the rule "entered" wants either delays or phases, one for each element',
                where="delays",
                remedy="write one",
            )
        for key, entries in lists.items():
            if len(entries) != count:
                raise InputError(
                    f"has {len(entries)} entries, but the array has {count} elements",
                    where=key,
                    remedy=f"write {count}",
                )
        key = "delays" if "delays" in lists else "phases"
        if all(isinstance(entry, str) for entry in lists[key]):
            raise InputError("every element is off", where=key, remedy="leave at least one on")

    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return the delays as entered, on every frequency."""
        lists = direction.entered()
        key, unit, seconds = ("delays", "s", 1.0) if "delays" in lists else ("phases", "turn", 1 / setup.cut_hertz)
        delays = np.array([np.nan if isinstance(one, str) else one.m_as(unit) * seconds for one in lists[key]])
        polarity = np.where(np.isnan(delays), 0, direction.polarity or [1] * setup.layout.count)
        return Feeds.equal(delays, polarity)


class Endfire(PhasingRule):
    """Pairs of rows, front and rear, that cancel waves from behind at one elevation."""

    keys = ("null_elevation", "polarity_inversion")
    solved_per_band = True

    rule: Literal["endfire"]
    null_elevation: Angle | None = None
    """Elevation at which waves from behind cancel; that of `elevation` unless given."""
    polarity_inversion: Boolean = False
    """Whether the rear row of each pair is reversed, which holds the null on every band."""

    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return the delays of the pairs at a frequency [Hz]."""
        # a null elevation of 0 is one too
        null = self.elevation if self.null_elevation is None else self.null_elevation
        rows = rows_toward(setup.layout.metres, direction.radians)
        return Feeds.equal(*endfire_delays(rows, hertz, null.m_as("radian"), self.polarity_inversion))

    @property
    def remedy_on_other_bands(self) -> str:
        """Pairs with reversed polarity cancel on every band."""
        return "" if self.polarity_inversion else "; polarity_inversion = true holds on every band"


class GreatestRdf(PhasingRule):
    """Highest RDF on the cut band that keeps a white-noise gain, by delays, polarities and attenuators."""

    keys = ("least_white_noise_gain", "polarity_inversion")
    solved_per_band = True

    rule: Literal["greatest-rdf"]
    least_white_noise_gain: Gain = Field(examples=['"-8 dB"'])
    """Lowest white-noise gain to accept on the cut band."""
    polarity_inversion: Boolean = False
    """Whether elements may be reversed instead of delayed by half a period."""

    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return lags as delays; with polarity inversion a lag of half a turn or more is less that and reversed."""
        weights = greatest_rdf_weights(
            setup.layout, Quantity(hertz, "Hz"), direction.azimuth, self.elevation, setup.ground,
            self.least_white_noise_gain,
        )  # fmt: skip
        part = 2 if self.polarity_inversion else 1
        lag = least_lags(weights**part) / part
        # what half a turn less of lag leaves over is a reversed element
        turned = weights * np.exp(1j * lag)
        polarity = np.where((turned * turned[0].conj()).real < 0, -1, 1)
        ahead = projections(setup.layout.metres, direction.radians)
        # all may be turned over: few are to be reversed, and of two such choices the one with the front straight
        front = polarity[int(np.argmax(np.round(ahead, 6)))]
        if (polarity.sum(), round(float(polarity @ ahead), 6), front) < (0, 0.0, 0):
            polarity = -polarity
        return Feeds(lag / (2 * np.pi * hertz), polarity, np.minimum(np.abs(weights), 1.0))


_Key = tuple[tuple[bytes, ...], int, bool, float | None]


class FewestDelaysRule(PhasingRule):
    """Rows on a few delay lines, chosen so that the lowest RDF of all bands is as high as possible."""

    keys = ("lines", "polarity_inversion", "least_white_noise_gain")
    searches = True

    rule: Literal["fewest-delays"]
    lines: Annotated[int, BeforeValidator(lambda value: whole_number(value, "value", 1, MOST_LINES))] = Field(
        examples=["2"]
    )
    """How many distinct delay lines each direction may use."""
    polarity_inversion: Boolean = True
    """Whether elements may be reversed."""
    least_white_noise_gain: Gain | None = None
    """Lowest white-noise gain to accept on every band; set it, or lines may come out that no builder can hold."""

    def feeds(self, setup: ArraySetup, direction: Direction, hertz: float, searched: Searched | None = None) -> Feeds:
        """Return what the search found; it goes over all bands, whatever the frequency."""
        return (searched or self.search(setup, direction, SearchMemory())).feeds

    def problem(self, setup: ArraySetup, direction: Direction) -> Problem:
        """Return what the search in a direction works on: the rows on all bands of the design."""
        hertz = np.unique(list(setup.bands.values()))
        for one in hertz:
            check_arrival(setup.ground, one, self.elevation_radians)
        metres, azimuth = setup.layout.metres, direction.radians
        return problem_of(metres, rows_toward(metres, azimuth), hertz, azimuth, self.elevation_radians, setup.ground)

    def search(
        self, setup: ArraySetup, direction: Direction, memory: SearchMemory, progress: Progress | None = None
    ) -> Searched:
        """Return the best assignments of rows to lines in a direction.

        Raises
        ------
        InputError
            When the rows cannot use so many lines, or none keeps the white-noise gain.
        """
        given, rows, key = self._task(setup, direction)
        _, lines, inversion, limit = key

        def run() -> SearchResult:
            if progress:
                progress(0.0)
            return search(given, lines, inversion, limit, progress)

        return Searched(given, rows, memory.recall(key, run))

    def continued(
        self, setup: ArraySetup, direction: Direction, memory: SearchMemory, before: Searched, nearby: SearchMemory
    ) -> Searched | None:
        """Return the rows on the lines that they had, the delays moved to the nearest maximum."""
        given, rows, key = self._task(setup, direction)
        _, lines, inversion, limit = key
        if key in memory.answers or key in nearby.answers:
            kept = nearby.answers.get(key)
            return None if kept is None else Searched(given, rows, kept, provisional=True)
        if before.found.delays.shape[1] != lines or not np.array_equal(before.rows.of, rows.of):
            return None
        found = continued(given, inversion, limit, before.found)
        return None if found is None else Searched(given, rows, nearby.recall(key, lambda: found), provisional=True)

    def _task(self, setup: ArraySetup, direction: Direction) -> tuple[Problem, Rows, _Key]:
        """Return what is searched, the rows, and the key of its answer: problem, lines, inversion and limit."""
        rows = rows_toward(setup.layout.metres, direction.radians)
        check_lines(self.lines, rows.count, self.polarity_inversion)
        given = self.problem(setup, direction)
        return given, rows, (_key(given), min(self.lines, rows.count - 1), self.polarity_inversion, self._limit(setup))

    def _limit(self, setup: ArraySetup) -> float | None:
        least = self.least_white_noise_gain
        return None if least is None else gain_limit(least, setup.layout.count)

    def feeds_scaled(
        self, setup: ArraySetup, direction: Direction, scales: FloatArray, searched: Searched | None
    ) -> list[Feeds | None]:
        """Return the feeds at each scale: the rows keep their lines, the delays move to the nearest maximum."""
        found = searched or self.search(setup, direction, SearchMemory())
        limit = self._limit(setup)
        best: dict[int, Feeds] = {}
        # outward from the present size, each starting from its neighbour's delays
        order = np.argsort(np.abs(np.log(scales)), kind="stable")
        for side in (order[scales[order] <= 1], order[scales[order] > 1]):
            delays, before = found.found.delays[:1], 1.0
            for n in side:
                given = self.problem(setup.scaled(scales[n]), direction)
                delays = refined_delays(given, found.found.candidates[:1], delays * scales[n] / before, limit)
                before = scales[n]
                best[int(n)] = found.feeds_with(delays[0])
        return [best[n] for n in range(len(scales))]

    def choices(self, setup: ArraySetup, searched: Searched) -> FewestDelays:
        """Return the best choice of a search with its runners-up, RDF in the order of the design's bands."""
        order = np.searchsorted(searched.problem.hertz, list(setup.bands.values())).tolist()
        return fewest_delays_of(searched.problem, searched.found, searched.rows, order)

    def line_warnings(self, count: int) -> Iterator[str]:
        """Yield that the directions together need more lines than each."""
        if count > self.lines:
            yield (
                f"The rule uses {self.lines} lines in each direction; all directions together need {count} different "
                "ones, since their delays differ."
            )


def _key(given: Problem) -> tuple[bytes, ...]:
    """Return what problems that are equal but for rounding have in common, as in directions of a symmetrical array."""
    # adding zero turns a negative zero positive, which would keep equal problems apart
    return tuple((np.round(part, 8) + 0.0).tobytes() for part in (given.hertz, given.signals, given.noise))


AnyPhasing = Aligned | Entered | Endfire | GreatestRdf | FewestDelaysRule
RULES: Mapping[str, type[PhasingRule]] = MappingProxyType(
    {
        "aligned": Aligned,
        "entered": Entered,
        "endfire": Endfire,
        "greatest-rdf": GreatestRdf,
        "fewest-delays": FewestDelaysRule,
    }
)
"""Every phasing rule by its name in the file."""
