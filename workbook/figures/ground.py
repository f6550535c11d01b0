"""Ground and entry: voltage along straps by length and width, and the drawing of panel, strap and rods."""

from collections.abc import Mapping

import numpy as np

from workbook.figures.chart import TALL, WIDE, Chart, Curve, Item, Plot, Rule, length_axis, linear_axis
from workbook.figures.style import FAINT, FIRST, INK, SECOND, THIRD, look
from workbook.figures.svg import document, font_size_within, rectangle, stroke, text
from workbook.formatting import LengthUnits
from workbook.ground.conductors import (
    SurgeWave,
    inductive_reactance,
    strap_inductance,
    surge_voltage,
    wire_inductance,
)
from workbook.ground.entry import Entry, Rods
from workbook.ground.rods import rod_places
from workbook.tables.ground import WIRE_GAUGE, WIRE_MM
from workbook.units import FloatArray, Frequency, Quantity

WIDTHS_MM, WIDTHS_IN = (25.0, 50.0, 100.0), (1.0, 2.0, 4.0)
THICKNESS_MM = 0.5
"""Thickness of the straps that are drawn."""
ACROSS, HIGH = 420.0, 364.0
"""Size of the drawing [px]."""
SIZE = 14.0
"""Letters [px]: legible where the drawing is as wide as a phone."""
SOIL, WALL = 182.0, 120.0
"""Height of the soil's surface, and where the wall of the building stands [px]."""


def strap_curves(wave: SurgeWave, share: float, metres: FloatArray, units: LengthUnits) -> Mapping[str, FloatArray]:
    """Return the voltage [kV] along a wire and straps of each width, by their length [m].

    Parameters
    ----------
    wave
        The wave.
    share
        Share of its peak current in the conductor.
    metres
        Lengths [m].
    units
        System in which the widths are round.
    """
    length, (unit, size) = Quantity(metres, "m"), units.small_scale
    wire = units.joined(f"{WIRE_MM:g} mm", WIRE_GAUGE)
    conductors = {f"wire {wire}": wire_inductance(length, Quantity(WIRE_MM, "mm"))} | {
        f"strap {wide:g} {unit}": strap_inductance(length, Quantity(wide * size, "m"), Quantity(THICKNESS_MM, "mm"))
        for wide in (WIDTHS_IN if unit == "in" else WIDTHS_MM)
    }
    none = Quantity(0.0, "ohm")
    return {
        name: surge_voltage(inductance, none, share * wave.peak, wave.rise_time).m_as("kV")
        for name, inductance in conductors.items()
    }


def strap_picture(entry: Entry, units: LengthUnits = LengthUnits.METRIC) -> Chart:
    """Return the voltage along a conductor against its length, for a wire and three straps; the entry's is marked."""
    wave, length = entry.surge, float(Quantity(entry.strap.length).m_as("m"))
    metres = np.linspace(0.1, max(5.0, 1.2 * length), 60)
    items = list[Item]()
    for number, (name, kilovolts) in enumerate(strap_curves(wave, entry.share, metres, units).items()):
        colour, dashes, marker = look(number)
        items.append(Curve(name, metres, kilovolts, colour, 1.6, dashes, marker, 5, every=slice(6 * number, None, 24)))
    here = float(entry.along.m_as("kV"))
    top = max(here, *(float(np.max(item.y)) for item in items if isinstance(item, Curve)))
    own = Curve("this strap", np.array([length]), np.array([here]), INK, 0, marker="x", size=10)
    across = length_axis("length of the conductor", 0.0, float(metres[-1]), units)
    up = linear_axis("voltage along it (kV)", 0.0, 1.05 * top)
    state = f"{wave.name} µs, {entry.current.m_as('kA'):.3g} kA"
    plot = Plot(across, up, (Rule("now", length), *items, own), TALL)
    return Chart("Voltage along a conductor in a surge", state, (plot,), WIDE)


def entry_drawing(entry: Entry, bands: Mapping[str, Frequency], units: LengthUnits = LengthUnits.METRIC) -> str:
    """Return panel, strap, rods and mains earth from the side, and the rods from above, as SVG; not to scale.

    Parameters
    ----------
    entry
        Rods and strap.
    bands
        Name of a band -> frequency; the reactance is that on the first.
    units
        How lengths are written.
    """
    parts = [
        text(ACROSS / 2, 20, "Entry: one point, short and wide", 16),
        _words(ACROSS / 2, 42, "not to scale; mains earth by an electrician", ACROSS, "middle"),
        *_building(),
        stroke(0, SOIL, ACROSS, SOIL, INK, 1.5),
        *_panel(),
        *_rods(entry.rods.count),
        *_figures(entry, bands, units),
        *_perimeter(),
        *_above(entry.rods),
    ]
    return document(parts, ACROSS, HIGH)


def _words(x: float, y: float, words: str, room: float, anchor: str = "start") -> str:
    return text(x, y, words, font_size_within(words, room, SIZE, 0.56), anchor)


def _building() -> list[str]:
    return [
        rectangle(18, 60, WALL - 18, SOIL - 60, line=INK),
        _words((18 + WALL) / 2, 78, "station", 90, "middle"),
        rectangle(26, 96, 72, 26, line=INK),
        _words(62, 114, "receiver", 70, "middle"),
        stroke(98, 109, WALL, 109, FIRST, 2),
        stroke(36, 122, 36, SOIL + 54, THIRD, 3, "7 3"),
        _words(42, 140, "mains", 70),
        _words(42, 156, "earth", 70),
    ]


def _panel() -> list[str]:
    cables = (stroke(WALL + 14, y, ACROSS, y + 24, FIRST, 2) for y in (96, 105, 114))
    return [
        rectangle(WALL, 88, 14, 42, line=INK, fill=SECOND),
        *cables,
        _words(WALL + 20, 82, "entry panel", 110),
        _words(ACROSS - 6, 92, "cables from the array", 170, "end"),
        stroke(WALL + 7, 130, WALL + 7, SOIL + 6, SECOND, 6),
    ]


def _rods(count: int) -> list[str]:
    shown = min(count, 4)
    places = [WALL + 7 + 34 * number for number in range(shown)]
    more = (_words(places[-1] + 12, SOIL + 40, f"... {count} in all", 110),) if count > shown else ()
    return [
        stroke(places[0], SOIL + 6, places[-1], SOIL + 6, SECOND, 3),
        *(stroke(x, SOIL, x, SOIL + 70, INK, 4) for x in places),
        *more,
    ]


def _figures(entry: Entry, bands: Mapping[str, Frequency], units: LengthUnits) -> list[str]:
    """Write what strap and rods are, and what they come to."""
    rods, strap = entry.rods, entry.strap
    length, rod, spacing = (
        units.on_drawing(float(Quantity(value).m_as("m"))) for value in (strap.length, rods.length, rods.spacing)
    )
    band, frequency = next(iter(bands.items()))
    ohms = float(inductive_reactance(strap.inductance, frequency).m_as("ohm"))
    henry, wide = float(strap.inductance.m_as("uH")), units.alone.small(float(Quantity(strap.width).m_as("m")))
    soil = float(Quantity(rods.resistivity).m_as("ohm*m"))
    return [
        _words(WALL + 20, SOIL - 25, f"strap {length} by {wide}", 275),
        _words(WALL + 20, SOIL - 8, f"{henry:.2f} µH, {ohms:.3g} ohm on {band}", 275),
        _words(8, SOIL + 94, f"{rods.count} {'rod' if rods.count == 1 else 'rods'}, {rod} long", 300),
        *(() if rods.count == 1 else (_words(8, SOIL + 114, f"{spacing} apart", 300),)),
        _words(8, SOIL + 134, f"{float(rods.resistance.m_as('ohm')):.3g} ohm in {soil:.4g} ohm m", 300),
    ]


def _perimeter() -> list[str]:
    y = SOIL + 18
    return [
        stroke(36, SOIL + 12, 36, SOIL + 70, INK, 4),
        stroke(36, y, WALL + 7, y, THIRD, 3, "7 3"),
        _words(44, y + 17, "joined", 74),
    ]


def _above(rods: Rods) -> list[str]:
    """Draw the rods from above into the lower right corner."""
    centre, half = complex(ACROSS - 56, SOIL + 112), 34.0
    places = rod_places(rods.shape, rods.count)
    places = places - (places.max(initial=0) + places.min(initial=0)) / 2 if rods.shape == "line" else places
    reach = max(float(np.abs(places.real).max()), float(np.abs(places.imag).max()), 0.5)
    spots = centre + half / reach * np.conj(places)
    return [
        rectangle(centre.real - 48, centre.imag - 46, 96, 92, line=FAINT),
        *(f'<circle cx="{spot.real:.1f}" cy="{spot.imag:.1f}" r="4" style="fill: {INK}"/>' for spot in spots),
        _words(centre.real, centre.imag + 60, "from above", 96, "middle"),
    ]
