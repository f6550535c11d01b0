"""Whether band noise rules at the receiver: margin, strong signals, chokes that differ, own transmitters, feed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from workbook.array.firing import Firing
from workbook.array.ground import nothing_arrives
from workbook.array.layout import Layout
from workbook.array.pattern import front_to_back
from workbook.chain.choke_mismatch import choke_mismatch, choke_tolerance
from workbook.chain.long_runs import CableRuns, ReceiveBand, band_margin, voltage_over
from workbook.chain.noise_margin import NoiseMargin, signal_levels
from workbook.design.directions import Feeds
from workbook.design.reception import EnvironmentTable, FrontEndTable, ReceiverTable
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.acceptance import ENOUGH_FRONT_TO_BACK_DB, KEPT_FRONT_TO_BACK_DB, KEPT_RDF_DB
from workbook.plan.delays import Lines
from workbook.plan.patterns import HARDLY
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.results import Cost, PlanMatch
from workbook.receive.front_end import phase_spread
from workbook.receive.noise import Stage, passive_stage
from workbook.receive.transmitters import transmitter_levels
from workbook.units import Quantity


@dataclass(frozen=True)
class NoisePart:
    """What one part of the chain adds at the receiver's input, over kT0B."""

    name: str
    level_db: float


@dataclass(frozen=True)
class ReceptionBand:
    """One band: noise outside and inside at the receiver's input, over kT0B, in the direction of the least margin.

    `element_*` of vertical, chokes and buffer together; `margin_db` = external over all internal noise, `limit` the
    part that adds most; `amplifier_dbm` and `receiver_dbm`: the strongest signal at their inputs, None where none is
    entered or there is no amplifier; `choke_*`: what the tolerance of the chokes does, costs the greatest of all
    directions, None where nothing arrives; `choke_tolerance_needed`: the greatest that keeps RDF within 0.1 dB and
    front-to-back within 1 dB or above 20 dB, None where nothing arrives or there are no chokes.
    """

    name: str
    external_db: float
    external_source: str
    element_gain_db: float
    element_noise_figure_db: float
    direction: str
    received_db: float
    margin_db: float
    limit: str
    parts: tuple[NoisePart, ...]
    amplifier_dbm: float | None
    receiver_dbm: float | None
    choke_phase_spread_deg: float
    choke_rdf_lost_db: float | None
    choke_front_to_back_lost_db: float | None
    choke_tolerance_needed: float | None

    @property
    def choke_cost(self) -> Cost | None:
        """What the chokes cost; None where nothing arrives."""
        if self.choke_rdf_lost_db is None or self.choke_front_to_back_lost_db is None:
            return None
        return Cost(self.choke_rdf_lost_db, self.choke_front_to_back_lost_db)


@dataclass(frozen=True)
class TransmitterVoltage:
    """What one transmitter of the station does at the buffers, rms; voltages None where the vertical is too long."""

    name: str
    frequency_hz: float
    field_v_per_m: float
    voltage_v: float | None
    without_chokes_v: float | None
    limit_v: float
    switch_off: bool


@dataclass(frozen=True)
class Reception:
    """From the vertical to the receiver; `cutoff_hz`: where reception stops, None where it never does."""

    wanted_margin_db: float
    choke_tolerance: float
    cutoff_hz: float | None
    bands: tuple[ReceptionBand, ...]
    transmitters: tuple[TransmitterVoltage, ...]

    @property
    def least(self) -> ReceptionBand:
        """The band of the least margin."""
        return min(self.bands, key=lambda band: band.margin_db)


@dataclass(frozen=True)
class ReceptionChain:
    """What the plan knows of a design's receiving chain: the parts that carry the signal."""

    design: DesignFile
    layout: Layout
    given: Feeds
    lines: Lines
    cut_lines: tuple[DelayLine, ...]
    runs: ElementRuns
    receiver_run: ReceiverRun | None
    match: PlanMatch | None

    @property
    def _environment(self) -> EnvironmentTable:
        return self.design.environment or EnvironmentTable()

    @property
    def _front_end(self) -> FrontEndTable:
        if self.design.front_end is None:
            raise InputError(
                "the table is missing", where="front_end", remedy='write height = "7 m" and diameter = "25 mm" in it'
            )
        return self.design.front_end

    def firings(self, number: int) -> tuple[Firing, ...]:
        """Return the array in every direction on the band of a number, delay lines' losses in its weights."""
        hertz = list(self.design.band_hertz.values())[number]
        losses = self.design.hub.at_taps(np.array([line.bands[number].loss_db for line in self.cut_lines]))
        # the last entry is for elements on no line, whose number is -1
        lost = np.append(losses, 0.0)[self.lines.used]
        weights = self.given.weights(hertz) * 10 ** (-lost / 20)
        rule, ground = self.design.phasing, self.design.ground_below()
        return tuple(
            Firing(self.layout, row, Quantity(hertz, "Hz"), one.azimuth, rule.elevation, ground)
            for row, one in zip(weights, self.design.directions, strict=True)
        )

    def bands(self) -> tuple[ReceiveBand, ...]:
        """Return every band in every direction with all of the chain but the runs, as cables are compared by."""
        return tuple(one for number in range(len(self.design.bands)) for one in self._directions(number))

    def _directions(self, number: int) -> tuple[ReceiveBand, ...]:
        name, hertz = list(self.design.band_hertz.items())[number]
        element, receiver = self._element(name, hertz), self.design.receiver or ReceiverTable()
        try:
            external = self._environment.external(name, hertz)
        except InputError as error:
            raise error.at(f"bands.{name}") from None
        after = (*self._match_stages(number), receiver.receiver())
        return tuple(
            ReceiveBand(
                f"{name} {one.name}",
                firing,
                external,
                element,
                receiver.before(int(np.count_nonzero(firing.weights))),
                after,
                self._environment.origin(name),
            )
            for one, firing in zip(self.design.directions, self.firings(number), strict=True)
        )

    def _element(self, name: str, hertz: float) -> Stage:
        try:
            return self._front_end.stage(hertz)
        except InputError as error:
            raise error.at("front_end.height", name) from None

    def _match_stages(self, number: int) -> tuple[Stage, ...]:
        if self.match is None:
            return ()
        return (passive_stage("match", Quantity(max(self.match.bands[number].insertion_loss_db, 0.0), "dB")),)

    def reception(self) -> Reception:
        """Return margins, levels and costs of all bands.

        Raises
        ------
        InputError
            When the vertical reaches a quarter wave on a band, or a band lies outside the recommendation on noise.
        """
        table = self._front_end
        front_end = table.front_end()
        try:
            cutoff = float(front_end.cutoff().m_as("Hz"))
        except InputError:
            cutoff = None
        limit = table.greatest_voltage or Quantity(1.0, "V")
        own = transmitter_levels(front_end, [one.transmitter() for one in self.design.transmitters], limit)
        return Reception(
            float(self._environment.margin.m_as("dB")),
            table.choke_tolerance,
            cutoff,
            tuple(self._band(number, name) for number, name in enumerate(self.design.bands)),
            tuple(
                TransmitterVoltage(
                    each.transmitter.name,
                    each.transmitter.frequency.m_as("Hz"),
                    float(each.field.m_as("V/m")),
                    None if each.voltage is None else float(each.voltage.m_as("V")),
                    None if each.without_chokes is None else float(each.without_chokes.m_as("V")),
                    float(limit.m_as("V")),
                    each.switch_off,
                )
                for each in own
            ),
        )

    def _band(self, number: int, name: str) -> ReceptionBand:
        cases = self._directions(number)
        element, receiver = self.runs.bands[number].loss_db, 0.0
        if self.receiver_run is not None:
            receiver = self.receiver_run.bands[number].loss_db
        margins = [band_margin(one, np.array(element), np.array(receiver)) for one in cases]
        place = int(np.argmin([float(one.margin.m_as("dB")) for one in margins]))
        worst, case = margins[place], cases[place]
        amplifier, at_receiver = self._levels(cases, element, receiver)
        return ReceptionBand(
            name,
            float(case.external.m_as("dB")),
            case.source,
            float(case.element.gain.m_as("dB")),
            float(case.element.noise_figure.m_as("dB")),
            self.design.directions[place].name,
            float(worst.external.m_as("dB")),
            float(worst.margin.m_as("dB")),
            worst.limit,
            tuple(_parts(worst)),
            amplifier,
            at_receiver,
            *self._chokes([one.firing for one in cases]),
        )

    def _levels(
        self, cases: Sequence[ReceiveBand], element: float, receiver: float
    ) -> tuple[float | None, float | None]:
        """Return the strongest signal [dBm] at amplifier and receiver, of all directions."""
        field = self._environment.strong_signal
        if field is None:
            return None, None
        found: dict[str, float] = {}
        runs = [
            passive_stage(name, Quantity(loss, "dB"))
            for name, loss in (("element run", element), ("receiver run", receiver))
        ]
        for one in cases:
            stages = (runs[0], *one.before, runs[1], *one.after)
            for level in signal_levels(one.firing, field, one.element, stages):
                found[level.stage] = max(float(level.level.m_as("dBm")), found.get(level.stage, -np.inf))
        return found.get("amplifier"), found["receiver"]

    def _chokes(self, firings: Sequence[Firing]) -> tuple[float, float | None, float | None, float | None]:
        """Return the phase spread of the chokes [degree], the most RDF and front-to-back lost [dB], what is needed."""
        table, one = self._front_end, firings[0]
        if not table.choke_inductance.magnitude:
            return 0.0, 0.0, 0.0, None
        front_end = table.front_end()
        spread = float(phase_spread(front_end, one.frequency, table.choke_tolerance).m_as("degree"))
        if nothing_arrives(one.ground, one.frequency.m_as("Hz"), self.design.phasing.elevation_radians):
            return spread, None, None, None
        found = [choke_mismatch(firing, front_end, table.choke_tolerance) for firing in firings]
        planned = [_built(front_to_back(firing)) for firing in firings]
        backs = [before - _built(each.front_to_back) for before, each in zip(planned, found, strict=True)]
        needed = min(
            choke_tolerance(firing, front_end, Quantity(KEPT_RDF_DB, "dB"), Quantity(_least_back(back), "dB"))
            for firing, back in zip(firings, planned, strict=True)
        )
        return spread, max(float(each.rdf_loss.m_as("dB")) for each in found), max(backs), needed


def _least_back(planned: float) -> float:
    """Return the front-to-back to keep [dB]."""
    return min(planned - KEPT_FRONT_TO_BACK_DB, ENOUGH_FRONT_TO_BACK_DB)


def _built(gain: Quantity) -> float:
    """Return a front-to-back [dB], no more than can be built."""
    return min(float(gain.m_as("dB")), HARDLY)


def _parts(margin: NoiseMargin) -> Iterator[NoisePart]:
    for part in margin.contributions:
        level = float(part.level.m_as("dB"))
        if np.isfinite(level):
            yield NoisePart(part.name, level)


# --- the feed -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class FeedDrop:
    """One run that carries the feed: the current in it and what it drops."""

    run: str
    length_m: float
    loop_resistance_ohm: float
    current_a: float
    drop_v: float


@dataclass(frozen=True)
class PlanFeed:
    """Direct current to the farthest front end; `pair_gauge` None where the coax carries it.

    `supply_needed_v` for these runs; `gauge_needed`: the thinnest pair which would do with this supply, None where
    none would.
    """

    pair_gauge: int | None
    supply_v: float
    least_voltage_v: float
    drops: tuple[FeedDrop, ...]
    voltage_v: float
    supply_needed_v: float
    gauge_needed: int | None

    @property
    def is_enough(self) -> bool:
        """Whether the least voltage arrives, to a microvolt."""
        return self.voltage_v >= self.least_voltage_v - 1e-6


def plan_feed(design: DesignFile, runs: ElementRuns, to_receiver: ReceiverRun | None) -> PlanFeed | None:
    """Return what arrives at the farthest front end; None where the design says nothing of a feed."""
    if design.feed is None:
        return None
    supply = design.feed.dc_supply()
    lengths = CableRuns(
        Quantity(runs.length_m, "m"), runs.count, Quantity(to_receiver.length_m if to_receiver else 0.0, "m")
    )
    loops = [Quantity(part.loop_resistance_ohm / part.length_m, "ohm/m") for part in (runs, to_receiver or runs)]
    found = voltage_over(lengths, supply, *loops)
    drops = tuple(
        FeedDrop(
            run.name,
            run.length.m_as("m"),
            float((run.loop_resistance * run.length).m_as("ohm")),
            float(found.current.m_as("A")) * run.front_ends,
            float(drop.m_as("V")),
        )
        for run, drop in zip(found.runs, found.drops, strict=True)
    )
    return PlanFeed(
        design.feed.pair_gauge,
        float(found.supply.m_as("V")),
        float(found.least_voltage.m_as("V")),
        drops,
        float(found.voltage.m_as("V")),
        float(found.supply_needed.m_as("V")),
        found.gauge_needed,
    )
