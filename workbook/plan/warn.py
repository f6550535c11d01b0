"""What a builder should know before cutting, in plain words."""

from collections.abc import Iterator

import numpy as np

from workbook.bands import edges_hz
from workbook.line.cable import Cable
from workbook.line.catalogue import cable
from workbook.plan.cuts import band_frequencies, design_cable
from workbook.plan.results import DelayLine, ElementRuns
from workbook.plan.schema import DesignFile

CONNECTORS_RULE = 0.1
"""Share of a line's delay above which its connectors, not its cable, decide how good it is."""


def warnings(design: DesignFile, lines: tuple[DelayLine, ...], runs: ElementRuns) -> tuple[str, ...]:
    """Return the warnings of a plan, most urgent first."""
    return (
        *_clad(design, lines, max(band_frequencies(design).values())),
        *_short(design, lines),
        *_measured(design),
        *_slips(design, lines, runs),
        *_impedances(design),
        *_same_way(design),
        *_bands(design),
        *_few(lines),
    )


def _clad(design: DesignFile, lines: tuple[DelayLine, ...], highest: float) -> Iterator[str]:
    moved = [(line, _range_degrees(line, highest)) for line in lines]
    far = [(line, degrees) for line, degrees in moved if degrees > 1]
    if far and far[0][0].cable not in design.velocity_factor:
        worst, degrees = max(far, key=lambda pair: pair[1])
        names = ", ".join(line.label for line, _ in far)
        yield (
            f"{worst.cable} is copper-clad steel and nobody knows how thick its copper is: over the known range the "
            f"lengths of {_lines(names)} move by up to {degrees:.1f} degrees on the highest band ({worst.label}), so "
            "cut at the first cut and trim each piece to its check frequency, or enter a measured velocity factor."
        )


def _range_degrees(line: DelayLine, hertz: float) -> float:
    """How far the claddings move a line [degree]."""
    return 360 * hertz * line.delay_s * (line.greatest_length_m - line.least_length_m) / line.length_m


def _lines(names: str) -> str:
    return f"lines {names}" if "," in names else f"line {names}"


def _short(design: DesignFile, lines: tuple[DelayLine, ...]) -> Iterator[str]:
    extra = 2 * design.ends.delay_line.delay.m_as("s")
    short = [line.label for line in lines if extra > CONNECTORS_RULE * line.delay_s]
    if short:
        yield (
            f"In {_lines(', '.join(short))} the connectors make up more than a tenth of the delay: "
            "measure the connectors' delay, and use the same kind at both ends of every line."
        )


def _measured(design: DesignFile) -> Iterator[str]:
    for name, measured in design.velocity_factor.items():
        if name not in (design.cables.delay_line, design.cables.element_run, design.cables.receiver_run):
            yield f"The measured velocity factor of {name} is not used: no line or run of this design is made of it."
            continue
        scaled: Cable = design_cable(design, name)
        off = 1 / scaled.slowing - 1
        if abs(off) > 0.03:
            yield (
                f"The measured velocity factor {measured.value:g} of {name} is {off * 100:+.1f} % "
                "from its record's: check the measurement, and that the cable is what it says."
            )


def _bands(design: DesignFile) -> Iterator[str]:
    frequencies = band_frequencies(design)
    known = [edges_hz(region) for region in (1, 2, 3)]
    for name, hertz in frequencies.items():
        edges = [region[name] for region in known if name in region]
        if not edges:
            yield f"{name!r} is no amateur band from 160 m to 10 m, so its frequency could not be checked against one."
        elif not any(low <= hertz <= high for low, high in edges):
            yield f"The design frequency {hertz / 1e6:.6g} MHz lies outside the {name} band; check [bands]."
    lowest, highest = min(frequencies.values()), max(frequencies.values())
    between = (name for name, (low, high) in known[1].items() if lowest < low and high < highest)
    missing = ", ".join(name for name in between if name not in frequencies)
    if missing:
        yield f"Nothing is said about {missing}: between the bands of this design, not under [bands]; add what you use."


def _few(lines: tuple[DelayLine, ...]) -> Iterator[str]:
    if not lines:
        yield "No direction needs a delay line: every element that is on is summed as it is."


def _slips(design: DesignFile, lines: tuple[DelayLine, ...], runs: ElementRuns) -> Iterator[str]:
    """Yield what is possible but more likely a slip of a unit."""
    for key, end in (("delay_line", design.ends.delay_line), ("element_run", design.ends.element_run)):
        if end.strip.m_as("m") > 0.1:
            yield f"ends.{key}.strip is {end.strip:~P}, more cable than goes into any usual connector; check its unit."
    longest = max([runs.length_m, *(line.length_m for line in lines)])
    if design.cutting.trim.m_as("m") > max(0.5, 0.1 * longest):
        yield f"cutting.trim is {design.cutting.trim:~P}, more than a tenth of the longest piece; check its unit."
    across = float(np.ptp(design.array.layout().metres, axis=0).max())
    if runs.length_m > 3 * across + 50:
        yield (
            f"The element runs are {runs.length_m:.0f} m long beside an array {across:.0f} m across; "
            "check hub.position and lengths.slack."
        )


def _impedances(design: DesignFile) -> Iterator[str]:
    names = (design.cables.delay_line, design.cables.element_run)
    ohms = {name: cable(name).nominal_impedance.m_as("ohm") for name in names}
    if len(set(ohms.values())) > 1:
        told = " and ".join(f"{name} of {ohm:g} ohm" for name, ohm in ohms.items())
        yield f"Lines and runs differ in impedance ({told}): where neither end of a line is matched its delay shifts."


def _same_way(design: DesignFile) -> Iterator[str]:
    seen: dict[float, str] = {}
    for direction in design.directions:
        azimuth = round(direction.azimuth.m_as("degree") % 360, 6)
        if azimuth in seen and design.phasing.rule == "aligned":
            yield f"The directions {seen[azimuth]} and {direction.name} have the same azimuth; check them."
        seen[azimuth] = direction.name
