"""Build arrays virtually from plan to correction: `python tests/virtual/build.py 200` prints what 200 of them came to.

With the name of a file behind it, such as `notebooks/pictures/virtual-build.png`, the README's picture is made too.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from builder import CABLE, LINES, PLAN, RUNS, STRIP, Builder
from truth import KINDS, Truth

import workbook as wb
from workbook.figures.chart import Axis, Chart, Curve, Plot, Strokes, linear_axis
from workbook.figures.style import look

NONE = "no fault"
AS_THEY_COME = np.arange(16).reshape(8, 2), np.arange(8)
"""Chokes and buffers that were not sorted."""
PRINTED, UNSORTED = "printed velocity factor, no trimming", "the same, parts as they come"


@dataclass(frozen=True)
class Outcome:
    """What one build came to.

    Figures (bands, directions, 2) are RDF and front-to-back [dB], `before` and `after` the search for a fault. The
    comparisons without fault: `printed`: cut by the printed velocity factor, not trimmed; `unsorted`: chokes and
    buffers as they come too. `wasted` [m] is what was taken from reels and is not in the array.
    """

    fault: str | None
    named: str | None
    right: bool
    before: np.ndarray
    after: np.ndarray
    printed: np.ndarray
    unsorted: np.ndarray
    spoiled: int
    wasted: float


def planned():
    """RDF and front-to-back [dB] of the plan, (bands, directions, 2)."""
    return np.array(
        [
            [(one.bands[number].rdf_db, one.bands[number].front_to_back_db) for one in PLAN.directions]
            for number in range(len(PLAN.bands))
        ]
    )


def build(seed, fault):
    """Build one array from the plan to the last correction."""
    truth = Truth(seed, fault)
    builder = Builder(truth)
    builder.make_all()
    parts = builder.sort()
    builder.install(*parts)
    before = builder.reached()
    found = builder.search()
    first = (found[0].kind, found[0].where) if found else (None, None)
    if found:
        builder.correct(found[0])
    used = sum(piece.length + 2 * STRIP for piece in builder.pieces.values())
    return Outcome(
        fault,
        first[0],
        truth.right(*first),
        before,
        builder.reached(),
        by_printed_velocity(Truth(seed), parts),
        by_printed_velocity(Truth(seed), AS_THEY_COME),
        builder.spoiled,
        truth.taken - used,
    )


def by_printed_velocity(truth, parts):
    """Figures of the same build with every piece cut by the printed velocity factor and none trimmed."""
    builder = Builder(truth)
    longer = wb.cable(CABLE).nominal_velocity_factor / PLAN.delay_lines[0].velocity_factor
    for name in (*LINES, *RUNS):
        builder.pieces[name] = truth.cut(builder.wanted(name)[0].length_m * longer + 2 * STRIP, name)
    builder.install(*parts)
    return builder.reached()


def fault_of(seed):
    """The fault that is planted in a build: each in turn, and none."""
    return (*KINDS, None)[seed % (len(KINDS) + 1)]


# --- the report -------------------------------------------------------------------------------------------


def lost(figures):
    """Most that is lost beside the plan, over all bands and directions [dB]: of RDF, and of front-to-back."""
    return np.max(planned() - figures, axis=(0, 1))


def groups(outcomes):
    """Outcomes by the fault that was planted."""
    return {kind or NONE: [one for one in outcomes if one.fault == kind] for kind in (*KINDS, None)}


def report(outcomes):
    """Write what builds came to, line by line."""
    yield "medians of the worst direction on the worst band, before and after the search"
    yield f"{'fault':22} named first   RDF lost dB             front-to-back lost dB"
    for kind, some in groups(outcomes).items():
        before, after = (np.median([lost(figures) for figures in each], axis=0) for each in _both(some))
        right = f"{sum(one.right for one in some)}/{len(some)}"
        yield f"{kind:22} {right:>11}  {before[0]:11.2f} {after[0]:7.2f} {before[1]:17.2f} {after[1]:7.2f}"
    for name, figures in comparisons(outcomes).items():
        rdf, back = np.median([lost(each) for each in figures], axis=0)
        yield f"{name:44} {rdf:9.2f} {back:25.2f}"
    planted = [one for one in outcomes if one.fault]
    right = sum(one.right for one in planted)
    healthy = groups(outcomes)[NONE]
    alarms = sum(not one.right for one in healthy)
    yield f"faults named first: {right} of {len(planted)}; false alarms: {alarms} of {len(healthy)}"
    spoiled = sum(one.spoiled for one in outcomes) / len(outcomes)
    yield f"pieces spoiled a build: {spoiled:.2f}; cable wasted: median {np.median([o.wasted for o in outcomes]):.1f} m"


def _both(some):
    return [one.before for one in some], [one.after for one in some]


def comparisons(outcomes):
    """Figures of all builds by what they are compared with."""
    return {PRINTED: [one.printed for one in outcomes], UNSORTED: [one.unsorted for one in outcomes]}


SHORT = ("reel", "line", "swapped", "reversed", "dead", "joint", "stake", "number", "none", "printed", "unsorted")


def picture(outcomes):
    """Return a chart of what is lost of RDF and front-to-back, by fault, before and after the search."""
    before = [[lost(one.before) for one in some] for some in groups(outcomes).values()]
    after = [[lost(one.after) for one in some] for some in groups(outcomes).values()]
    before += [[lost(one) for one in figures] for figures in comparisons(outcomes).values()]
    ticks = tuple((float(place), words) for place, words in enumerate(SHORT))
    plots = []
    for column, name in enumerate(("RDF lost (dB)", "front-to-back lost (dB)")):
        items, top = [], 0.0
        for number, (label, groups_of) in enumerate((("before", before), ("after the search", after))):
            places = np.arange(len(groups_of)) + (0.16 if number else -0.16) * (np.arange(len(groups_of)) < 9)
            values = [np.array(some)[:, column] for some in groups_of]
            low, middle, high = (np.array([np.percentile(v, share) for v in values]) for share in (10, 50, 90))
            colour, _, marker = look(number)
            items += [
                Strokes(label, places, low, high, colour),
                Curve(label, places, middle, colour, 0, marker=marker, size=7, hollow=bool(number)),
            ]
            top = max(top, float(high.max()))
        axis = Axis("planted fault; last two: other builders, without fault", -0.6, 10.6, ticks)
        plots.append(Plot(axis, linear_axis(name, -0.04 * top, 1.05 * top), tuple(items), 150))
    state = f"{len(outcomes)} builds of an eight-element ring; worst direction and band, median and 10 to 90 %"
    signs = tuple(item for item in plots[0].items if isinstance(item, Curve))
    return Chart("What a virtual build loses beside its plan", state, tuple(plots), 640, explained=signs)


def main(count, file=None):
    """Build, print, and make the picture."""
    outcomes = [build(seed, fault_of(seed)) for seed in range(count)]
    for line in report(outcomes):
        print(line)
    if file:
        from playwright.sync_api import sync_playwright

        with sync_playwright() as play:
            browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
            page = browser.new_page(viewport={"width": 880, "height": 620})
            page.set_content(f"<body style='margin: 8px; background: white'>{picture(outcomes).svg()}</body>")
            page.locator("svg").first.screenshot(path=Path(file))
            browser.close()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, *sys.argv[2:3])
