"""Tables, sentences and checklists of ground rods, bonding and the entry into the building."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from workbook.formatting import LengthUnits, rounded
from workbook.formulas import front_ends
from workbook.ground.conductors import SURGE_WAVES, SurgeWave, inductive_reactance, surge_voltage, wire_inductance
from workbook.ground.entry import Entry, Rods, Strap
from workbook.ground.metals import METALS, metal_pair
from workbook.ground.rods import SHAPES, SOILS
from workbook.ground.shield import SeriesGround, ShieldChoke, series_ground
from workbook.receive.front_end import FrontEnd
from workbook.tables.answer import AnswerLine, Figure
from workbook.tables.table import Table
from workbook.units import Frequency, Impedance, Length, Quantity

RADIO_GROUND = (
    "The conductivity of the design holds at radio frequencies, where wet soil loses more; at 50 or 60 Hz the same "
    "soil may have a few times this resistivity, and dry or frozen soil ten times. Measure the rods."
)
BRAID_AND_BENDS = (
    "Length counts nearly in full, width only a little: take the shortest strap, then the widest. A flat braid that is "
    "new has about the inductance of a strap as wide; its resistance rises as it corrodes, so outdoors take solid "
    "strap. Bend it in wide curves: a loop adds length, and a sharp corner may flash over (common practice, no "
    "published source)."
)
SMALL_DB, SMALL_DEG = 0.1, 1.0
"""Changes of one element's level and phase below these do not matter."""
WIRE_MM, WIRE_GAUGE = 4.1, "AWG 6"
"""Diameter of the wire that straps are compared with, and its name where lengths are in feet."""


def _figure(value: float) -> str:
    """Write three figures, never with a power of ten."""
    return f"{float(f'{value:.3g}'):g}"


def _ohms(value: Impedance) -> str:
    return _figure(float(value.m_as("ohm")))


def _kilovolts(value: Quantity) -> str:
    return _figure(float(value.m_as("kV")))


# --- rods -------------------------------------------------------------------------------------------------


def rods_table(
    rods: Rods, units: LengthUnits = LengthUnits.BOTH, counts: Sequence[int] = (1, 2, 3, 4, 6, 8, 12)
) -> Table:
    """Return the resistance of some numbers of such rods in each shape.

    Parameters
    ----------
    rods
        The rods, whose number and shape are left out of account but for a row of their own.
    units
        How lengths are written.
    counts
        Numbers of rods; those that do not fill a square have a dash there.

    Returns
    -------
    Table
        Resistances in ohm.
    """

    def cell(count: int, shape: str) -> str:
        if shape == "square" and count > 2 and count % 4:
            return "-"
        return _ohms(replace(rods, count=count, shape="line" if count < 3 else shape).resistance)

    numbers = sorted({*counts, rods.count})
    rows = tuple((str(count), *(cell(count, shape) for shape in SHAPES)) for count in numbers)
    title = f"Resistance of rods of {_length(rods.length, units)}, {_length(rods.spacing, units)} apart"
    return Table(title, ("rods", *(f"{shape} ohm" for shape in SHAPES)), rows)


def _length(length: Length, units: LengthUnits) -> str:
    return units.text(float(Quantity(length).m_as("m")))


def soils_table() -> Table:
    """Return the kinds of soil with the ranges of their resistivity."""
    rows = tuple(
        (soil.name, f"{soil.least.m_as('ohm*m'):g}", f"{soil.greatest.m_as('ohm*m'):g}") for soil in SOILS.values()
    )
    source = next(iter(SOILS.values())).source
    return Table(f"Soil ({source})", ("soil", "least ohm m", "greatest ohm m"), rows)


# --- conductors -------------------------------------------------------------------------------------------


def reactance_table(conductors: Mapping[str, Quantity], bands: Mapping[str, Frequency]) -> Table:
    """Return the reactance of conductors on each band.

    Parameters
    ----------
    conductors
        What each is -> its inductance.
    bands
        Name of a band -> frequency.

    Returns
    -------
    Table
        Inductances in uH, reactances in ohm.
    """
    rows = tuple(
        (
            name,
            f"{float(inductance.m_as('uH')):.2f}",
            *(_ohms(inductive_reactance(inductance, frequency)) for frequency in bands.values()),
        )
        for name, inductance in conductors.items()
    )
    return Table("Reactance of conductors to ground", ("conductor", "µH", *(f"{name} ohm" for name in bands)), rows)


def strap_and_rise(
    inductance: Quantity, resistance: Impedance, wave: SurgeWave, share: float = 1.0
) -> tuple[Quantity, Quantity]:
    """Return the voltage along a conductor, and of its rods against far earth, for one standard wave.

    Parameters
    ----------
    inductance, resistance
        Of the conductor, and of the rods.
    wave
        The wave.
    share
        Share of the peak current that takes this path, a plain number.

    Returns
    -------
    two quantities in V
    """
    current, ohms = share * wave.peak, Quantity(resistance, "ohm")
    along = surge_voltage(inductance, Quantity(0.0, "ohm"), current, wave.rise_time)
    return along, surge_voltage(Quantity(0.0, "H"), ohms, current, wave.rise_time)


def surge_table(
    inductance: Quantity, resistance: Impedance, waves: Mapping[str, SurgeWave] = SURGE_WAVES, share: float = 1.0
) -> Table:
    """Return the voltage along a conductor, and of the rods under it, for every standard wave.

    Parameters
    ----------
    inductance
        Of the conductor from the panel to the rods.
    resistance
        Of the rods.
    waves
        Standard waves by name.
    share
        Share of the peak current that takes this path, a plain number.

    Returns
    -------
    Table
        Currents in kA, voltages in kV.
    """
    rows = []
    for wave in waves.values():
        along, rise = strap_and_rise(inductance, resistance, wave, share)
        current = _figure(float((share * wave.peak).m_as("kA")))
        rows.append((f"{wave.name} µs", wave.use, current, _kilovolts(along), _kilovolts(rise)))
    headings = ("wave", "what it stands for", "peak kA", "along the conductor kV", "rods against far earth kV")
    return Table("Voltage while the current rises", headings, tuple(rows))


def one_point_sentence(along: Quantity, rise: Quantity, between: Quantity) -> str:
    """Return why all is joined at one point by something short and wide, with the figures that say so.

    Parameters
    ----------
    along
        Voltage along the strap.
    rise
        Voltage of the rods against far earth.
    between
        Voltage between these rods and an earth that is not joined to them.
    """
    return (
        f"The strap takes {_kilovolts(along)} kV, and the rods rise {_kilovolts(rise)} kV above far earth. That rise "
        f"does no harm inside where everything rises with it; an earth that is not joined would stay "
        f"{_kilovolts(between)} kV below, and the equipment between both takes it. So: one point, joined to the mains "
        "earth, every conductor short and wide."
    )


def strap_lengths(strap: Strap, units: LengthUnits = LengthUnits.BOTH) -> dict[str, Quantity]:
    """Return the inductance of a strap, of one half as long, twice as long and twice as wide, and of a thin wire.

    Parameters
    ----------
    strap
        The strap.
    units
        How lengths are written.

    Returns
    -------
    dict
        What each is -> its inductance [H].
    """
    length, width = Quantity(strap.length), Quantity(strap.width)
    wide = units.small(float(width.m_as("m")))
    made = {
        f"strap, {_length(length, units)} by {wide}": strap.inductance,
        "half as long": replace(strap, length=length / 2).inductance,
        "twice as long": replace(strap, length=2 * length).inductance,
        "twice as wide": replace(strap, width=2 * width).inductance,
    }
    if length.m_as("mm") > WIRE_MM:
        made[f"wire of {units.joined(f'{WIRE_MM:g} mm', WIRE_GAUGE)}"] = wire_inductance(
            length, Quantity(WIRE_MM, "mm")
        )
    return made


def entry_answer(entry: Entry, bands: Mapping[str, Frequency]) -> AnswerLine:
    """Return the figures that decide about an entry: rods, strap, and the voltages of a surge.

    Parameters
    ----------
    entry
        Rods, strap and surge.
    bands
        Name of a band -> frequency; the first is used.

    Returns
    -------
    AnswerLine
    """
    band, frequency = next(iter(bands.items()))
    rods, strap = entry.rods, entry.strap
    figures = (
        Figure("rods", _ohms(rods.resistance), "ohm"),
        Figure("strap", f"{float(strap.inductance.m_as('uH')):.2f}", "µH"),
        Figure(f"strap on {band}", _ohms(inductive_reactance(strap.inductance, frequency)), "ohm"),
        Figure("along the strap", _kilovolts(entry.along), "kV"),
        Figure("rods against far earth", _kilovolts(entry.rise), "kV"),
        Figure("against another earth", _kilovolts(entry.between), "kV"),
    )
    one = "1 rod" if rods.count == 1 else f"{rods.count} rods in a {rods.shape}"
    soil = _figure(float(Quantity(rods.resistivity).m_as("ohm*m")))
    surge = f"{entry.wave} µs, {_figure(float(entry.current.m_as('kA')))} kA"
    return AnswerLine(f"{one} in {soil} ohm m, surge {surge}", figures)


# --- element ----------------------------------------------------------------------------------------------


def element_ground(front_end: FrontEnd, frequency: Frequency, resistance: Impedance) -> SeriesGround:
    """Return what the ground resistance of an element does to its signal.

    Parameters
    ----------
    front_end
        Vertical, chokes and buffer of the element.
    frequency
        Frequency.
    resistance
        Resistance of its rods.

    Returns
    -------
    SeriesGround
        Loss [dB] and phase [degree].
    """
    buffer = front_ends.input_impedance(
        front_end.input_resistance.m_as("ohm"), front_end.input_capacitance.m_as("F"), Quantity(frequency).m_as("Hz")
    )
    # what the buffer's impedance is of the whole, the transfer says
    source = buffer / front_end.transfer(frequency) - buffer
    return series_ground(Quantity(source, "ohm"), Quantity(buffer, "ohm"), resistance)


def element_table(front_end: FrontEnd, bands: Mapping[str, Frequency], resistance: Impedance) -> Table:
    """Return what the ground resistance of an element does to its signal on each band.

    Parameters
    ----------
    front_end
        Vertical, chokes and buffer of the element.
    bands
        Name of a band -> frequency.
    resistance
        Resistance of its rods.

    Returns
    -------
    Table
        Losses in dB, phases in degree, positive = later.
    """
    rows = []
    for name, frequency in bands.items():
        if Quantity(frequency).m_as("Hz") >= front_end.vertical.quarter_wave_hertz:
            rows.append((name, "-", "-", "not computed: the vertical reaches a quarter wave"))
            continue
        found = element_ground(front_end, frequency, resistance)
        loss, later = float(found.loss.m_as("dB")), float(found.phase.m_as("degree"))
        rows.append((name, rounded(loss, 2), rounded(later, 2, "+"), _verdict(abs(loss), abs(later))))
    title = f"What {_ohms(Quantity(resistance))} ohm of ground do to an element's signal"
    return Table(title, ("band", "loss dB", "phase deg", "what it means"), tuple(rows))


def _verdict(loss: float, later: float) -> str:
    if loss < SMALL_DB and later < SMALL_DEG:
        return "does not matter"
    return "alike at all elements it does no harm; so give all elements the same rods"


def choke_sentence(choke: ShieldChoke, rejection: Quantity, shared: Impedance) -> str:
    """Return how many turns a cable needs for a rejection, and what is left.

    Parameters
    ----------
    choke
        From `wb.shield_choke`.
    rejection
        What was wanted.
    shared
        Resistance that shield current and signal share.
    """
    ohms = complex(choke.impedance.m_as("ohm"))
    sign = "−" if ohms.imag < 0 else "+"
    wanted, reached = (rounded(float(Quantity(value).m_as("dB")), 0) for value in (rejection, choke.rejection))
    return (
        f"{wanted} dB against {_ohms(Quantity(shared))} ohm need {_ohms(choke.wanted)} ohm of resistance: "
        f"{choke.turns} turns, {_figure(ohms.real)} {sign} j{_figure(abs(ohms.imag))} ohm; what the "
        f"cable's shield brings is then {reached} dB lower."
    )


def metals_table(metals: Sequence[str] = ("copper", "brass", "tin plate", "stainless steel")) -> Table:
    """Return which metals may touch the usual ones outdoors, by the galvanic series.

    Parameters
    ----------
    metals
        What conductors and clamps are made of.

    Returns
    -------
    Table
    """
    rows = []
    for metal in metals:
        pairs = [metal_pair(metal, other) for other in METALS if other not in (metal, "gold", "silver")]
        lasting = ", ".join(pair.metals[1] for pair in pairs if pair.outdoors)
        avoid = ", ".join(pair.metals[1] for pair in pairs if not pair.sheltered)
        rows.append((metal, lasting or "-", avoid or "-"))
    title = "Metals that may touch (anodic index of MIL-STD-889, from memory; 0.15 V outdoors, 0.25 V under a roof)"
    return Table(title, ("metal", "lasts outdoors with", "avoid"), tuple(rows))
