"""The plan in stages: layout, feeds, lines, cuts and lists, each computed when it is first read, and kept."""

from dataclasses import dataclass, fields
from functools import cached_property
from typing import Self, TypeAlias

from workbook import __version__
from workbook.array.fewest import FewestDelays
from workbook.array.stakeout import Stake, StakeOut, stake_out
from workbook.design.directions import ArraySetup, Feeds
from workbook.design.phasing import FewestDelaysRule
from workbook.design.schema import DesignFile
from workbook.design.searches import SearchMemory
from workbook.errors import InputError
from workbook.plan import cuts, feeds
from workbook.plan.acceptance import Acceptance, acceptance, accepting
from workbook.plan.costs import PatternCosts
from workbook.plan.delays import Lines, distinct_lines, served
from workbook.plan.design_checks import warnings
from workbook.plan.hub_options import hub_options
from workbook.plan.kept import kept_delays, kept_lines, kept_notes
from workbook.plan.merging import merge_options
from workbook.plan.patterns import Field, band_figures, field_of, ground_below
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.plan import Plan, PlanHeader
from workbook.plan.receiver_match import chosen_match
from workbook.plan.reception import PlanFeed, Reception, ReceptionChain, plan_feed
from workbook.plan.reels import ReelPlan, cut_pieces, reel_plans
from workbook.plan.results import (
    HubOption,
    MergeOption,
    PatternShape,
    PlanBand,
    PlanDirection,
    PlanElement,
    PlanMatch,
    PlanTape,
    PlanTolerance,
    Slack,
    SwitchRow,
    Terminations,
    Total,
)
from workbook.plan.shapes import shapes
from workbook.plan.terminations import terminations
from workbook.plan.turned import along_symmetry, turned_notes


@dataclass(frozen=True, eq=False, repr=False)
class Stages(PlanHeader):
    """Everything that a plan says, each part computed when it is first read; `plan` reads all.

    Its attributes have the names and meanings of those of `Plan`, so that tables and pictures take either. A worksheet
    reads only what it shows.
    """

    design: DesignFile
    memory: SearchMemory
    progress: feeds.Progress | None = None
    source: str = ""
    before: feeds.Searches = ()

    def plan(self) -> Plan:
        """Return the whole plan."""
        names = [field.name for field in fields(Plan)]
        self.computed(*names)
        return Plan(**{name: getattr(self, name) for name in names})

    def computed(self, *names: str) -> Self:
        """Return the same after computing some parts, so that a refusal comes now and not where they are shown.

        Raises
        ------
        InputError
            When the design cannot be built, naming file, key and remedy.
        """
        try:
            for name in names:
                getattr(self, name)
        except InputError as error:
            raise error.within(self.source) if self.source else error from None
        return self

    def search(self) -> None:
        """Make the searches that the rule requires; `memory` keeps their answers.

        Keeps no other thread from computing stages: in Python 3.11 a cached property has one lock for all instances,
        which reading `searched` would hold for as long as the search takes.

        Raises
        ------
        InputError
            When a search finds nothing, naming file, direction and remedy.
        """
        try:
            found = feeds.searches(self.design, self.setup, self.memory, self.progress)
            wanted = feeds.every_feed(self.design, self.setup, self.setup.cut_hertz, found)
            self._along(wanted)
        except InputError as error:
            raise error.within(self.source) if self.source else error from None

    # --- layout ---------------------------------------------------------------------------------------------

    @cached_property
    def setup(self) -> ArraySetup:
        """The array that the rule is solved for."""
        return self.design.setup()

    @cached_property
    def bands(self) -> tuple[PlanBand, ...]:
        """Design frequencies."""
        return tuple(PlanBand(name, hertz) for name, hertz in self.setup.bands.items())

    @cached_property
    def elements(self) -> tuple[PlanElement, ...]:
        """Where the elements stand."""
        return tuple(PlanElement(n, float(x), float(y)) for n, (x, y) in enumerate(self.setup.layout.metres, 1))

    @cached_property
    def stake_out(self) -> StakeOut:
        """How to find the stakes."""
        site = self.design.site
        return stake_out(self.setup.layout, None if site is None else site.east_of_north())

    @cached_property
    def stakes(self) -> tuple[Stake, ...]:
        """Where every stake is, from the centre."""
        return self.stake_out.stakes

    @cached_property
    def tapes(self) -> tuple[PlanTape, ...]:
        """The tapes that find every stake."""
        return tuple(PlanTape(_number(one.start), _number(one.end), one.length_m) for one in self.stake_out.tapes)

    @cached_property
    def element_runs(self) -> ElementRuns:
        """The equal runs from the elements to the hub."""
        return cuts.element_runs(self.decided, self.setup.layout.metres)

    @cached_property
    def receiver_run(self) -> ReceiverRun | None:
        """The run from the hub to the receiver."""
        return cuts.receiver_run(self.design)

    # --- feeds ----------------------------------------------------------------------------------------------

    @cached_property
    def searched(self) -> feeds.Searches:
        """What the search for fewest delays found in each direction; None for rules in closed form."""
        return feeds.searches(self.design, self.setup, self.memory, self.progress, self.before)

    @property
    def provisional(self) -> bool:
        """Whether any direction continues the answer of a design nearby, for want of a search."""
        return any(one is not None and one.provisional for one in self.searched)

    @cached_property
    def wanted(self) -> Feeds:
        """What the rule gives every element in every direction."""
        return feeds.every_feed(self.design, self.setup, self.setup.cut_hertz, self.searched)

    @cached_property
    def lines(self) -> Lines:
        """The distinct delays, and who uses them."""
        kept = kept_delays(self.design)
        if kept is not None:
            return kept_lines(self.wanted, kept, type(self.design.hub))
        return distinct_lines(
            self.wanted, max(self.setup.bands.values()), type(self.design.hub), self.design.hub.merge_deg
        )

    @cached_property
    def given(self) -> Feeds:
        """What the lines give every element: what shares a line by choice, or one that is there, gets its delay."""
        shared = self.design.hub.merge is not None or self.design.hub.lines is not None
        return served(self.wanted, self.lines) if shared else self.wanted

    @cached_property
    def directions(self) -> tuple[PlanDirection, ...]:
        """Every switch position with its feeds and its figures by band."""
        by_band = feeds.feeds_by_band(self.design, self.setup, self.wanted)
        figures = band_figures(self.field, self.given, by_band, self.setup.bands)
        return feeds.plan_directions(self.design, self.given, self.lines, figures)

    @cached_property
    def field(self) -> Field:
        """Where the array stands and fires."""
        return field_of(self.design, self.setup.layout.metres, self.design.directions)

    @cached_property
    def switch_table(self) -> tuple[SwitchRow, ...]:
        """What every element goes through in every position."""
        return feeds.switch_rows(self.directions)

    @cached_property
    def slacks(self) -> tuple[Slack, ...]:
        """How far each line may move."""
        return feeds.slacks(self.design, self.searched, self.lines)

    @cached_property
    def shapes(self) -> tuple[PatternShape, ...]:
        """Pattern metrics of every direction on every band."""
        return shapes(self.setup, self.design.phasing.elevation, self.directions)

    def choices(self, direction: str) -> FewestDelays:
        """Return the best choice of the search in a direction, with its runners-up.

        Raises
        ------
        InputError
            When the design's rule does not search, or has no such direction.
        """
        rule, number = self.design.phasing, feeds.place_of(self.design, direction)
        best = self.searched[number]
        if not isinstance(rule, FewestDelaysRule) or best is None:
            raise InputError(f"the rule is {rule.rule}", where="phasing.rule", wanted="fewest-delays")
        return rule.choices(self.setup, best)

    # --- cuts -----------------------------------------------------------------------------------------------

    @cached_property
    def acceptance(self) -> Acceptance:
        """The error at which a line is good, and why."""
        return acceptance(self.design, PatternCosts(self.field, self.given, self.setup.bands), self.lines)

    @property
    def accept_deg(self) -> float:
        """The error on the cut band at which a line is good [degree]."""
        return self.acceptance.degrees

    @property
    def accept_reason(self) -> str:
        """Why it is that error."""
        return self.acceptance.reason

    @cached_property
    def decided(self) -> DesignFile:
        """The design with the accepted error that follows from it."""
        return accepting(self.design, self.accept_deg)

    @cached_property
    def cut_lines(self) -> tuple[DelayLine, ...]:
        """The delay lines to cut, as planned for matched terminations."""
        return cuts.delay_lines(self.decided, self.lines)

    @cached_property
    def terminations(self) -> Terminations | None:
        """What the design's terminations do to the channels."""
        lengths = [line.length_m for line in self.cut_lines]
        return terminations(self.decided, self.field, self.given, self.lines, lengths, self.element_runs.length_m)

    @cached_property
    def delay_lines(self) -> tuple[DelayLine, ...]:
        """The delay lines to cut, with compensated lengths where terminations are given."""
        return cuts.compensated(self.cut_lines, self.hub_kind, self.terminations)

    @cached_property
    def match(self) -> PlanMatch | None:
        """How the hub's impedance becomes the receiver's."""
        return chosen_match(self.decided)

    # --- reception ------------------------------------------------------------------------------------------

    @cached_property
    def chain(self) -> ReceptionChain:
        """The parts that carry the signal from the verticals to the receiver."""
        return ReceptionChain(
            self.decided,
            self.setup.layout,
            self.given,
            self.lines,
            self.cut_lines,
            self.element_runs,
            self.receiver_run,
            self.match,
        )

    @cached_property
    def reception(self) -> Reception | None:
        """How far band noise rules at the receiver; None where the design says nothing of the front end."""
        return None if self.design.front_end is None else self.chain.reception()

    @cached_property
    def feed(self) -> PlanFeed | None:
        """What of the direct current arrives at the front ends, where the design feeds them."""
        return plan_feed(self.design, self.element_runs, self.receiver_run)

    @cached_property
    def reels(self) -> tuple[ReelPlan, ...]:
        """Which piece to cut from which reel in stock."""
        pieces = cut_pieces(self.bought_lines, self.element_runs, self.receiver_run, self.match)
        return reel_plans(self.design, list(pieces)) if self.design.stock else ()

    # --- lists ----------------------------------------------------------------------------------------------

    @cached_property
    def hub_options(self) -> tuple[HubOption, ...]:
        """What each kind of hub would take."""
        return hub_options(self.design, self.wanted)

    @cached_property
    def merges(self) -> tuple[MergeOption, ...]:
        """What fewer lines cost, most lines first."""
        return merge_options(self.design, self.costs, self.wanted)

    @cached_property
    def costs(self) -> PatternCosts:
        """The pattern of feeds that have every delay exactly, to which others are compared."""
        return PatternCosts(self.field, self.wanted, self.setup.bands)

    @cached_property
    def totals(self) -> tuple[Total, ...]:
        """How much of each cable to have at hand."""
        return cuts.totals(self.design, self.bought_lines, self.element_runs, self.receiver_run, self.match)

    @property
    def bought_lines(self) -> tuple[DelayLine, ...]:
        """The delay lines that are still to be cut."""
        return () if self.design.hub.lines else self.delay_lines

    @cached_property
    def tolerances(self) -> tuple[PlanTolerance, ...]:
        """Return how exactly the array is built, where the design says so."""
        table = self.design.tolerance
        return () if table is None else tuple(map(PlanTolerance.of, table.tolerances()))

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What to know before cutting."""
        found = warnings(self.decided, self.cut_lines, self.element_runs, self.directions, self.merges)
        kept = kept_notes(self.design, self.cut_lines, self.costs.of_feeds(self.given))
        along = None if self.provisional else self._along(self.wanted)
        return (*kept, *found, *turned_notes(self.design, self.wanted, along))

    def _along(self, wanted: Feeds) -> Feeds | None:
        return along_symmetry(self.design, self.setup, wanted, self.memory, self.progress)


AnyPlan: TypeAlias = Plan | Stages
"""A whole plan, or its stages, of which only those are computed that are read."""


def stages(
    design: DesignFile,
    sha256: str,
    memory: SearchMemory,
    progress: feeds.Progress | None = None,
    source: str = "",
    before: feeds.Searches = (),
) -> Stages:
    """Return the stages of a design's plan.

    Parameters
    ----------
    design
        The checked content of the design file.
    sha256
        Checksum of the file, which the plan repeats.
    memory
        Answers of earlier searches, which are used and added to.
    progress
        Receives how far a search is.
    source
        Where the design comes from, which refusals name.
    before
        Answers of the search for a design nearby, to continue from instead of searching.
    """
    east, north = design.hub.place_m
    return Stages(
        format=1,
        name=design.name,
        workbook_version=__version__,
        design_sha256=sha256,
        cut_band=design.phasing.cut_band,
        rule=design.phasing.rule,
        ground=ground_below(design.ground_below()),
        declination_deg=None if design.site is None else float(design.site.east_of_north().m_as("degree")),
        elevation_deg=design.phasing.elevation.m_as("degree"),
        hub=design.hub.kind,
        hub_east_m=east,
        hub_north_m=north,
        trim_m=design.cutting.trim.m_as("m"),
        strip_m=design.ends.delay_line.strip.m_as("m"),
        connector_delay_s=design.ends.delay_line.delay.m_as("s"),
        units=design.units,
        design=design,
        memory=memory,
        progress=progress,
        source=source,
        before=before,
    )


def _number(stake: str) -> int | str:
    """Return the number of an element, and the centre by its name."""
    return int(stake) if stake.isdecimal() else stake
