"""Sizes that no builder means: a slip of a unit, refused unless one insists."""

from collections.abc import Iterator

import numpy as np

from workbook.design.schema import DesignFile
from workbook.errors import InputError
from workbook.formulas.lines import C

MOST_WAVES = 10.0
"""Greatest width of an array, in wavelengths on its lowest band."""
MOST_STRIP_M, MOST_TRIM_M = 0.5, 3.0
"""Greatest length of cable in one connector, and of cable cut longer for trimming [m]."""
MOST_RUN_M = 5000.0
"""Greatest length of a receiver run, and of slack [m]."""


def check_sizes(design: DesignFile) -> None:
    """Refuse a design with sizes that are a slip of a unit rather than an array.

    Raises
    ------
    InputError
        With every such size, and how to insist.
    """
    faults = list(_faults(design))
    if faults:
        raise InputError.together(faults)


def _faults(design: DesignFile) -> Iterator[InputError]:
    remedy, write = "check its unit, or insist with --anyway", design.units.short
    across, wave = float(np.ptp(design.array.layout().metres, axis=0).max()), C / min(design.band_hertz.values())
    if across > MOST_WAVES * wave:
        problem = (
            f"the array is {design.units.about(across)} across, {across / wave:.0f} wavelengths on its lowest band"
        )
        yield InputError(problem, where="array", remedy=remedy)
    run = design.lengths.receiver_run
    for key, metres, most in (
        ("ends.delay_line.strip", design.ends.delay_line.strip.m_as("m"), MOST_STRIP_M),
        ("ends.element_run.strip", design.ends.element_run.strip.m_as("m"), MOST_STRIP_M),
        ("cutting.trim", design.cutting.trim.m_as("m"), MOST_TRIM_M),
        ("lengths.slack", design.lengths.slack.m_as("m"), MOST_RUN_M),
        ("lengths.receiver_run", 0.0 if run is None else run.m_as("m"), MOST_RUN_M),
    ):
        if metres > most:
            yield InputError(f"got {write(metres)}", where=key, wanted=f"at most {write(most)}", remedy=remedy)
