"""The kinds of hub side by side: pieces, cable, combiners and inverting transformers of each."""

import numpy as np

from workbook.design.directions import Feeds
from workbook.design.hubs import HUBS, HubBase, grouped
from workbook.design.schema import DesignFile
from workbook.formulas.lines import length_of_delay
from workbook.plan.cuts import design_cable
from workbook.plan.delays import distinct_lines
from workbook.plan.kept import kept_delays, kept_lines
from workbook.plan.results import HubOption


def hub_options(design: DesignFile, wanted: Feeds) -> tuple[HubOption, ...]:
    """Return what each kind of hub would take, least cable first."""
    velocity = float(design_cable(design, design.cables.delay_line).velocity(design.cut_hertz))
    options = (_option(design, wanted, name, kind, velocity) for name, kind in HUBS.items())
    return tuple(sorted(options, key=lambda option: (option.cable_m is None, option.cable_m or 0.0)))


def _option(design: DesignFile, wanted: Feeds, name: str, kind: type[HubBase], velocity: float) -> HubOption:
    kept = kept_delays(design)
    if kept is not None and kind.in_series == design.hub.in_series:
        lines = kept_lines(wanted, kept, kind)
    else:
        lines = distinct_lines(wanted, max(design.band_hertz.values()), kind, design.hub.merge_deg)
    end = design.ends.delay_line
    inside = kind.pieces(lines.delays) - 2 * end.delay.m_as("s")
    length = length_of_delay(inside, velocity) + 2 * end.strip.m_as("m")
    whole = float((length * lines.counts).sum()) if np.all(inside > 0) else None
    groups = grouped(lines.used, wanted.polarity)
    inputs = tuple(sorted(kind.combiner_inputs(groups, len(lines.delays)), reverse=True))
    return HubOption(name, int(lines.counts.sum()), whole, inputs, kind.inverting_transformers(groups))
