"""Which cable is good enough for long runs: loss, noise margin, direct-current drop and cost of each, and a choice."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from workbook.chain.long_runs import CableRuns, DcSupply, ReceiveBand, band_margin, voltage_over
from workbook.chain.noise_margin import LeastMargin, NoiseMargin, least_margin, one_margin
from workbook.checks import flag, instance, listed, plain_number, positive, real, single
from workbook.errors import InputError, shown
from workbook.line.cable import Cable
from workbook.line.catalogue import cable, cables, readable
from workbook.receive.dc_feed import DcFeed
from workbook.units import FloatArray, Frequency, Gain, Impedance, Length, Loss, Quantity


class BandLoss(NamedTuple):
    """Loss of one element run and the receiver run together [dB], over the range of claddings, and the margins.

    `margin` for the typical cable, `worst_margin` for the greatest loss.
    """

    band: str
    least: Loss
    typical: Loss
    greatest: Loss
    margin: NoiseMargin
    worst_margin: NoiseMargin


@dataclass(frozen=True)
class CableRow:
    """One cable for the runs.

    `bands`: losses and margins; `least_margin`: the least over all bands at the greatest loss; `feed`: what arrives,
    None where nothing is fed; `cost` in the user's own money and `mass` [kg] of all runs, `diameter` [m]: None where
    unknown; `estimated_below`: frequency below which loss is an estimate, None where it never is; `burial`: the
    versions for burial that its record names; `meets`: the margin wanted on all bands, and the feed.
    """

    cable: Cable
    bands: tuple[BandLoss, ...]
    least_margin: LeastMargin
    feed: DcFeed | None
    cost: float | None
    mass: Quantity | None
    diameter: Length | None
    estimated_below: Frequency | None
    burial: tuple[str, ...]
    meets: bool


@dataclass(frozen=True)
class Recommendation:
    """The cheapest cable that meets everything, and what others offer.

    `best` and `runner_up` by cost, None where no priced cable meets the margin; `next_better`: the cheapest of a
    greater margin that costs more than `best`, `gain` its extra margin [dB] and `gain_per_cost` that per unit of money.
    `nearest`: the cable of the greatest margin where none is enough.
    """

    best: CableRow | None
    runner_up: CableRow | None
    next_better: CableRow | None
    gain: Gain | None
    gain_per_cost: float | None
    nearest: CableRow | None


@dataclass(frozen=True)
class CableComparison:
    """All cables for the runs: priced ones by cost, then those without a price by name; and the choice."""

    rows: tuple[CableRow, ...]
    recommendation: Recommendation
    runs: CableRuns
    wanted_margin: Gain
    supply: DcSupply | None


def cable_comparison(
    names: Iterable[str | Cable] | None,
    runs: CableRuns,
    bands: Sequence[ReceiveBand],
    wanted_margin: Gain,
    prices: Mapping[str, float] | None = None,
    supply: DcSupply | None = None,
) -> CableComparison:
    """Return what every cable does as element run and receiver run, and the cheapest that is good enough.

    Losses are matched losses with the real behaviour of each cable on low bands; a cable whose cladding is known only
    within a range counts by its greatest loss.

    Parameters
    ----------
    names
        Cables or their names; None for all coaxial cables of the catalogue and of the user's own.
    runs
        The runs to be made of the cable.
    bands
        Bands and directions with everything else of the chain.
    wanted_margin
        External noise over internal noise that is wanted on all of them, in dB.
    prices
        Name of a cable -> price per metre in the user's money; a cable without one is shown, not ranked by cost.
    supply
        Direct-current feed of the front ends; None where nothing is fed.

    Returns
    -------
    CableComparison

    Raises
    ------
    InputError
        When an argument is of another kind, a list is empty, a cable is unknown, or a price is negative.

    Examples
    --------
    >>> from workbook.array.firing import Firing
    >>> from workbook.array.ground import PERFECT_GROUND
    >>> from workbook.array.layout import row
    >>> from workbook.receive.noise import Stage
    >>> one = Firing(row(2, "20 m", "0 deg"), [1, 0], "1.83 MHz", "0 deg", "20 deg", PERFECT_GROUND)
    >>> element, receiver = Stage("element", "-10 dB", "20 dB"), Stage("receiver", "0 dB", "10 dB")
    >>> band = ReceiveBand("160 m", one, "46.1 dB", element, after=(receiver,))
    >>> found = cable_comparison(
    ...     ["series-6-clad", "series-11-copper"], CableRuns(receiver_run="300 m"), [band], "10 dB",
    ...     {"series-6-clad": 0.3, "series-11-copper": 1.1},
    ... )
    >>> found.recommendation.best.cable.name
    'series-6-clad'
    """
    chosen = _chosen(names)
    instance(runs, CableRuns, "runs", "write wb.CableRuns(element_run='30 m', elements=8, receiver_run='200 m')")
    cases = _cases(bands)
    wanted = single(real(wanted_margin, "dB", "wanted_margin"), "wanted_margin")
    money = _prices(prices)
    if supply is not None:
        instance(supply, DcSupply, "supply", "write wb.DcSupply('13.8 V', '10 V', '80 mA')")
    losses = _band_losses(chosen, runs, cases)
    rows = [
        _row(each, runs, by_band, wanted, money.get(each.name), supply)
        for each, by_band in zip(chosen, losses, strict=True)
    ]
    rows.sort(key=lambda row: (row.cost is None, row.cost or 0.0, row.cable.name))
    return CableComparison(tuple(rows), _recommendation(rows), runs, Quantity(wanted, "dB"), supply)


def suitable_cables(
    impedance: Impedance | None = None,
    greatest_diameter: Length | None = None,
    buried: bool = False,
    names: Iterable[str] | None = None,
) -> tuple[str, ...]:
    """Return the names of coaxial cables that pass some filters.

    Parameters
    ----------
    impedance
        Nominal impedance; None for any.
    greatest_diameter
        Greatest diameter of the jacket, cables of unknown diameter left out; None for any.
    buried
        Only cables whose record names a version for burial.
    names
        Cables to choose among; None for all whose files can be used.

    Returns
    -------
    tuple of str

    Raises
    ------
    InputError
        When impedance or diameter is not above zero, `buried` is not True or False, or a name is unknown.

    Examples
    --------
    >>> suitable_cables("50 ohm", "6 mm")
    ('rg-58-solid-pe',)
    """
    ohms = None if impedance is None else single(positive(impedance, "ohm", "impedance"), "impedance")
    metres = None if greatest_diameter is None else single(positive(greatest_diameter, "m", "greatest_diameter"), "")
    below = flag(buried, "buried")
    return tuple(each.name for each in _chosen(names) if not each.is_balanced and _passes(each, ohms, metres, below))


def _passes(each: Cable, ohms: float | None, metres: float | None, buried: bool) -> bool:
    if ohms is not None and not np.isclose(each.nominal_impedance.m_as("ohm"), ohms, rtol=1e-3):
        return False
    diameter = _diameter(each)
    if metres is not None and (diameter is None or diameter.m_as("m") > metres):
        return False
    return bool(_burial(each)) or not buried


def _chosen(names: Iterable[str | Cable] | None) -> tuple[Cable, ...]:
    if names is None:
        # one file with a fault does not end the comparison of the others
        return tuple(each for each in map(cable, filter(readable, cables())) if not each.is_balanced)
    asked = listed(names, "names", "write ['series-6-copper']")
    try:
        found = tuple(each if isinstance(each, Cable) else cable(each) for each in asked)
    except InputError as error:
        raise error.renamed("name", "names") from None
    if not found:
        raise InputError("the list is empty", where="names", remedy="name at least one cable")
    return found


def _cases(bands: Sequence[ReceiveBand]) -> tuple[ReceiveBand, ...]:
    remedy = "make one by wb.ReceiveBand('160 m', firing, '46 dB', element, after=(receiver,))"
    found = tuple(instance(each, ReceiveBand, "bands", remedy) for each in listed(bands, "bands", remedy))
    if not found:
        raise InputError("the list is empty", where="bands", remedy=remedy)
    if len({each.name for each in found}) < len(found):
        raise InputError("a name occurs twice", where="bands", remedy="give each band its own name")
    return found


def _prices(prices: Mapping[str, float] | None) -> dict[str, float]:
    if prices is None:
        return {}
    if not isinstance(prices, Mapping):
        remedy = "write {'series-6-copper': 0.55}"
        raise InputError(f"got {shown(prices)}", where="prices", wanted="prices by cable", remedy=remedy)
    return {name: plain_number(price, f"prices[{shown(name)}]", 0, 1e6, "0.55") for name, price in prices.items()}


def _row(
    each: Cable,
    runs: CableRuns,
    losses: tuple[BandLoss, ...],
    wanted: float,
    price: float | None,
    supply: DcSupply | None,
) -> CableRow:
    least = least_margin({loss.band: loss.worst_margin for loss in losses})
    fed = None if supply is None else voltage_over(runs, supply, each.loop_resistance)
    mass = each.record.jacket.mass if each.record else None
    return CableRow(
        each,
        losses,
        least,
        fed,
        None if price is None else price * runs.total.m_as("m"),
        None if mass is None else (mass.value * runs.total).to("kg"),
        _diameter(each),
        each.estimated_below,
        _burial(each),
        bool(least.margin.m_as("dB") >= wanted - 1e-9) and (fed is None or fed.is_enough),
    )


def _band_losses(chosen: Sequence[Cable], runs: CableRuns, bands: Sequence[ReceiveBand]) -> list[tuple[BandLoss, ...]]:
    """Return losses and margins of every cable on every band."""
    hertz = Quantity(np.array([band.firing.frequency.m_as("Hz") for band in bands]), "Hz")
    spans = (each.span("attenuation", hertz) for each in chosen)
    # (cables, least typical greatest, bands) [dB/m]
    per_metre = np.array([[part.m_as("dB/m") for part in span] for span in spans])
    element, receiver = runs.element_run.m_as("m"), runs.receiver_run.m_as("m")
    whole = per_metre * (element + receiver)
    margins = [
        band_margin(band, per_metre[:, 1:, n] * element, per_metre[:, 1:, n] * receiver) for n, band in enumerate(bands)
    ]
    return [
        tuple(
            _band_loss(band.name, whole[row, :, n], one_margin(margin, (row, 0)), one_margin(margin, (row, 1)))
            for n, (band, margin) in enumerate(zip(bands, margins, strict=True))
        )
        for row in range(len(chosen))
    ]


def _band_loss(band: str, losses: FloatArray, margin: NoiseMargin, worst: NoiseMargin) -> BandLoss:
    least, typical, greatest = (Quantity(float(loss), "dB") for loss in losses)
    return BandLoss(band, least, typical, greatest, margin, worst)


def _diameter(each: Cable) -> Length | None:
    jacket = each.record.jacket.diameter if each.record else None
    return None if jacket is None else jacket.value.to("m")


def _burial(each: Cable) -> tuple[str, ...]:
    return tuple(text for text in (each.record.versions if each.record else ()) if "burial" in text)


def _recommendation(rows: Sequence[CableRow]) -> Recommendation:
    """Return the choice among rows in the order of their cost."""
    nearest = None if any(row.meets for row in rows) else max(rows, key=_margin)
    priced = [(row.cost, row) for row in rows if row.cost is not None]
    good = [(cost, row) for cost, row in priced if row.meets]
    if not good:
        return Recommendation(None, None, None, None, None, nearest)
    least_cost, best = good[0]
    runner_up = good[1][1] if len(good) > 1 else None
    better = [(cost, row) for cost, row in priced if cost > least_cost and _margin(row) > _margin(best)]
    if not better:
        return Recommendation(best, runner_up, None, None, None, nearest)
    cost, following = better[0]
    gain = _margin(following) - _margin(best)
    return Recommendation(best, runner_up, following, Quantity(gain, "dB"), gain / (cost - least_cost), nearest)


def _margin(row: CableRow) -> float:
    return float(row.least_margin.margin.m_as("dB"))
