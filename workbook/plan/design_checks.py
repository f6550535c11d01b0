"""What a builder should know before cutting, in plain words."""

from collections.abc import Iterator

import numpy as np

from workbook.bands import edges_hz
from workbook.design.schema import DesignFile
from workbook.formulas.lines import C
from workbook.line.cable import Cable
from workbook.line.catalogue import cable
from workbook.plan.cuts import design_cable
from workbook.plan.pieces import DelayLine, ElementRuns
from workbook.plan.results import MergeOption, PlanDirection

CONNECTORS_RULE = 0.1
"""Share of a line's delay above which its connectors, not its cable, decide how good it is."""


ASTRAY_DB = 3.0
"""How much better another azimuth may be received than the one fired at, before a warning."""

RUINED_DB = 1.0
"""Loss of RDF to small errors above which a design is called ruined by them."""


def warnings(
    design: DesignFile,
    lines: tuple[DelayLine, ...],
    runs: ElementRuns,
    directions: tuple[PlanDirection, ...],
    merges: tuple[MergeOption, ...],
) -> tuple[str, ...]:
    """Return the warnings of a plan, most urgent first."""
    return (
        *_nothing_arrives(design, directions),
        *_deaf(directions),
        *_astray(directions),
        *_touchy(design, directions),
        *_other_bands(design, directions),
        *_amplitudes(directions),
        *_clad(design, lines, max(design.band_hertz.values())),
        *_short(design, lines),
        *_measured(design),
        *_slips(design, lines, runs),
        *_impedances(design),
        *design.phasing.direction_warnings(design.directions),
        *_compass(design),
        *_left_out(directions),
        *design.phasing.line_warnings(len(lines)),
        *_wide(design),
        *_alike(design, lines, merges),
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
            f"{worst.cable} is copper-clad steel, cladding thickness not specified: over the known range the "
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
        used = [design.cables.delay_line, design.cables.element_run]
        used += [design.cables.receiver_run] if design.has_receiver_run else []
        if name not in used:
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
    frequencies = design.band_hertz
    known = [edges_hz(region) for region in (1, 2, 3)]
    for name, hertz in frequencies.items():
        edges = [region[name] for region in known if name in region]
        if not edges:
            yield f"{name!r} is not an amateur band from 160 m to 10 m, so its frequency is not checked."
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
        far, wide = design.units.about(runs.length_m), design.units.about(across)
        yield (f"The element runs are {far} long beside an array {wide} across; check hub.position and lengths.slack.")


def _impedances(design: DesignFile) -> Iterator[str]:
    names = (design.cables.delay_line, design.cables.element_run)
    ohms = {name: cable(name).nominal_impedance.m_as("ohm") for name in names}
    if len(set(ohms.values())) > 1:
        listed = " and ".join(f"{name} of {ohm:g} ohm" for name, ohm in ohms.items())
        yield f"Lines and runs differ in impedance ({listed}): where neither end of a line is matched its delay shifts."


def _nothing_arrives(design: DesignFile, directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    if any(band.rdf_db is None for one in directions for band in one.bands):
        yield (
            f"Nothing arrives at an elevation of {design.phasing.elevation:~P} over {design.ground_below()}, "
            "so no RDF is given; write another elevation."
        )


def _touchy(design: DesignFile, directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    """Yield what errors that a careful builder still has would ruin."""
    found = [(band.rdf_lost_to_errors_db or 0.0, one, band) for one in directions for band in one.bands]
    worst = max(found, key=lambda part: part[0], default=None)
    if worst and worst[0] > RUINED_DB:
        lost, one, band = worst
        limited = "least_white_noise_gain" in design.phasing.keys
        more = ", or write least_white_noise_gain under [phasing]" if limited else ""
        yield (
            f"Errors of 0.1 dB and 1 degree in each channel would ruin this: with the beam {one.name} on {band.name} "
            f"they cost {lost:.1f} dB of RDF on average; space the elements wider{more}."
        )


def _amplitudes(directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    sizes = [feed.amplitude for one in directions for feed in one.elements if feed.amplitude > 0]
    if sizes and min(sizes) < 0.999:
        yield (
            "The elements are not equally strong: each needs its attenuator, the weakest one of "
            f"{-20 * np.log10(min(sizes)):.1f} dB, at its run before anything is summed (see the wiring for the lid)."
        )


def _other_bands(design: DesignFile, directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    """Yield, band by band, where the lines are far from what the rule would ask for there."""
    for number, name in enumerate(design.bands):
        fired = max(directions, key=lambda one: one.bands[number].phase_from_rule_deg or 0.0)
        worst = fired.bands[number]
        if (worst.phase_from_rule_deg or 0.0) > 15 and worst.rdf_db is not None and worst.rule_rdf_db is not None:
            yield (
                f"On {name} these lines are up to {worst.phase_from_rule_deg:.0f} deg from what the rule gives "
                f"there (beam {fired.name}: RDF {worst.rdf_db:.1f} dB instead of {worst.rule_rdf_db:.1f}): a line's "
                f"delay is the same on every band, its phase is not{design.phasing.remedy_on_other_bands}."
            )


def _compass(design: DesignFile) -> Iterator[str]:
    if design.site is not None and (text := design.site.compass_warning()):
        yield text


def _left_out(directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    """Yield which elements a rule leaves out, where it leaves some out."""
    off = {one.name: [str(feed.number) for feed in one.elements if not feed.polarity] for one in directions}
    listed = [f"{name}: {', '.join(elements)}" for name, elements in off.items() if elements]
    if listed:
        yield f"Some elements are off; beam {'; '.join(listed)}."


def _wide(design: DesignFile) -> Iterator[str]:
    nearest = design.array.layout().nearest_m
    name, hertz = max(design.band_hertz.items(), key=lambda band: band[1])
    waves = nearest * hertz / C
    if 0.5 < waves < np.inf:
        yield (
            f"Even the nearest two elements stand {design.units.about(nearest, 1)} apart, "
            f"{waves:.2f} wavelengths on {name}: beyond half a wavelength the pattern has other lobes as strong as the "
            "wanted one; check the size."
        )


def _alike(design: DesignFile, lines: tuple[DelayLine, ...], merges: tuple[MergeOption, ...]) -> Iterator[str]:
    """Yield with how few lines the array is as good, where it has more."""
    if design.hub.lines is not None:
        return
    good = [one for one in merges if one.cost is not None and not one.cost.matters]
    if good and good[-1].lines < len(lines):
        one = good[-1]
        yield (
            f"Fewer lines will do: merge within {one.tolerance_deg:g} deg (worksheet 03) leaves {one.lines} of "
            f"{len(lines)} delay lines, RDF {max(one.rdf_lost_db or 0.0, 0.0):.2f} dB less."
        )


def _deaf(directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    """Yield, band by band, where the array receives its own direction worse than the sphere on average."""
    for number, band in enumerate(directions[0].bands):
        known = [(one.bands[number].rdf_db, one.name) for one in directions]
        worst, name = min(((rdf, name) for rdf, name in known if rdf is not None), default=(0.0, ""))
        if worst < 0:
            yield (
                f"With the beam {name} on {band.name} the RDF is {worst:.1f} dB: the array receives its own direction "
                "worse than others on average; change the spacing, the rule or the band."
            )


def _astray(directions: tuple[PlanDirection, ...]) -> Iterator[str]:
    """Yield, band by band, where the array hears another azimuth much better than the one it is fired at."""
    for number, band in enumerate(directions[0].bands):
        known = [(one.bands[number].elsewhere_over_aim_db or 0.0, one.name) for one in directions]
        worst, name = max(known)
        if worst > ASTRAY_DB:
            yield (
                f"With the beam {name} on {band.name} the array receives another azimuth {worst:.1f} dB better than "
                "its own; change the spacing, the rule or the band."
            )
