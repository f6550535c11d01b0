"""Tables and sentences of the receiving chain: front end, own transmitters, margins, cables for long runs, reels."""

from collections.abc import Mapping

import numpy as np

from workbook.chain.cable_comparison import CableComparison, CableRow, Recommendation
from workbook.chain.choke_mismatch import ChokeMismatch
from workbook.chain.noise_margin import NoiseMargin, SignalLevel, least_margin
from workbook.formatting import LengthUnits, rounded
from workbook.receive.cutting import CutPlan
from workbook.receive.dc_feed import DcFeed
from workbook.receive.front_end import FrontEnd
from workbook.receive.transmitters import TransmitterLevel
from workbook.tables.table import Table
from workbook.units import Frequency, Gain, Quantity

UNKNOWN = "-"
CAUTIONS = (
    "On the bands received the chokes do not help: there a sequencer switches the buffers off, or disconnects them, "
    "before the transmitter is keyed, and on again after it.",
    "These figures protect the buffers. For people near antennas the exposure rules apply that hold where the station "
    "stands.",
)


def _db(value: Gain, digits: int = 1, sign: str = "") -> str:
    plain = float(value.m_as("dB"))
    return rounded(plain, digits, sign) if np.isfinite(plain) else ("∞" if plain > 0 else "-∞")


def _megahertz(frequency: Frequency) -> str:
    return f"{float(frequency.m_as('MHz')):.4g}"


def _volts(value: Quantity | None) -> str:
    return UNKNOWN if value is None else f"{float(value.m_as('V')):.3g}"


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
            (name, _megahertz(Quantity(frequency)), rounded(level, 1), rounded(np.degrees(np.angle(transfer)), 1))
        )
    return Table("Response of one element", ("band", "MHz", "buffer over open circuit dB", "phase deg"), tuple(rows))


def front_end_sentence(front_end: FrontEnd) -> str:
    """Return where the response peaks, what damps the peak, and where reception stops."""
    peak = front_end.resonance()
    shares = {
        "the buffer's input": peak.input_share,
        "the chokes' loss": peak.choke_share,
        "the radiation": peak.radiation_share,
    }
    damped = max(shares, key=lambda name: shares[name])
    return (
        f"The response peaks at {_megahertz(peak.frequency)} MHz, {_db(peak.gain)} dB above that at 1 MHz, damped most "
        f"by {damped} ({100 * shares[damped]:.0f} %); reception stops at {_megahertz(front_end.cutoff())} MHz."
    )


def choke_table(mismatches: Mapping[str, ChokeMismatch]) -> Table:
    """Return what the tolerance of the chokes does on each band.

    Parameters
    ----------
    mismatches
        Name of a band -> what its chokes do.

    Returns
    -------
    Table
    """
    rows = tuple(
        (
            name,
            rounded(100 * each.inductance_tolerance, 1),
            rounded(float(each.phase_spread.m_as("degree")), 1),
            _db(each.rdf_loss, 2),
            _db(each.front_to_back),
        )
        for name, each in mismatches.items()
    )
    headings = ("band", "tolerance ±%", "greatest phase between elements deg", "RDF lost dB", "front-to-back left dB")
    return Table("What the chokes' tolerance costs", headings, rows)


def transmitter_table(levels: tuple[TransmitterLevel, ...]) -> Table:
    """Return field and voltages of every own transmitter, and what to do with the buffers."""
    rows = tuple(
        (
            each.transmitter.name,
            _megahertz(each.transmitter.frequency),
            f"{float(each.field.m_as('V/m')):.3g}",
            _volts(each.voltage),
            _volts(each.without_chokes),
            _volts(each.limit),
            _verdict(each),
        )
        for each in levels
    )
    headings = ("transmitter", "MHz", "field V/m", "at the buffer V", "without chokes V", "limit V", "buffers")
    return Table("Own transmitters, rms", headings, rows)


def _verdict(level: TransmitterLevel) -> str:
    if level.voltage is None:
        return "switch off: the vertical is longer than a quarter wave"
    if level.switch_off:
        return "switch off while transmitting"
    return "may stay on, thanks to the chokes" if level.chokes_protect else "may stay on"


# --- noise --------------------------------------------------------------------------------------------------


def margin_table(margins: Mapping[str, NoiseMargin]) -> Table:
    """Return external and internal noise of each band at the receiver's input, and the margin.

    Parameters
    ----------
    margins
        Name of a band or direction -> its margin, of one set of weights.

    Returns
    -------
    Table
        Levels in dB over kT0B.
    """
    rows = tuple(
        (name, _db(each.external), _db(each.front_end), _db(each.chain), _db(each.margin, 1, "+"), each.limit)
        for name, each in margins.items()
    )
    headings = ("band", "external dB", "front ends dB", "chain dB", "margin dB", "most internal noise")
    return Table("Noise at the receiver's input over kT0B", headings, rows)


def margin_sentence(margins: Mapping[str, NoiseMargin]) -> str:
    """Return the least margin, where it is, and what limits it."""
    least = least_margin(margins)
    return (
        f"Least margin {_db(least.margin, 1, '+')} dB, on {least.case}; most internal noise comes from: {least.limit}."
    )


def contribution_table(margin: NoiseMargin) -> Table:
    """Return each internal part's noise and its share, the largest first."""
    levels = {part.name: float(part.level.m_as("dB")) for part in margin.contributions}
    total = sum(10 ** (level / 10) for level in levels.values())
    rows = tuple(
        (name, _db(Quantity(level, "dB")), rounded(100 * 10 ** (level / 10) / total if total else 0.0, 0))
        for name, level in sorted(levels.items(), key=lambda pair: -pair[1])
    )
    return Table("Internal noise by part", ("part", "dB over kT0B", "share %"), rows)


def signal_table(levels: tuple[SignalLevel, ...]) -> Table:
    """Return the level of a signal at the input of each stage."""
    rows = tuple((each.stage, rounded(float(each.level.m_as("dBm")), 1)) for each in levels)
    return Table("Level of a signal", ("at the input of", "dBm"), rows)


# --- cables for long runs -----------------------------------------------------------------------------------


def cable_table(comparison: CableComparison, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return every cable's loss, margin, feed, size and cost on all bands."""
    names = [loss.band for loss in comparison.rows[0].bands]
    headings = ("cable", *(f"{name} loss dB (range)" for name in names), *(f"{name} margin dB" for name in names))
    headings += ("feed V", "cost", "mass kg", "diameter mm", "meets")
    return Table(_runs_title(comparison, units), headings, tuple(_cable_cells(row) for row in comparison.rows))


def _runs_title(comparison: CableComparison, units: LengthUnits) -> str:
    runs = comparison.runs
    parts = (
        [f"{runs.elements} element runs of {units.text(runs.element_run.m_as('m'))}"]
        if runs.element_run.magnitude
        else []
    )
    parts += [f"receiver run of {units.text(runs.receiver_run.m_as('m'))}"] if runs.receiver_run.magnitude else []
    return f"Cables for {' and '.join(parts)}, margin wanted {_db(comparison.wanted_margin)} dB"


def _cable_cells(row: CableRow) -> tuple[str, ...]:
    losses = []
    for loss in row.bands:
        spread = "" if _db(loss.least) == _db(loss.greatest) else f" ({_db(loss.least)} to {_db(loss.greatest)})"
        losses.append(f"{_db(loss.typical)}{spread}")
    margins = [_db(loss.worst_margin.margin, 1, "+") for loss in row.bands]
    return (
        row.cable.name,
        *losses,
        *margins,
        UNKNOWN if row.feed is None else rounded(float(row.feed.voltage.m_as("V")), 1),
        "no price" if row.cost is None else f"{row.cost:.2f}",
        UNKNOWN if row.mass is None else rounded(float(row.mass.m_as("kg")), 1),
        UNKNOWN if row.diameter is None else rounded(float(row.diameter.m_as("mm")), 1),
        "yes" if row.meets else "no",
    )


def burial_sentences(comparison: CableComparison) -> tuple[str, ...]:
    """Return which cables exist in a version for burial, and which losses are estimates."""
    buried = (f"{row.cable.name}: {text}." for row in comparison.rows for text in row.burial)
    estimated = (
        f"{row.cable.name}: loss below {_megahertz(row.estimated_below)} MHz is an estimate."
        for row in comparison.rows
        if row.estimated_below is not None
    )
    return (*buried, *estimated)


def recommendation_sentences(comparison: CableComparison) -> tuple[str, ...]:
    """Return the choice in plain words: the cheapest that meets the margin, the runner-up, and why."""
    found, wanted = comparison.recommendation, _db(comparison.wanted_margin)
    said = _choice(found, wanted)
    unpriced = [row.cable.name for row in comparison.rows if row.cost is None]
    if unpriced and len(unpriced) < len(comparison.rows):
        said.append(f"Without a price, and so not ranked by cost: {', '.join(unpriced)}.")
    elif unpriced:
        said.append("No cable has a price: enter prices per metre to rank them by cost.")
    said += [feed_sentence(row.feed) for row in comparison.rows[:1] if row.feed and not row.feed.is_enough]
    return tuple(said)


def _choice(found: Recommendation, wanted: str) -> list[str]:
    if found.best is None:
        if found.nearest is None:
            return ["No cable with a price meets the margin; those without a price that do are marked."]
        least = found.nearest.least_margin
        return [
            f"No cable meets {wanted} dB on all bands with its feed: nearest is {found.nearest.cable.name} with "
            f"{_db(least.margin, 1, '+')} dB on {least.case}, where most internal noise comes from: {least.limit}."
        ]
    best = found.best
    said = [
        f"Take {best.cable.name}: of all that keep external noise {wanted} dB above internal noise on every band it is "
        f"the cheapest ({best.cost:.2f}), with {_db(best.least_margin.margin, 1, '+')} dB on {best.least_margin.case}."
    ]
    if found.runner_up is not None:
        said.append(
            f"Runner-up is {found.runner_up.cable.name} ({found.runner_up.cost:.2f}), with "
            f"{_db(found.runner_up.least_margin.margin, 1, '+')} dB."
        )
    if found.next_better is not None and found.gain is not None and found.gain_per_cost is not None:
        said.append(
            f"The next better one, {found.next_better.cable.name}, buys {_db(found.gain)} dB of margin more, "
            f"{found.gain_per_cost:.3g} dB per unit of money."
        )
    return said


def feed_sentence(found: DcFeed) -> str:
    """Return what voltage arrives, and where it is too low which supply or wire would do."""
    arrives = f"{rounded(float(found.voltage.m_as('V')), 1)} V arrive at the farthest front end"
    if found.is_enough:
        return f"{arrives}, {found.least_voltage.m_as('V'):g} V are needed."
    supply = np.ceil(found.supply_needed.m_as("V") * 10 - 1e-6) / 10
    gauge = found.gauge_needed
    wire = "no pair of copper wire would do" if gauge is None else f"a separate pair of AWG {gauge} or thicker would do"
    return (
        f"{arrives}, but {found.least_voltage.m_as('V'):g} V are needed: with these runs a supply of {supply:.1f} V "
        f"would do; with {found.supply.m_as('V'):g} V {wire}."
    )


# --- reels ------------------------------------------------------------------------------------------------


def cutting_table(plan: CutPlan, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return the cuts in order: reel, place along it, label and length; `csv()` of it is the list to take along."""
    lengths = {piece.label: piece.length.m_as("m") for piece in plan.pieces}
    groups = {piece.label: piece.group or "" for piece in plan.pieces}
    kerf = plan.kerf.m_as("m")
    rows = []
    for cut in plan.cuts:
        at = 0.0
        for number, label in enumerate(cut.pieces, 1):
            end = at + lengths[label]
            rows.append((cut.reel, str(number), label, groups[label], units.text(lengths[label]), units.text(end)))
            at = end + kerf
    headings = ("reel", "cut", "piece", "group", "length", "cut at, from the reel's start")
    return Table("Cutting plan", headings, tuple(rows))


def reel_table(plan: CutPlan, units: LengthUnits = LengthUnits.BOTH) -> Table:
    """Return what is cut from each opened reel, what the kerfs take and what is left."""
    lengths = {piece.label: piece.length.m_as("m") for piece in plan.pieces}
    stock = {reel.label: reel for reel in plan.reels}
    kerf = plan.kerf.m_as("m")
    rows = []
    for cut in plan.cuts:
        reel = stock[cut.reel]
        pieces = sum(lengths[label] for label in cut.pieces)
        rest = reel.length.m_as("m") - pieces
        # the last piece needs no cut where it ends at the reel's end
        kerfs = min(kerf * len(cut.pieces), rest)
        factor = UNKNOWN if reel.velocity_factor is None else rounded(float(reel.velocity_factor), 4)
        rows.append((reel.label, factor, *(units.text(max(0.0, part)) for part in (pieces, kerfs, rest - kerfs))))
    headings = ("reel", "velocity factor measured", "pieces", "kerfs", "left")
    return Table("Reels opened", headings, tuple(rows))


def cutting_sentence(plan: CutPlan, units: LengthUnits = LengthUnits.BOTH) -> str:
    """Return how much is opened and wasted, and whether a better plan can exist."""
    proof = "no plan opens less" if plan.proven else f"a plan may exist that opens up to {100 * plan.gap:.1f} % less"
    return (
        f"{len(plan.cuts)} of {len(plan.reels)} reels opened, {units.text(plan.opened.m_as('m'))}; "
        f"{units.text(plan.waste.m_as('m'))} of it left over or lost in kerfs; {proof}."
    )
