"""Ratios of the spine's speed, all from one run: `python tests/benchmarks/spine.py [--browser]`.

Printed, never asserted: timings on shared machines are noisy, ratios from one run much less.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from scipy.special import ive, kve
from stopwatch import median_ms

import workbook as wb
from workbook.files import shipped

FREQUENCIES = np.geomspace(1e6, 30e6, 2000)


def fresh() -> np.ndarray:
    """Frequencies not asked before, so that nothing is answered from memory."""
    return FREQUENCIES * (1 + 1e-6 * np.random.default_rng().random())


def cable_against_library() -> None:
    """Loss, velocity and impedance of a solid-conductor cable, asked one after the other, against scikit-rf's."""
    import skrf

    cable = wb.cable("series-6-copper")
    model = cable.model

    def ours() -> None:
        frequency = wb.Quantity(fresh(), "Hz")
        cable.attenuation(frequency)
        cable.velocity_factor(frequency)
        cable.characteristic_impedance(frequency)

    def theirs() -> None:
        media = skrf.media.Coaxial(
            skrf.Frequency.from_f(fresh(), unit="Hz"),
            Dint=2 * model.radius,
            Dout=2 * model.dielectric_radius,
            epsilon_r=1 / model.velocity_limit**2,
            tan_delta=model.loss_tangent,
            tout=model.shield_thickness,
        )
        _ = media.alpha, media.v_p, media.z0_characteristic

    a, b = median_ms(ours), median_ms(theirs)
    print(f"cable at 2000 frequencies: ours {a:.1f} ms, scikit-rf {b:.1f} ms: {b / a:.1f} times as fast (aim 6)")


def clad_against_bare_bessel() -> None:
    """One propagation constant of a clad cable against the sixteen Bessel calls that it cannot do without."""
    cable = wb.cable("series-6-clad")
    m = cable.model

    def ours() -> None:
        cable.propagation_constant(wb.Quantity(fresh(), "Hz"))

    def bare() -> None:
        k = (1 + 1j) * np.sqrt(np.pi * fresh() * 4e-7 * np.pi)
        copper, steel = k * np.sqrt(m.conductivity), k * np.sqrt(m.steel_conductivity * m.permeability)
        shield, core = k * np.sqrt(m.shield_conductivity), m.radius - m.cladding
        for order in (0, 1):
            ive(order, steel * core)
            for face in (copper * core, copper * m.radius, shield * m.dielectric_radius):
                ive(order, face)
                kve(order, face)
        outer = shield * (m.dielectric_radius + m.shield_thickness)
        ive(1, outer)
        kve(1, outer)

    a, b = median_ms(ours), median_ms(bare)
    print(
        f"clad cable at 2000 frequencies: ours {a:.1f} ms, sixteen bare Bessel calls {b:.1f} ms: {a / b:.2f} (aim 1.3)"
    )


def importing() -> None:
    """`import workbook` against numpy, pint and one registry, nine interleaved starts each."""
    bare = "import numpy, pint; pint.UnitRegistry()"
    both: dict[str, list[float]] = {"import workbook": [], "import workbook; workbook.Quantity": [], bare: []}
    for _ in range(9):
        for code, found in both.items():
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True)
            found.append(time.perf_counter() - start)
    lazy, used, reference = (statistics.median(found) * 1e3 for found in both.values())
    print(
        f"import workbook {lazy:.0f} ms, numpy + pint + registry {reference:.0f} ms: {lazy / reference:.2f} (aim 1.2)"
    )
    print(f"  with the registry in use {used:.0f} ms: {used / reference:.2f}")


def slider_to_result() -> None:
    """What the panel computes for one move of a slider: the plan, the tables, the drawing, the plot."""
    from workbook.figures.delay_errors import delay_errors
    from workbook.figures.plan_drawing import plan_drawing
    from workbook.panels.delay_lines import tables

    for name in ("heron-fen-ring", "heron-fen-square"):
        design = wb.load_design(shipped("notebooks") / f"{name}.toml")
        count = iter(range(10_000))

        def numbers(design: wb.Design = design, count: Iterator[int] = count) -> wb.Plan:
            return design.changed({("phasing", "elevation"): f"{20 + next(count) / 100} deg"}).plan()

        plan = numbers()
        direction = plan.directions[0].name
        parts = {
            "plan": numbers,
            "drawing": lambda: plan_drawing(plan, direction),  # noqa: B023
            "tables": lambda: tables(plan, direction),  # noqa: B023
            "plot": lambda: delay_errors(plan).svg(),  # noqa: B023
        }
        times = {part: median_ms(work) for part, work in parts.items()}
        whole = sum(times.values())
        shares = ", ".join(f"{part} {ms:.1f} ms ({ms / whole:.0%})" for part, ms in times.items())
        print(f"{name}, one move of a slider: {whole:.0f} ms: {shares}")


def other_worksheets() -> None:
    """What one move of a slider costs the panels of the other two worksheets, pictures and tables together."""
    from workbook.panels.cable_loss import CableLossPanel
    from workbook.panels.electrical_length import ElectricalLengthPanel

    piece, loss = ElectricalLengthPanel(), CableLossPanel()
    for name, slider in (("electrical length", piece.amount_place.children[0]), ("cable loss", loss.length)):
        places = iter(range(10_000))

        def move(slider: Any = slider, places: Iterator[int] = places) -> None:
            slider.value = slider.min + 10 * slider.step * (1 + next(places) % 50)

        print(f"{name}, one move of a slider to tables and picture: {median_ms(move):.0f} ms")


def whole_catalogue() -> None:
    """Every cable of the catalogue at 2000 frequencies, against one alone; and the range of the clad ones at 60."""
    names = wb.cables()
    made = [wb.cable(name) for name in names]
    one = median_ms(lambda: wb.cable("series-6-copper").propagation_constant(wb.Quantity(fresh(), "Hz")))
    every = median_ms(lambda: [cable.propagation_constant(wb.Quantity(fresh(), "Hz")) for cable in made], 7)
    print(f"catalogue of {len(names)} at 2000 frequencies: {every:.0f} ms, {every / one:.1f} times one solid cable")
    clad = wb.cable("series-6-clad")
    few = wb.Quantity(np.geomspace(0.5e6, 50e6, 60), "Hz")
    span = median_ms(lambda: clad.span("velocity_factor", few), 7)
    print(f"range over claddings and steels at 60 frequencies: {span:.0f} ms, {span / one:.1f} times one solid cable")


MEASURE = """slider => new Promise(done => {
  const handle = document.querySelector(`.${slider} .noUi-handle`);
  const pictures = document.querySelectorAll("svg[role=img]");
  const start = performance.now();
  let last = start, waiting;
  // every picture that this move draws again: the last one is painted when none follows for 150 ms
  const seen = new MutationObserver(() => requestAnimationFrame(() => requestAnimationFrame(() => {
    last = performance.now();
    clearTimeout(waiting);
    waiting = setTimeout(() => { seen.disconnect(); done(last - start); }, 150);
  })));
  pictures.forEach(picture => seen.observe(picture.parentNode, {childList: true}));
  handle.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowRight", bubbles: true}));
})"""

SLIDERS = {
    "01-layout-and-stake-out": ("diameter", "hub-east", "accept"),
    "02-spacing-directions-pattern": ("elevation", "spacing"),
    "03-delay-lines": ("elevation", "across"),
    "04-electrical-length": ("amount", "cladding"),
    "05-cable-loss": ("length",),
    "06-75-to-50-ohms": ("loss", "core-q"),
    "07-real-ports": ("source", "slack", "length"),
    "08-phase-error": ("true", "spacing"),
    "09-tolerance": ("position", "phase"),
    "10-element-front-end": ("height", "choke-tolerance"),
    "11-coax-for-long-runs": ("receiver-run", "spacing"),
}


def slider_to_picture() -> None:
    """Key press to the last repainted picture in a headless browser, median of 20, by worksheet the slowest slider."""
    sys.path.insert(0, str(Path(__file__).parent.parent / "browser"))
    from harness import laboratory

    with tempfile.TemporaryDirectory() as scratch, laboratory(Path(scratch)) as lab:
        lab.fill()
        for name, sliders in SLIDERS.items():
            with lab.open(name) as sheet:
                sheet.page.wait_for_selector("svg[role=img] text")
                sheet.wait_run()
                found = {slider: sorted(sheet.page.evaluate(MEASURE, slider) for _ in range(20)) for slider in sliders}
            slider, times = max(found.items(), key=lambda pair: pair[1][10])
            print(f"{name}, {slider}: key to repainted picture: median {times[10]:.0f} ms, slowest {times[-1]:.0f} ms")


if __name__ == "__main__":
    cable_against_library()
    clad_against_bare_bessel()
    importing()
    slider_to_result()
    other_worksheets()
    whole_catalogue()
    if "--browser" in sys.argv:
        slider_to_picture()
