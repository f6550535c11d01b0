"""From the vertical to the receiver: front end, chokes, own transmitters, noise margin, strong signals, feed."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from workbook.formatting import LengthUnits, rounded
from workbook.plan.reception import PlanFeed, Reception, ReceptionBand, TransmitterVoltage, stops_hz
from workbook.receive.dc_feed import DcFeed
from workbook.receive.front_end import FrontEnd
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.costs import cost_cell
from workbook.tables.table import Table
from workbook.units import Frequency, Gain, Quantity

UNKNOWN = "-"
CAUTIONS = (
    "On the bands received the chokes do not help: there a sequencer switches the buffers off, or disconnects them, "
    "before the transmitter is keyed, and on again after it.",
    "These figures protect the buffers. For people near antennas the exposure rules apply that hold where the station "
    "stands.",
)


def decibels(value: Gain, digits: int = 1, sign: str = "") -> str:
    """Write a gain or loss in dB, infinity as a sign."""
    plain = float(value.m_as("dB"))
    return rounded(plain, digits, sign) if math.isfinite(plain) else ("∞" if plain > 0 else "-∞")


def megahertz(frequency: Frequency) -> str:
    """Write a frequency in MHz."""
    return f"{float(frequency.m_as('MHz')):.4g}"


def _volts(value: float | None) -> str:
    return UNKNOWN if value is None else f"{value:.3g}"


def _level(value: float | None) -> str:
    return UNKNOWN if value is None else rounded(value, 1)


# --- element front end ------------------------------------------------------------------------------------


def response_table(front_end: FrontEnd, bands: Mapping[str, Frequency]) -> Table:
    """Return the response of one element on each band: |transfer| in dB and its phase.

    Parameters
    ----------
    front_end
        The front end.
    bands
        Name of a band -> frequency.

    Returns
    -------
    Table
    """
    rows = []
    for name, frequency in bands.items():
        transfer = complex(front_end.transfer(frequency))
        level = 20 * np.log10(abs(transfer))
        rows.append(
            (name, megahertz(Quantity(frequency)), rounded(level, 1), rounded(np.degrees(np.angle(transfer)), 1))
        )
    return Table("Response of one element", ("band", "MHz", "buffer over open circuit dB", "phase deg"), tuple(rows))


def front_end_sentence(front_end: FrontEnd) -> str:
    """Return where the response peaks, what damps the peak, and where reception stops, if it does."""
    peak = front_end.resonance()
    shares = {
        "the buffer's input": peak.input_share,
        "the chokes' loss": peak.choke_share,
        "the radiation": peak.radiation_share,
    }
    damped = max(shares, key=lambda name: shares[name])
    share, end = f"{100 * shares[damped]:.0f} %", stops_hz(front_end)
    stops = "reception does not stop below 100 MHz" if end is None else f"reception stops at {end / 1e6:.4g} MHz"
    return (
        f"The response peaks at {megahertz(peak.frequency)} MHz, {decibels(peak.gain)} dB above that at 1 MHz, "
        f"damped most by {damped} ({share}); {stops}."
    )


def choke_table(reception: Reception) -> Table:
    """Return what the tolerance of the chokes does on each band, and how well they must match."""
    rows = tuple(
        (
            band.name,
            rounded(band.choke_phase_spread_deg, 1),
            cost_cell(band.choke_cost),
            "any" if band.choke_tolerance_needed is None else percent(band.choke_tolerance_needed),
        )
        for band in reception.bands
    )
    headings = ("band", "greatest phase between elements deg", "costs RDF, F/B dB", "chokes must match within ±%")
    return Table(f"Chokes within ±{100 * reception.choke_tolerance:g} %", headings, rows)


LEAST_PERCENT, MOST_PERCENT = 0.1, 20.0
"""Tolerances of chokes below and above this are written as below and above it: nothing is measured that well, and
chokes as they are bought are better."""


def percent(tolerance: float) -> str:
    """Write a tolerance in per cent, rounded down to a tenth.

    Examples
    --------
    >>> percent(0.1168), percent(0.99), percent(0.0004)
    ('11.6', 'over 20', 'under 0.1')
    """
    value = 100 * tolerance
    if value >= MOST_PERCENT:
        return f"over {MOST_PERCENT:g}"
    return f"under {LEAST_PERCENT:g}" if value < LEAST_PERCENT else rounded(math.floor(10 * value + 1e-9) / 10, 1)


def choke_sentence(reception: Reception) -> str:
    """Return what the tolerance of the chokes costs at most, and what to do."""
    bands = [band for band in reception.bands if band.choke_cost and band.choke_tolerance_needed is not None]
    if not bands:
        return ""
    worst = min(bands, key=lambda band: band.choke_tolerance_needed or 0.0)
    needed, chokes = worst.choke_tolerance_needed or 0.0, f"chokes within ±{100 * reception.choke_tolerance:g} %"
    if not any(band.choke_cost.matters for band in bands if band.choke_cost):
        return f"To the pattern the difference between {chokes} does not matter."
    rdf, back = max(worst.choke_rdf_lost_db or 0.0, 0.0), max(worst.choke_front_to_back_lost_db or 0.0, 0.0)
    cost = (
        f"On {worst.name} {chokes} cost up to {rounded(rdf, 2)} dB of RDF and {rounded(back, 1)} dB of front-to-back."
    )
    if reception.choke_tolerance <= needed:
        return f"{cost} The pattern allows up to ±{percent(needed)} %: no sorting is needed."
    return f"{cost} Measure them and sort them into matched sets within ±{percent(needed)} %, or take less inductance."


def transmitter_table(transmitters: Sequence[TransmitterVoltage]) -> Table:
    """Return field and voltages of every own transmitter, and what to do with the buffers."""
    rows = tuple(
        (
            each.name,
            megahertz(Quantity(each.frequency_hz, "Hz")),
            _volts(each.field_v_per_m),
            _volts(each.voltage_v),
            _volts(each.without_chokes_v),
            _volts(each.limit_v),
            _verdict(each),
        )
        for each in transmitters
    )
    headings = ("transmitter", "MHz", "field V/m", "at the buffer V", "without chokes V", "limit V", "buffers")
    return Table("Own transmitters, rms", headings, rows)


def _verdict(one: TransmitterVoltage) -> str:
    if one.voltage_v is None:
        return "switch off: the vertical is longer than a quarter wave"
    if one.switch_off:
        return "switch off while transmitting"
    protected = one.without_chokes_v is not None and one.without_chokes_v > one.limit_v
    return "may stay on, thanks to the chokes" if protected else "may stay on"


def transmitter_sentences(transmitters: Sequence[TransmitterVoltage]) -> tuple[str, ...]:
    """Return when a sequencer must switch the buffers off, and the cautions; nothing without transmitters."""
    if not transmitters:
        return ()
    off = [one.name for one in transmitters if one.switch_off]
    said = f"A sequencer must switch the buffers off while these transmit: {', '.join(off)}." if off else (
        "The buffers may stay on while these transmit."
    )  # fmt: skip
    return (said, *CAUTIONS)


def front_end_answer(reception: Reception, tried: TransmitterVoltage, name: str) -> AnswerLine:
    """Return what a builder decides a front end by: where reception stops, what chokes cost, what a transmitter does.

    Parameters
    ----------
    reception
        What the plan says.
    tried
        The transmitter to try.
    name
        What the answer is of.
    """
    stops, least = reception.cutoff_hz, reception.least
    needed = [band.choke_tolerance_needed for band in reception.bands if band.choke_tolerance_needed is not None]
    lost = [band.choke_rdf_lost_db for band in reception.bands if band.choke_rdf_lost_db is not None]
    spread = max(band.choke_phase_spread_deg for band in reception.bands)
    return AnswerLine(
        name,
        (
            Figure("reception stops at", UNKNOWN if stops is None else f"{stops / 1e6:.3g}", "MHz"),
            Figure(
                "phase between elements",
                rounded(spread, 1),
                "deg",
            ),
            Figure("RDF lost to it", rounded(max(lost), 2) if lost else UNKNOWN, "dB"),
            Figure("chokes must match within", f"±{percent(min(needed))}" if needed else "any", "%" if needed else ""),
            Figure("transmitter at the buffer", _volts(tried.voltage_v), "V"),
            Figure("margin over internal noise", rounded(least.margin_db, 1, "+"), "dB"),
        ),
    )


# --- noise --------------------------------------------------------------------------------------------------


def reception_table(reception: Reception) -> Table:
    """Return external noise, margin and its limit band by band, in the direction of the least margin."""
    rows = tuple(
        (
            band.name,
            rounded(band.external_db, 1),
            band.external_source,
            rounded(band.margin_db, 1, "+"),
            rounded(noise_cost_db(band.margin_db), 2),
            band.limit,
            band.direction,
        )
        for band in reception.bands
    )
    headings = ("band", "external Fa dB", "by", "margin dB", "internal noise adds dB", "most of it from", "beam")
    return Table("External over internal noise at the receiver, least of all directions", headings, rows)


def noise_cost_db(margin_db: float) -> float:
    """Return by how much internal noise raises the noise floor, at a margin [dB].

    Examples
    --------
    >>> noise_cost_db(10.0)
    0.414
    """
    return 10 * math.log10(1 + 10 ** (-margin_db / 10))


_REMEDIES = {
    "front ends": "take a taller vertical or a buffer with less noise",
    "amplifier": "take an amplifier with less noise",
    "receiver": "take an amplifier at the hub",
    "receiver run": "take an amplifier at the hub or a cable with less loss",
    "hub": "take a hub with less loss",
    "match": "take a match with less loss, or an amplifier at the hub",
}


def margin_sentence(reception: Reception) -> str:
    """Say whether band noise rules at the receiver, what it costs where it does not, and what to do."""
    least, wanted = reception.least, reception.wanted_margin_db
    where = f"{rounded(least.margin_db, 1, '+')} dB, on {least.name} with the beam {least.direction}"
    if least.margin_db >= wanted:
        return (
            f"Band noise rules at the receiver on every band: the least margin over internal noise is {where}; "
            f"{wanted:g} dB are wanted. Internal noise raises the noise floor by "
            f"{rounded(noise_cost_db(least.margin_db), 2)} dB: more gain or a better cable does not matter."
        )
    return (
        f"The margin of band noise over internal noise is {where}, but {wanted:g} dB are wanted: internal noise raises "
        f"the noise floor by {rounded(noise_cost_db(least.margin_db), 1)} dB there. Most of it comes from: "
        f"{least.limit}; {_REMEDIES[least.limit]}."
    )


def contribution_table(band: ReceptionBand) -> Table:
    """Return each internal part's noise and its share on a band, the largest first."""
    total = sum(10 ** (part.level_db / 10) for part in band.parts)
    rows = tuple(
        (part.name, rounded(part.level_db, 1), rounded(100 * 10 ** (part.level_db / 10) / total, 0))
        for part in sorted(band.parts, key=lambda part: -part.level_db)
    )
    return Table(f"Internal noise at the receiver on {band.name}", ("part", "dB over kT0B", "share %"), rows)


def signal_table(reception: Reception) -> Table | None:
    """Return the level of the strongest signal at amplifier and receiver; None where none is entered."""
    if all(band.receiver_dbm is None for band in reception.bands):
        return None
    rows = tuple((band.name, _level(band.amplifier_dbm), _level(band.receiver_dbm)) for band in reception.bands)
    return Table("Level of the strongest signal", ("band", "at the amplifier dBm", "at the receiver dBm"), rows)


# --- feed ---------------------------------------------------------------------------------------------------


def feed_table(feed: PlanFeed, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what each run of the feed drops."""
    rows = tuple(
        (
            drop.run,
            units.text(drop.length_m),
            rounded(drop.loop_resistance_ohm, 2),
            rounded(1e3 * drop.current_a, 0),
            rounded(drop.drop_v, 2),
        )
        for drop in feed.drops
    )
    by = "coax" if feed.pair_gauge is None else f"a pair of AWG {feed.pair_gauge}"
    headings = ("run", "length", "loop ohm", "mA", "drop V")
    return Table(f"Feed of the front ends over {by}, supply {feed.supply_v:g} V", headings, rows)


NO_FEED = "does not work"
"""What stands in place of a voltage where the runs would drop more than the supply has."""


def arriving_volts(volts: float) -> str:
    """Write a voltage that arrives; none does where the runs would drop all of the supply.

    Examples
    --------
    >>> arriving_volts(9.96), arriving_volts(-1.9)
    ('10.0', 'does not work')
    """
    return rounded(volts, 1) if volts > 0 else NO_FEED


def feed_sentence(found: DcFeed | PlanFeed) -> str:
    """Return what voltage arrives, and where it is too low which supply or wire would do."""
    if isinstance(found, DcFeed):
        volts = (found.voltage, found.least_voltage, found.supply, found.supply_needed)
        arrived, least, supply, needed = (float(value.m_as("V")) for value in volts)
    else:
        arrived, least, supply, needed = found.voltage_v, found.least_voltage_v, found.supply_v, found.supply_needed_v
    arrives = f"{rounded(arrived, 1)} V arrive at the farthest front end"
    if arrived <= 0:
        arrives = "The feed does not work: the runs would drop more than the supply has"
    if found.is_enough:
        return f"{arrives}, {least:g} V are needed."
    gauge = found.gauge_needed
    wire = "no pair of copper wire would do" if gauge is None else f"a separate pair of AWG {gauge} or thicker would do"
    return (
        f"{arrives}, but {least:g} V are needed: with these runs a supply of {np.ceil(needed * 10 - 1e-6) / 10:.1f} V "
        f"would do; with {supply:g} V {wire}."
    )
