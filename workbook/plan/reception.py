"""Whether band noise rules at the receiver: margin, strong signals, chokes that differ, own transmitters, feed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from workbook.array.firing import Firing
from workbook.array.ground import nothing_arrives
from workbook.array.layout import Layout
from workbook.array.merit import Arrival, FiguresOfMerit, weight_power
from workbook.chain.choke_mismatch import Powers
from workbook.chain.long_runs import CableRuns, ChainStages, ReceiveBand, chain_margin, voltage_over
from workbook.chain.noise_margin import NoiseMargin, one_margin, signal_levels
from workbook.design.directions import Feeds
from workbook.design.reception import EnvironmentTable, FrontEndTable, ReceiverTable
from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.plan.acceptance import ENOUGH_FRONT_TO_BACK_DB, KEPT_FRONT_TO_BACK_DB, KEPT_RDF_DB
from workbook.plan.delays import Lines
from workbook.plan.patterns import HARDLY
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.results import Cost, PlanMatch
from workbook.receive.front_end import FrontEnd, phase_spread
from workbook.receive.noise import Stage, passive_stage, ratio
from workbook.receive.transmitters import Transmitter, transmitter_levels
from workbook.units import ComplexArray, FloatArray, Floats, Quantity


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

    def _weights(self, number: int) -> ComplexArray:
        """Return the weights of every direction (D, N) on the band of a number, delay lines' losses in them."""
        losses = self.design.hub.at_taps(np.array([line.bands[number].loss_db for line in self.cut_lines]))
        # the last entry is for elements on no line, whose number is -1
        lost = np.append(losses, 0.0)[self.lines.used]
        return self.given.weights(self._hertz(number)) * 10 ** (-lost / 20)

    def _hertz(self, number: int) -> float:
        return list(self.design.band_hertz.values())[number]

    def _firing(self, number: int, weights: ComplexArray, direction: int) -> Firing:
        """Return the array on a band, aimed in a direction."""
        azimuth, elevation = self.design.directions[direction].azimuth, self.design.phasing.elevation
        hertz, ground = Quantity(self._hertz(number), "Hz"), self.design.ground_below()
        return Firing(self.layout, weights, hertz, azimuth, elevation, ground)

    @property
    def wanted_margin(self) -> Quantity:
        """The margin wanted [dB]."""
        return self._environment.margin

    def worst_bands(self, found: Reception) -> tuple[ReceiveBand, ...]:
        """Return every band in its direction of the least margin, with all of the chain but the runs."""
        names = [one.name for one in self.design.directions]
        return tuple(
            self._direction(number, names.index(band.direction), band.name, band.external_source)
            for number, band in enumerate(found.bands)
        )

    def _direction(self, number: int, direction: int, name: str, source: str) -> ReceiveBand:
        weights = self._weights(number)[direction]
        stages = self._stages(number, np.count_nonzero(weights))
        firing = self._firing(number, weights, direction)
        return ReceiveBand(name, firing, self._external(number), stages.element, stages.before, stages.after, source)

    def _stages(self, number: int, elements: Any) -> ChainStages:
        """Return the chain but for the runs on a band, with so many elements on."""
        receiver = self.design.receiver or ReceiverTable()
        after = (*self._match_stages(number), receiver.receiver())
        return ChainStages(self._element(number), receiver.before(elements), after)

    def _external(self, number: int) -> Quantity:
        name = list(self.design.bands)[number]
        try:
            return self._environment.external(name, self._hertz(number))
        except InputError as error:
            raise error.at(f"bands.{name}") from None

    def _element(self, number: int) -> Stage:
        try:
            return self._front_end.stage(self._hertz(number))
        except InputError as error:
            raise error.at("front_end.height", list(self.design.bands)[number]) from None

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
        return Reception(
            float(self._environment.margin.m_as("dB")),
            table.choke_tolerance,
            stops_hz(table.front_end()),
            tuple(self._band(number, name) for number, name in enumerate(self.design.bands)),
            self.voltages([one.transmitter() for one in self.design.transmitters]),
        )

    def voltages(self, own: Sequence[Transmitter]) -> tuple[TransmitterVoltage, ...]:
        """Return what transmitters near the array do at the buffers, against what these survive."""
        table = self._front_end
        limit = table.greatest_voltage or Quantity(1.0, "V")
        return tuple(
            TransmitterVoltage(
                each.transmitter.name,
                each.transmitter.frequency.m_as("Hz"),
                float(each.field.m_as("V/m")),
                None if each.voltage is None else float(each.voltage.m_as("V")),
                None if each.without_chokes is None else float(each.without_chokes.m_as("V")),
                float(limit.m_as("V")),
                each.switch_off,
            )
            for each in transmitter_levels(table.front_end(), own, limit)
        )

    def _band(self, number: int, name: str) -> ReceptionBand:
        element, receiver = self.runs.bands[number].loss_db, 0.0
        if self.receiver_run is not None:
            receiver = self.receiver_run.bands[number].loss_db
        weights, external = self._weights(number), self._external(number)
        stages = self._stages(number, np.count_nonzero(weights, axis=-1))
        # noise comes from everywhere, so that the azimuth does not matter
        margins = chain_margin(
            self._firing(number, weights, 0), external, stages, np.array(element), np.array(receiver)
        )
        place = int(np.argmin(margins.margin.m_as("dB")))
        worst = one_margin(margins, (place,))
        amplifier, at_receiver = self._levels(number, weights, (element, receiver))
        return ReceptionBand(
            name,
            float(external.m_as("dB")),
            self._environment.origin(name),
            float(stages.element.gain.m_as("dB")),
            float(stages.element.noise_figure.m_as("dB")),
            self.design.directions[place].name,
            float(worst.external.m_as("dB")),
            float(worst.margin.m_as("dB")),
            worst.limit,
            tuple(_parts(worst)),
            amplifier,
            at_receiver,
            *self._chokes(number, weights),
        )

    def _levels(
        self, number: int, weights: ComplexArray, losses: tuple[float, float]
    ) -> tuple[float | None, float | None]:
        """Return the strongest signal [dBm] at amplifier and receiver, of all directions."""
        field = self._environment.strong_signal
        if field is None:
            return None, None
        found: dict[str, float] = {}
        element_run, run = (passive_stage("run", Quantity(loss, "dB")) for loss in losses)
        for direction, row in enumerate(weights):
            stages = self._stages(number, np.count_nonzero(row))
            firing = self._firing(number, row, direction)
            for level in signal_levels(
                firing, field, stages.element, (element_run, *stages.before, run, *stages.after)
            ):
                found[level.stage] = max(float(level.level.m_as("dBm")), found.get(level.stage, -np.inf))
        return found.get("amplifier"), found["receiver"]

    def _chokes(self, number: int, weights: ComplexArray) -> tuple[float, float | None, float | None, float | None]:
        """Return the phase spread of the chokes [degree], the most RDF and front-to-back lost [dB], what is needed."""
        table, hertz = self._front_end, self._hertz(number)
        if not table.choke_inductance.magnitude:
            return 0.0, 0.0, 0.0, None
        front_end, frequency = table.front_end(), Quantity(hertz, "Hz")
        spread = float(phase_spread(front_end, frequency, table.choke_tolerance).m_as("degree"))
        ground, elevation = self.design.ground_below(), self.design.phasing.elevation_radians
        if nothing_arrives(ground, hertz, elevation):
            return spread, None, None, None
        azimuths = np.array([one.radians for one in self.design.directions])
        found = FiguresOfMerit(Arrival(self.layout.metres, hertz, azimuths, elevation, ground), weights)
        front, noise = ratio(found.signal_gain_db), ratio(found.noise_gain_db)
        powers = Powers(front, front / ratio(found.front_to_back_db), noise, weight_power(weights))
        lost, left = powers.with_errors(front_end, frequency, table.choke_tolerance)
        planned = np.minimum(found.front_to_back_db, HARDLY)
        needed = powers.widest(front_end, frequency, KEPT_RDF_DB, _least_back(planned))
        backs = planned - np.minimum(_db(left), HARDLY)
        return spread, float(_db(lost).max()), float(backs.max()), needed


def _least_back(planned: FloatArray) -> FloatArray:
    """Return the front-to-back to keep [dB]."""
    return np.minimum(planned - KEPT_FRONT_TO_BACK_DB, ENOUGH_FRONT_TO_BACK_DB)


def _db(power: Floats) -> FloatArray:
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(power))


def stops_hz(front_end: FrontEnd) -> float | None:
    """Return where reception stops [Hz]; None where it does not below 100 MHz."""
    try:
        return float(front_end.cutoff().m_as("Hz"))
    except InputError:
        return None


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
