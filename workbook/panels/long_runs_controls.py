"""The controls of the worksheet *coax for long runs*: runs, noise outside, chain, feed, filters and prices."""

from collections.abc import Callable
from types import MappingProxyType
from typing import Any, Self

import ipywidgets as widgets

from workbook.design.reception import EnvironmentTable, usual_front_end
from workbook.design.store import Changes
from workbook.formatting import LengthUnits
from workbook.line.catalogue import cable, cables, compared_unasked, readable
from workbook.panels import controls
from workbook.panels.design_controls import SizeControls
from workbook.panels.key_controls import Key, KeySliders, with_usual
from workbook.panels.linked_slider import LinkedSlider, Scale
from workbook.panels.skeleton import Group
from workbook.plan.designs import Design
from workbook.receive.noise import MAN_MADE

BOTH, RECEIVER, ELEMENT = "element runs and receiver run", "receiver run alone", "element runs alone"
COAX, ANY, EVERY_BAND = "the coax", "any", "every band"
"""Choices that stand for a key left out, and for no filter."""
USUAL_FEED: Changes = MappingProxyType(
    {("feed", "supply"): "13.8 V", ("feed", "least_voltage"): "10 V", ("feed", "current"): "30 mA"}
)
USUAL_RUN_METRIC, USUAL_RUN_FEET = "100 m", "300 ft"
_SAID = MappingProxyType({"front_end": "front end", "feed": "feed", "lengths": "receiver run"})
"""How the tables are called that a design need not have."""
RUN = (Key("lengths", "receiver_run", Scale("receiver-run", "receiver run", "from hub to receiver", 5, 600, 1), "m"),)
NOISE = (
    Key("environment", "margin", Scale("margin", "margin wanted", "over internal noise", 0, 30, 0.5, "zero"), "dB"),
)
STRONG = (
    Key(
        "environment",
        "strong_signal",
        Scale("strong", "strongest signal", "field strength to expect; 0 for none", 0, 100, 1, "zero"),
        "mV/m",
        none=0.0,
    ),
)
CHAIN = (
    Key(
        "receiver",
        "noise_figure",
        Scale("noise-figure", "receiver's noise figure", "at its input", 0, 40, 0.5, "zero"),
        "dB",
    ),
    Key(
        "receiver",
        "amplifier_gain",
        Scale("amplifier", "amplifier at the hub", "its gain; 0 for none", 0, 30, 0.5, "zero"),
        "dB",
        none=0.0,
    ),
)
FEED = (
    Key("feed", "supply", Scale("supply", "supply", "voltage at the receiver's end", 5, 30, 0.1), "V"),
    Key("feed", "least_voltage", Scale("least", "front end needs", "least voltage", 3, 24, 0.1), "V"),
    Key("feed", "current", Scale("current", "front end takes", "current of one front end", 0, 200, 1, "zero"), "mA"),
)
WIDEST_MM = 30.0


def usual_keys(design: Design, units: LengthUnits) -> dict[tuple[str, ...], Any]:
    """Return what is taken where a design does not say it: front end, feed, receiver run."""
    content = design.content
    found: dict[tuple[str, ...], Any] = {}
    if content.front_end is None:
        found |= usual_front_end(max(content.band_hertz.values()), units)
    if content.feed is None:
        found |= USUAL_FEED
    if content.lengths.receiver_run is None:
        found["lengths", "receiver_run"] = units.joined(USUAL_RUN_METRIC, USUAL_RUN_FEET)
    return found


class PriceFields:
    """The price of the cable that is chosen, and the length that it buys; other cables keep theirs."""

    def __init__(self, design: Design, changed: Callable[[], None], units: LengthUnits) -> None:
        self._changed, self._linking, self._unit = changed, False, units.scale[0]
        self._filed = {
            name: (f"{one.price:.9g}", units.entered(one.per)) for name, one in design.content.prices.items()
        }
        self._typed: dict[str, tuple[str, str]] = {}
        self.price = controls.entry("price", "price", "in your own money; empty for none", "such as 95")
        example = f"such as {units.joined('305 m', '1000 ft')}"
        self.per = controls.entry("per", "price is for", "length of cable that the price buys", example)
        self.name = ""
        for field in (self.price, self.per):
            field.observe(lambda _: self._type(), "value")

    def show(self, name: str) -> None:
        """Show the price of a cable."""
        self.name, self._linking = name, True
        self.price.value, self.per.value = self._typed.get(name, self._filed.get(name, ("", f"1 {self._unit}")))
        self._linking = False

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return the prices that were typed."""
        found = dict[tuple[str, ...], Any]()
        for name, (price, per) in self._typed.items():
            if not price:
                if name in self._filed:
                    found["prices", name] = None
                continue
            found["prices", name] = {"price": _number(price), "per": controls.with_default_unit(per, self._unit)}
        return found

    def _type(self) -> None:
        if not self._linking:
            self._typed[self.name] = (self.price.value.strip(), self.per.value.strip() or f"1 {self._unit}")
            self._changed()


def _number(text: str) -> Any:
    """Return a number, or the text for the design file to refuse."""
    try:
        return float(text)
    except ValueError:
        return text


class LongRunsControls:
    """Fresh controls over one design: what changes it, and how cables are filtered, which is not saved."""

    def __init__(
        self, design: Design, changed: Callable[[], None], viewed: Callable[[], None], units: LengthUnits
    ) -> None:
        self.design, self._changed = design, changed
        self._usual = usual_keys(design, units)
        content = self._content = design.changed(self._usual).content
        self.size = SizeControls(content.array, changed, units)
        self.run, self.margin, self.chain, self.feed, self.strong = (
            KeySliders(keys, content, changed, units) for keys in (RUN, NOISE, CHAIN, FEED, STRONG)
        )
        self.noise = controls.choice("noise", "environment", "man-made noise by ITU-R P.372", tuple(MAN_MADE))
        self.noise.value = (content.environment or EnvironmentTable()).noise
        gauges = (("the coax", COAX), *((f"a pair of AWG {gauge}", gauge) for gauge in range(10, 27, 2)))
        self.pair = controls.choice("pair", "feed over", "what carries the direct current", gauges)
        gauge = COAX if content.feed is None or content.feed.pair_gauge is None else content.feed.pair_gauge
        if gauge not in dict(gauges).values():
            self.pair.options = (*gauges, (f"a pair of AWG {gauge}", gauge))
        self.pair.value = gauge
        looked_at = compared_unasked()
        pairs = {name for name in looked_at if not readable(name) or cable(name).is_balanced}
        coaxial = tuple(name for name in cables() if name not in pairs)
        self.cable = controls.choice("cable", "receiver run of", "cable of the design's receiver run", coaxial)
        self.cable.value = content.cables.receiver_run
        self.prices = PriceFields(design, changed, units)
        self.prices.show(self.cable.value)
        bands = (EVERY_BAND, *content.bands)
        self.band = controls.choice("band", "compare on", "bands on which a cable must be good enough", bands)
        self.runs = controls.choice("runs", "compare for", "runs made of one cable", (BOTH, RECEIVER, ELEMENT))
        self.impedance = controls.choice(
            "impedance",
            "impedance",
            "of the cables compared",
            (("any", None), ("75 ohm", "75 ohm"), ("50 ohm", "50 ohm")),
        )
        scale = Scale("widest", "at most thick", "greatest diameter", 5, WIDEST_MM, 0.5)
        self.widest = LinkedSlider(scale, "mm", WIDEST_MM, viewed, units)
        self.buried = controls.tick("filter", "for burial only", "only cables with a version for burial")
        self.noise.observe(lambda _: changed(), "value")
        self.pair.observe(lambda _: changed(), "value")
        self.cable.observe(lambda _: self._choose(), "value")
        for control in self._filters:
            control.observe(lambda _: viewed(), "value")

    @property
    def _filters(self) -> tuple[widgets.Widget, ...]:
        return (self.band, self.runs, self.impedance, self.buried)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The controls under their headings."""
        return (
            Group("Runs", (*self.run.rows, *self.size.rows)),
            Group("Noise", (self.noise, *self.margin.rows, *self.chain.rows, *self.strong.rows)),
            Group("Feed", (*self.feed.rows, self.pair)),
            Group("Cable and prices", (self.cable, self.prices.price, self.prices.per)),
            Group("Compare", (*self._filters[:-1], self.widest.row, self.buried)),
        )

    @property
    def assumed(self) -> tuple[str, ...]:
        """What the file does not give, and for which usual values are taken."""
        changes = self.changes()
        return tuple(dict.fromkeys(_SAID[key[0]] for key in self._usual if key not in changes))

    def changes(self) -> dict[tuple[str, ...], Any]:
        """Return what the controls say otherwise than the file."""
        content = self._content
        outside = {**self.margin.changes(), **self.chain.changes(), **self.strong.changes()}
        if self.noise.value != (content.environment or EnvironmentTable()).noise:
            outside["environment", "noise"] = self.noise.value
        feed = self.feed.changes()
        gauge = None if self.pair.value == COAX else self.pair.value
        if content.feed and gauge != content.feed.pair_gauge:
            feed["feed", "pair_gauge"] = gauge
        found = with_usual(outside, {key: value for key, value in self._usual.items() if key[0] == "front_end"})
        found |= with_usual(feed, {key: value for key, value in self._usual.items() if key[0] == "feed"})
        found |= self.run.changes() | self.size.changes() | self.prices.changes()
        if self.cable.value != content.cables.receiver_run:
            found["cables", "receiver_run"] = self.cable.value
        return found

    def copy_view(self, other: Self) -> None:
        """Compare as the controls before did."""
        self.band.value = other.band.value if other.band.value in self.band.options else EVERY_BAND
        for mine, before in zip(self._filters[1:], other._filters[1:], strict=True):
            mine.value = before.value
        self.widest.stand_as(other.widest)

    def close(self) -> None:
        """Let go of the controls."""
        for each in (self.run, self.margin, self.chain, self.feed, self.strong):
            each.close()
        fields = (self.prices.price, self.prices.per)
        for control in (*self.size.rows, self.noise, self.pair, self.cable, *fields, *self._filters, self.widest.row):
            controls.close(control)

    def _choose(self) -> None:
        self.prices.show(self.cable.value)
        self._changed()
