"""Matches over frequency: all of them on one picture, one of them in detail, and a run of cable without a match."""

from dataclasses import replace

import numpy as np

from workbook.figures.bands import mark_place
from workbook.figures.chart import (
    GAP,
    Axis,
    Chart,
    Curve,
    Item,
    Note,
    Plot,
    Rule,
    Span,
    around,
    axis_at,
    length_axis,
    linear_axis,
)
from workbook.figures.style import FAINT, FIRST, LIMIT, SECOND, THIRD, look
from workbook.formatting import LengthUnits
from workbook.matching.candidates import FAMILIES, Comparison
from workbook.matching.direct import LengthSweep
from workbook.units import BoolArray, FloatArray

MOST_SWR, LEAST_LOSS, MOST_LOSS = 10.0, 0.01, 100.0
"""An SWR or loss beyond is not drawn; a smaller loss [dB] is drawn at the lower edge."""
WIDTH = 248.0
"""Two pictures of two plots each stand side by side: narrow, so that letters keep their size."""

_STEPS = (1, 2, 5)
# ticks of SWR by the top of its axis
_SWR_TICKS: tuple[tuple[float, tuple[float, ...]], ...] = (
    (1.25, (1, 1.05, 1.1, 1.15, 1.2)),
    (1.8, (1, 1.1, 1.2, 1.3, 1.4, 1.6)),
    (4.0, (1, 1.2, 1.5, 2, 2.5, 3)),
    (np.inf, (1, 1.5, 2, 3, 5, 10)),
)


def overlay(found: Comparison, shown: int) -> Chart:
    """Return SWR at the source and loss of every method against frequency; that at the place `shown` strong."""
    megahertz, upper, lower = found.hertz / 1e6, list[Item](), list[Item]()
    # the strong one last, over the others; the legend keeps the order of the list
    order = sorted(range(len(found.ranked)), key=lambda number: number == shown)
    for number in order:
        label, response = f"{number + 1} {found.ranked[number].short_name}", found.responses[number]
        place = FAMILIES.index(found.ranked[number].method.family)
        colour, dashes, marker = look(place)
        width, size = (2.8, 7.0) if number == shown else (1.1, 4.5)
        every = slice(3 * place, None, 24)
        above = Curve(label, megahertz, _swr(response.swr_in), colour, width, dashes, marker, size, every=every)
        upper.append(above)
        lower.append(replace(above, y=np.maximum(response.insertion_loss, LEAST_LOSS), legend=False))
    swr, loss = ([item.y for item in items if isinstance(item, Curve)] for items in (upper, lower))
    strong = f"strong: {found.ranked[shown].short_name}"
    return Chart(
        f"{found.wanted.description}: {len(found.ranked)} matches",
        f"{strong}; dashed: limits",
        (
            _over_frequency(found, _swr_axis(found, swr, "SWR at the source"), (*upper, _limit(found, 0)), names=True),
            _over_frequency(found, _loss_axis(found, loss), (*lower, _limit(found, 1))),
        ),
        WIDTH,
        1,
        explained=tuple(item for _, item in sorted(zip(order, upper, strict=True), key=lambda pair: pair[0])),
    )


def one_way(found: Comparison, shown: int) -> Chart:
    """Return SWR at both ends and the phase shift of one method against frequency."""
    candidate, response, megahertz = found.ranked[shown], found.responses[shown], found.hertz / 1e6
    source, load = _swr(response.swr_in), _swr(response.swr_out)
    phase = response.phase_shift
    upper: tuple[Item, ...] = (
        Curve("at the source", megahertz, source, FIRST, 2, marker="o", size=5, every=slice(None, None, 20)),
        Curve("at the load", megahertz, load, SECOND, 1.6, (4, 2), "s", 5, every=slice(10, None, 20)),
        _limit(found, 0),
    )
    lower = (Curve("phase shift", megahertz, phase, THIRD, 2, marker="^", size=5, every=slice(None, None, 20)),)
    hertz = candidate.match.hertz
    design = "the same parts on every band" if hertz is None else f"designed for {hertz / 1e6:.4g} MHz"
    # the scale does not blow up what hardly changes
    degrees = linear_axis("phase shift (deg)", *around([phase], least=10.0), 4)
    return Chart(
        f"{candidate.short_name}, {found.wanted.description}".capitalize(),
        f"place {shown + 1} of {len(found.ranked)}; {design}",
        (
            _over_frequency(found, _swr_axis(found, [source, load], "SWR"), upper, names=True),
            _over_frequency(found, degrees, lower),
        ),
        WIDTH,
        2,
    )


def run_picture(ends: str, sweep: LengthSweep, units: LengthUnits = LengthUnits.BOTH) -> Chart:
    """Return the loss of a run of cable between two ends against its length, in the middle of each band."""
    items = list[Item]()
    for number, name in enumerate(sweep.bands):
        colour, dashes, marker = look(number)
        every = slice(3 * number, None, 30)
        items.append(Curve(name, sweep.metres, sweep.loss[number], colour, 1.5, dashes, marker, 4.5, every=every))
    now = mark_place(max(sweep.present, 0.05 * sweep.metres[-1]), f"now {units.alone.short(sweep.present)}")
    items += [Rule("now", sweep.present, width=1.2), now]
    _, top = around([sweep.loss])
    axes = length_axis("length of the run", 0, sweep.metres[-1], units), linear_axis("loss (dB)", 0, max(top, 0.01))
    title = f"No match: a run of {sweep.cable}"
    return Chart(title, f"{ends}; middle of each band", (Plot(*axes, tuple(items), 215),), WIDTH, 2)


# --- what the pictures share ------------------------------------------------------------------------------


def _over_frequency(found: Comparison, up: Axis, items: tuple[Item, ...], names: bool = False) -> Plot:
    """Return items over the frequencies, the bands shaded and, with `names`, named below."""
    low, high = found.hertz[0] / 1e6, found.hertz[-1] / 1e6
    across = axis_at("frequency (MHz)", low, high, _ticks(low, high), log=True)
    shades = (Span(name, bottom / 1e6, top / 1e6, FAINT, 0.5) for name, bottom, top in found.wanted.edges)
    below = -0.5 * GAP / _HEIGHT
    words = (
        Note(name, (bottom * top) ** 0.5 / 1e6, below, (0, -3), share=True) for name, bottom, top in found.wanted.edges
    )
    return Plot(across, up, (*shades, *items, *(words if names else ())), _HEIGHT)


_HEIGHT = 125.0


def _limit(found: Comparison, which: int) -> Rule:
    return Rule("limit", found.wanted.limits[which], width=1.2, dashes=LIMIT, level=True)


def _ticks(low: float, high: float) -> list[float]:
    """Return round values from low to high, fewer where there are many decades."""
    decades = range(int(np.floor(np.log10(low))), int(np.ceil(np.log10(high))) + 1)
    steps = (1,) if high / low > 3e3 else _STEPS if high / low > 8 else (1, 1.5, 2, 3, 4, 5, 7)
    return [value for decade in decades for step in steps if low <= (value := round(step * 10.0**decade, 9)) <= high]


def _swr(values: FloatArray) -> FloatArray:
    # far beyond the axis, and never infinite
    return np.minimum(values, 10 * MOST_SWR)


def _swr_axis(found: Comparison, drawn: list[FloatArray], label: str) -> Axis:
    """Scale by the logarithm, so that what matters near 1 is seen beside what is far off."""
    limit, here = found.wanted.limits[0], _within_bands(found)
    highest = max(float(values[here].max()) for values in drawn)
    top = min(max(highest, limit), MOST_SWR) ** 1.2
    return axis_at(label, 1.0, top, next(ticks for most, ticks in _SWR_TICKS if top < most), log=True)


def _loss_axis(found: Comparison, drawn: list[FloatArray]) -> Axis:
    limit, here = found.wanted.limits[1], _within_bands(found)
    low = min(limit, *(float(values[here].min()) for values in drawn)) / 1.3
    high = min(max(limit, *(float(values[here].max()) for values in drawn)), MOST_LOSS) * 1.4
    return axis_at("loss (dB)", low, high, _ticks(low, high), log=True)


def _within_bands(found: Comparison) -> BoolArray:
    """Return which frequencies lie in a band, at least the nearest to one that falls between two."""
    inside = np.zeros(found.hertz.shape, dtype=bool)
    for _, low, high in found.wanted.edges:
        band = (found.hertz >= low) & (found.hertz <= high)
        inside |= band if band.any() else np.abs(found.hertz - low) == np.abs(found.hertz - low).min()
    return inside
