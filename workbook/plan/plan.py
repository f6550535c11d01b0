"""The whole plan as pure data."""

import html
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Protocol, TypeVar

from workbook.array.stakeout import Stake
from workbook.design.hubs import HUBS, HubBase
from workbook.errors import InputError, shown
from workbook.formatting import LengthUnits
from workbook.plan.pieces import DelayLine, ElementRuns, ReceiverRun
from workbook.plan.reception import PlanFeed, Reception
from workbook.plan.reels import ReelPlan
from workbook.plan.results import (
    GroundBelow,
    HubOption,
    MergeOption,
    PatternShape,
    PlanBand,
    PlanDirection,
    PlanElement,
    PlanMatch,
    PlanTape,
    PlanTolerance,
    Slack,
    SwitchRow,
    Terminations,
    Total,
)

T = TypeVar("T")


class _Named(Protocol):
    """What is looked up by name."""

    @property
    def delay_lines(self) -> tuple[DelayLine, ...]: ...
    @property
    def bands(self) -> tuple[PlanBand, ...]: ...
    @property
    def directions(self) -> tuple[PlanDirection, ...]: ...


@dataclass(frozen=True, repr=False)
class PlanHeader:
    """What a plan takes over from its design."""

    format: int
    name: str
    workbook_version: str
    design_sha256: str
    cut_band: str
    rule: str
    ground: GroundBelow
    declination_deg: float | None
    elevation_deg: float
    hub: str
    hub_east_m: float
    hub_north_m: float
    trim_m: float
    strip_m: float
    connector_delay_s: float
    units: LengthUnits

    @property
    def hub_kind(self) -> type[HubBase]:
        """The kind of hub."""
        return HUBS[self.hub]

    def line(self: _Named, label: str) -> DelayLine:
        """Return the delay line of a label.

        Parameters
        ----------
        label
            Label of the line, such as ``"A"``.

        Returns
        -------
        DelayLine
            The line of that label.

        Raises
        ------
        InputError
            When the plan has no such line.
        """
        return _find(self.delay_lines, label, "label", "line")

    def band(self: _Named, name: str) -> PlanBand:
        """Return the band of a name.

        Parameters
        ----------
        name
            Name of the band, as the design writes it.

        Returns
        -------
        PlanBand
            The band of that name.

        Raises
        ------
        InputError
            When the plan has no such band.
        """
        return _find(self.bands, name, "name", "band")

    def direction(self: _Named, name: str) -> PlanDirection:
        """Return the direction of a name.

        Parameters
        ----------
        name
            Name of the direction, as the design writes it.

        Returns
        -------
        PlanDirection
            The direction of that name.

        Raises
        ------
        InputError
            When the plan has no such direction.
        """
        return _find(self.directions, name, "name", "direction")

    @property
    def cut_order(self: _Named) -> tuple[DelayLine, ...]:
        """The delay lines, longest first, so that a spoiled piece still makes a shorter line."""
        return tuple(sorted(self.delay_lines, key=lambda line: -line.length_m))


def _find(parts: Sequence[T], name: str, key: str, what: str) -> T:
    for one in parts:
        if isinstance(name, str) and getattr(one, key) == name:
            return one
    known = ", ".join(getattr(one, key) for one in parts)
    raise InputError(
        f"there is no {what} {shown(name)}", where=what if key == "name" else key, remedy=f"there are {known}"
    )


@dataclass(frozen=True, repr=False)
class Plan(PlanHeader):
    """Everything that is cut, and why; `to_dict` is the JSON."""

    accept_deg: float
    accept_reason: str
    bands: tuple[PlanBand, ...]
    elements: tuple[PlanElement, ...]
    directions: tuple[PlanDirection, ...]
    delay_lines: tuple[DelayLine, ...]
    element_runs: ElementRuns
    receiver_run: ReceiverRun | None
    totals: tuple[Total, ...]
    stakes: tuple[Stake, ...]
    tapes: tuple[PlanTape, ...]
    switch_table: tuple[SwitchRow, ...]
    hub_options: tuple[HubOption, ...]
    merges: tuple[MergeOption, ...]
    slacks: tuple[Slack, ...]
    terminations: Terminations | None
    match: PlanMatch | None
    tolerances: tuple[PlanTolerance, ...]
    reception: Reception | None
    feed: PlanFeed | None
    reels: tuple[ReelPlan, ...]
    warnings: tuple[str, ...]
    shapes: tuple[PatternShape, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as plain numbers, texts, lists and dicts.

        Returns
        -------
        dict
            What the JSON of the plan holds: plain numbers, each key ending in its unit, such as ``length_m``.
        """
        return {key: _plain(value) for key, value in asdict(self).items()}

    def __repr__(self) -> str:
        """Return one line."""
        return f"<Plan of {self.name!r}: {', '.join(f'{what} {value}' for what, value in self._summary())}>"

    def _summary(self) -> tuple[tuple[str, str], ...]:
        return (
            ("elements", str(len(self.elements))),
            ("directions", str(len(self.directions))),
            ("bands", ", ".join(band.name for band in self.bands)),
            ("rule", self.rule),
            ("hub", self.hub),
            ("delay lines", str(sum(line.count for line in self.delay_lines))),
            ("warnings", str(len(self.warnings))),
        )

    def _repr_html_(self) -> str:
        rows = "".join(f"<dt>{what}</dt><dd>{html.escape(value)}</dd>" for what, value in self._summary())
        return f"<section><strong>{html.escape(self.name)}</strong><dl>{rows}</dl></section>"


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key.rstrip("_"): _plain(entry) for key, entry in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(entry) for entry in value]
    if isinstance(value, StrEnum):
        return value.value
    return value.item() if hasattr(value, "item") else value
