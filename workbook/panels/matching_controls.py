"""The controls of the worksheet *75 to 50 ohms*, and what they ask for."""

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import ipywidgets as widgets

from workbook.bands import bands
from workbook.checks import between, positive, real
from workbook.design.schema import BEST, MatchTable
from workbook.errors import InputError
from workbook.formatting import LengthUnits
from workbook.line.cable import Cable
from workbook.line.catalogue import cable, cables, first_readable, readable
from workbook.matching.arguments import band_edges, end
from workbook.matching.candidates import (
    E24_PAD,
    E96_PAD,
    EXACT_PAD,
    FAMILIES,
    METHODS,
    Method,
    Requirements,
    method_named,
)
from workbook.matching.cores import USUAL_CORES
from workbook.matching.direct import LONGEST
from workbook.matching.transformer import USUAL_TURNS, Core
from workbook.panels import controls
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.units import Quantity

FIRST_BANDS = ("160 m", "80 m")
USUAL_CABLES = ("series-6-copper", "rg-6-solid-pe", "rg-59-solid-pe", "rg-58-solid-pe", "rg-8x-foam", "rg-213-solid-pe")
"""Flexible cables of 75 and of 50 ohm."""
FIRST_RUN = "rg-58-solid-pe"
LOWEST_MHZ, HIGHEST_MHZ = 0.1, 1000.0
FIRST, SWR_AND_PHASE, RUN = "the first of the list", "SWR at both ends and phase", "no matching: loss with length"
PADS = {"E24": E24_PAD, "E96": E96_PAD, "exact": EXACT_PAD}
ENTERED = "as entered below"
CORES = {usual.name: usual for usual in USUAL_CORES}
"""Cores to choose from by what they are called."""


class MatchingControls:
    """All controls, made once; `wanted` reads them, or refuses in one sentence."""

    def __init__(self, units: LengthUnits = LengthUnits.METRIC) -> None:
        self.bands = {name: controls.tick("band", name, f"match on {name}", "5em") for name in bands()}
        for name in FIRST_BANDS:
            self.bands[name].value = True
        self.range = controls.entry(
            "range", "another range (MHz)", "a range of your own beside the ticked bands", "such as 1.8 to 2"
        )
        self.source_resistance = controls.entry("source", "source (ohm)", "resistance of the source", "75")
        self.source_reactance = controls.entry(
            "source-reactance", "its reactance (ohm)", "of the source; negative is capacitive; empty is none", "0"
        )
        self.load_resistance = controls.entry("load", "load (ohm)", "resistance of the load", "50")
        self.load_reactance = controls.entry(
            "load-reactance", "its reactance (ohm)", "of the load; negative is capacitive; empty is none", "0"
        )
        self.source_resistance.value, self.load_resistance.value = "75", "50"
        self.swr = controls.slider("swr", "SWR limit", "greatest SWR at either end", 1.05, 5, 0.05)
        self.loss = controls.slider("loss", "loss limit (dB)", "greatest loss from source to load", 0.1, 10, 0.1)
        self._transformer(units)
        self.pad = controls.choice("pad", "pad resistors", "exact, or the nearest preferred values", tuple(PADS))
        self.run_cable = controls.choice("run-cable", "no matching: cable", "what lies between the ends", cables())
        self.run_cable.value = first_readable(FIRST_RUN)
        scale = Scale("run", "no matching: length", "0 is joined directly", 0, LONGEST, 0.5, "zero")
        self.run = LinkedSlider(scale, "m", 0.0, lambda: self._changed(), units)
        self.cables = {name: controls.tick("cable", name, f"choose from {name} too") for name in cables()}
        self.usual = controls.button("usual-cables", "usual cables", "tick the usual flexible cables only")
        self.all = controls.button("all-cables", "all cables", "tick the whole catalogue")
        self.way = controls.choice(
            "way", "match in detail", "which match is drawn strong and listed", (FIRST, *FAMILIES)
        )
        self.picture = controls.choice(
            "picture", "second picture", "what the lower picture shows", (SWR_AND_PHASE, RUN)
        )
        for control, value in ((self.swr, 1.2), (self.loss, 1.0)):
            controls.place(control, value)
        self._placing = False
        self._changed: Callable[[], None] = lambda: None
        self._choose_cables(name for name in USUAL_CABLES if name in self.cables and readable(name))

    def use(self, units: LengthUnits) -> None:
        """Show lengths in another system."""
        self.run.use(units)
        chosen, self._placing = self.core.value, True
        self.core.options = _cores(units)
        self.core.value, self._placing = chosen, False

    def _transformer(self, units: LengthUnits) -> None:
        self.core = controls.choice("core", "core", "a usual core sets the four below", _cores(units))
        self.turns = controls.slider("turns", "most turns", "of either winding of the transformer", 1, 60, 1)
        self.inductance = controls.entry(
            "inductance", "core (nH per turn²)", "inductance for each turn squared, from the core's data sheet", "400"
        )
        self.coupling = controls.slider(
            "coupling", "coupling (%)", "of the two windings; 100 leaks nothing", 98, 100, 0.05
        )
        self.core_q = controls.slider("core-q", "Q of the core", "low where the core is lossy", 0.5, 100, 0.5)
        self.winding_q = controls.slider("winding-q", "Q of the windings", "low where the wire is thin", 5, 300, 5)
        self.turns.readout_format = ".0f"
        controls.place(self.turns, USUAL_TURNS)
        self._take_core(next(iter(CORES.values())).core)

    def _take_core(self, core: Core) -> None:
        """Set the figures of a core."""
        self.inductance.value = f"{core.inductance_factor.m_as('nH'):g}"
        for control, value in (
            (self.coupling, 100 * core.coupling),
            (self.core_q, core.core_q),
            (self.winding_q, core.winding_q),
        ):
            controls.place(control, value)

    @property
    def _figures_of_core(self) -> tuple[widgets.Widget, ...]:
        return (self.inductance, self.coupling, self.core_q, self.winding_q)

    @property
    def groups(self) -> tuple[Group, ...]:
        """All controls in the order of the work."""
        ends = (self.source_resistance, self.source_reactance, self.load_resistance, self.load_reactance)
        buttons = widgets.HBox([self.usual, self.all], layout=widgets.Layout(flex_flow="row wrap"))
        return (
            Group("View", (self.way, self.picture)),
            Group("What is to be matched", (_wrapped(self.bands.values()), self.range, *ends, self.swr, self.loss)),
            Group("Transformer", (self.turns, self.core, *self._figures_of_core)),
            Group("Pad, and ends left as they are", (self.pad, self.run_cable, self.run.row)),
            Group("Cables to choose from", (_wrapped(self.cables.values()), buttons)),
        )

    def observe(self, changed: Callable[[], None], viewed: Callable[[], None]) -> None:
        """Call `changed` when something else is wanted, and `viewed` when only something else is viewed."""
        self._changed = changed
        ends = (self.source_resistance, self.source_reactance, self.load_resistance, self.load_reactance)
        asking = (self.range, *ends, self.swr, self.loss, self.turns, self.pad, self.run_cable)
        for control in (*self.bands.values(), *self.cables.values(), *asking):
            control.observe(lambda _: None if self._placing else changed(), "value")
        for control in self._figures_of_core:
            control.observe(lambda _: None if self._placing else self._enter_core(), "value")
        self.core.observe(lambda _: None if self._placing else self._choose_core(), "value")
        for control in (self.way, self.picture):
            control.observe(lambda _: None if self._placing else viewed(), "value")
        self.usual.on_click(lambda _: self._button(USUAL_CABLES, changed))
        self.all.on_click(lambda _: self._button(self.cables, changed))

    def _choose_core(self) -> None:
        """Take a usual core, as one change."""
        if self.core.value in CORES:
            self._placing = True
            self._take_core(CORES[self.core.value].core)
            self._placing = False
        self._changed()

    def _enter_core(self) -> None:
        """Say that the core is another one now."""
        self._placing = True
        self.core.value = ENTERED
        self._placing = False
        self._changed()

    def _button(self, names: Iterable[str], changed: Callable[[], None]) -> None:
        self._choose_cables(names)
        changed()

    def _choose_cables(self, names: Iterable[str]) -> None:
        """Tick these cables and no others, as one change."""
        wanted = set(names)
        self._placing = True
        for name, tick in self.cables.items():
            tick.value = name in wanted
        self._placing = False

    def take(self, match: MatchTable, frequencies: Mapping[str, Any], names: Iterable[str]) -> None:
        """Take bands, ends, limits, cables, core and way over from a design file, as one change.

        Raises
        ------
        InputError
            When a limit of the file is none that the sliders have.
        """
        limits = (self.swr, "most_swr", match.most_swr), (self.loss, "most_loss", match.most_loss.m_as("dB"))
        for slider, key, limit in limits:
            if not slider.min <= limit <= slider.max:
                raise InputError(
                    f"match.{key}: {limit:g} is outside the {slider.min:g} to {slider.max:g} of this sheet",
                    remedy="change it in the file, or compare matches with limits of your own",
                )
        beyond = [hertz for name, hertz in frequencies.items() if name not in self.bands]
        self._choose_cables(names)
        self._placing = True
        for name, tick in self.bands.items():
            tick.value = name in frequencies
        # of frequencies that are in no band, the range from the lowest to the highest
        ends = sorted(hertz.m_as("MHz") for hertz in beyond)
        self.range.value = f"{ends[0] / 1.001:.6g} to {ends[-1] * 1.001:.6g}" if ends else ""
        self.source_resistance.value = f"{match.source.m_as('ohm'):.9g}"
        self.load_resistance.value = f"{match.load.m_as('ohm'):.9g}"
        self.source_reactance.value = self.load_reactance.value = ""
        for slider, _, limit in limits:
            controls.place(slider, limit)
        core = match.core.core()
        self._take_core(core)
        self.core.value = next((name for name, usual in CORES.items() if usual.core == core), ENTERED)
        if match.turns is not None:
            controls.place(self.turns, min(max(match.turns), self.turns.max))
        method = None if match.way == BEST else method_named(match.way)
        self.way.value = FIRST if method is None else method.family
        self.pad.value = next((label for label, pad in PADS.items() if pad is method), self.pad.value)
        self._placing = False

    @property
    def limits(self) -> tuple[float, float]:
        """The greatest SWR and loss [dB] that are wanted."""
        return round(self.swr.value, 9), round(self.loss.value, 9)

    @property
    def cable_names(self) -> tuple[str, ...]:
        """The cables that are ticked."""
        return tuple(name for name, tick in self.cables.items() if tick.value)

    def wanted(self) -> tuple[Requirements, tuple[Method, ...]]:
        """Return what the controls ask for and the methods that are compared, or refuse."""
        edges = band_edges(self._bands())
        nanohenry = positive(controls.with_default_unit(self.inductance.value, "nH"), "nH", "core")
        core = Core(
            Quantity(nanohenry, "nH"), round(self.coupling.value / 100, 9), self.core_q.value, self.winding_q.value
        )
        asked = Requirements(
            _end(self.source_resistance, self.source_reactance, "source"),
            _end(self.load_resistance, self.load_reactance, "load"),
            edges,
            self.limits,
            self._cables(),
            core,
            round(self.turns.value),
            (cable(self.run_cable.value), between(self.run.text, "m", "no matching: length", 0, LONGEST)),
        )
        pad = PADS[self.pad.value]
        return asked, tuple(method for method in METHODS if method is pad or method not in PADS.values())

    def _bands(self) -> tuple[Any, ...]:
        ticked = tuple(name for name, tick in self.bands.items() if tick.value)
        typed = self.range.value.strip()
        chosen = (*ticked, _range(typed)) if typed else ticked
        if not chosen:
            raise InputError(
                "none is ticked", where="bands", remedy="tick at least one, or enter a range such as 1.8 to 2"
            )
        return chosen

    def _cables(self) -> tuple[Cable, ...]:
        found = tuple(cable(name) for name in self.cable_names)
        if not found:
            raise InputError("none is ticked", where="cables", remedy="tick at least one, or press 'usual cables'")
        return found


def _range(text: str) -> tuple[Any, Any]:
    parts = re.split(r"\s*(?:to|–|-)\s*(?=[\d.])", text)
    if len(parts) != 2:
        raise InputError(
            f"{text[:40]!r} is not two frequencies", where="range", remedy="write the lower one first, such as 1.8 to 2"
        )
    # a unit behind the second counts for both
    unit = re.sub(r"^[\d.\s]+", "", parts[1]) or "MHz"
    low, high = (positive(controls.with_default_unit(part, unit), "MHz", "range") for part in parts)
    if low < LOWEST_MHZ or high > HIGHEST_MHZ:
        raise InputError(
            f"got {text[:40]!r}", where="range", wanted=f"a range within {LOWEST_MHZ:g} to {HIGHEST_MHZ:g} MHz"
        )
    return Quantity(low, "MHz"), Quantity(high, "MHz")


def _end(resistance: widgets.Text, reactance: widgets.Text, name: str) -> Any:
    ohms = real(controls.with_default_unit(resistance.value, "ohm"), "ohm", name)
    more = real(controls.with_default_unit(reactance.value.strip() or "0", "ohm"), "ohm", f"{name} reactance")
    return end(Quantity(complex(ohms, more), "ohm"), name)


def _wrapped(boxes: Iterable[widgets.Widget]) -> widgets.Widget:
    layout = widgets.Layout(flex_flow="row wrap", width="100%", max_width="960px", min_width="0")
    return widgets.Box(tuple(boxes), layout=layout)


def _cores(units: LengthUnits) -> tuple[tuple[str, str], ...]:
    """Return what the choice of a core shows, each with the name by which it is known."""
    return (*((usual.label(units), name) for name, usual in CORES.items()), (ENTERED, ENTERED))
