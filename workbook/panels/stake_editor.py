"""Stakes that are typed, pasted or moved in the worksheet *layout and stake-out*."""

from collections.abc import Callable

from workbook.formatting import LengthUnits
from workbook.panels import controls
from workbook.panels.skeleton import Group


class StakeEditor:
    """The place of the stake chosen, which may be typed, and a table of all stakes, which may be pasted.

    `move` is called with east and north as typed, `take` with the text of a table.
    """

    def __init__(self, move: Callable[[str, str], None], take: Callable[[str], None]) -> None:
        self._move, self._writing = move, False
        self._unit, self._size = LengthUnits.METRIC.scale
        self._place = (0.0, 0.0)
        self.east, self.north = (
            controls.entry(f"stake-{way}", f"stake {way}", "place of the stake for which tapes are shown", "")
            for way in ("east", "north")
        )
        tip = (
            "a table from a spreadsheet: a heading, east,north or distance,azimuth, and a row for each stake; "
            "a number without a unit is in the system shown"
        )
        self.table = controls.text_area("stake-table", "all stakes", tip, "", 5)
        self.take = controls.button("take-stakes", "use these stakes", "puts the table in place of all stakes")
        self.east.observe(lambda change: self._typed(change.new, None), "value")
        self.north.observe(lambda change: self._typed(None, change.new), "value")
        self.take.on_click(lambda _: take(self.table.value))

    @property
    def group(self) -> Group:
        """The controls under their heading."""
        return Group("Stakes", (self.east, self.north, self.table, self.take))

    def show(self, number: int, place: tuple[float, float], units: LengthUnits) -> None:
        """Show where a stake stands [m]."""
        self._writing, self._place, (self._unit, self._size) = True, place, units.scale
        far = units.joined("23", "75")
        self.table.placeholder = f"east ({self._unit}),north ({self._unit})\n{far},0\n0,{far}"
        for entry, way, metres in zip((self.east, self.north), ("east", "north"), place, strict=True):
            entry.description, entry.value = f"stake {number} {way}", units.signed(metres)
        self._writing = False

    def _typed(self, *texts: str | None) -> None:
        """Move the stake; what was not typed stays exactly where it is."""
        if not self._writing:
            east, north = (
                f"{round(metres / self._size, 6) + 0.0:.9g} {self._unit}"
                if text is None
                else controls.with_default_unit(text, self._unit)
                for text, metres in zip(texts, self._place, strict=True)
            )
            self._move(east, north)
