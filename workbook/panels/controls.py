"""The few shapes of control that worksheets are made of, all fluid and described."""

import html
import re
from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

import ipywidgets as widgets

from workbook.glossary import explained

Written = TypeVar("Written", widgets.Text, widgets.Textarea)

_WIDE = {"description_width": "11em"}
_TABLES = """<style>
.workbook-tables { overflow-x: auto; max-width: 100%; padding-right: 2px;
  container-type: inline-size; line-height: 1.35; }
.workbook-tables table { border-collapse: collapse; margin: 4px 0 12px; color: var(--jp-ui-font-color1); }
.workbook-tables caption { text-align: left; font-weight: bold; padding: 4px 0; color: var(--jp-ui-font-color1); }
.workbook-tables th, .workbook-tables td {
  border: 1px solid var(--jp-border-color1); padding: 3px 7px; text-align: left; font-size: 13px; }
.workbook-tables td { white-space: nowrap; }
.workbook-tables td.text { white-space: normal; min-width: 14em; }
.workbook-tables th { background: var(--jp-layout-color2); }
.workbook-tables :is(.refused, .warning, .todo, .done, .note) { border-left: 4px solid var(--jp-border-color1);
  padding: 4px 8px; margin: 4px 0; color: var(--jp-ui-font-color1); white-space: normal; line-height: 1.4; }
.workbook-tables .refused { border-left-color: var(--jp-error-color1); }
.workbook-tables .warning { border-left: 6px double var(--jp-warn-color1); }
.workbook-tables .todo { border-left: 4px dashed var(--jp-warn-color1); }
.workbook-tables .done { border-left-color: var(--jp-success-color1); }
.widget-readout { pointer-events: none; }
@container (max-width: 600px) {
  .workbook-tables thead { display: none; }
  .workbook-tables caption { display: block; }
  .workbook-tables table, .workbook-tables tbody, .workbook-tables tr, .workbook-tables td { display: block; }
  .workbook-tables tr { border: 1px solid var(--jp-border-color1); margin: 0 0 8px; }
  .workbook-tables td { border: 0; display: flex; justify-content: space-between; gap: 12px; white-space: normal; }
  .workbook-tables td > span { text-align: right; }
  .workbook-tables td::before { content: attr(data-heading); color: var(--jp-ui-font-color2); }
  .workbook-tables td:first-child { font-weight: bold; background: var(--jp-layout-color2); }
}
</style>"""


def explained_tip(label: str, tip: str) -> str:
    """Return what a control shows when pointed at: its tip, and what the glossary says of the term in its label.

    Examples
    --------
    >>> explained_tip("coupling (%)", "of the two windings").split(". ")[1][:9]
    'coupling:'
    """
    term = explained(label)
    return f"{tip}. {term.name}: {term.meaning}" if term else tip


def _fluid() -> widgets.Layout:
    return widgets.Layout(width="100%", max_width="640px", min_width="0")


class _Stepped(widgets.FloatSlider):
    """A slider on whole steps: set to 14.5, the browser reports 14.499999999999998, which is not a move."""

    def notify_change(self, change: Any) -> None:
        """Report moves only; the value is left as it came, since a corrected one would go back too late."""
        known = change.name == "value" and isinstance(change.old, float)
        if not known or abs(change.new - change.old) > 1e-6 * self.step:
            super().notify_change(change)


def slider(name: str, label: str, tip: str, low: float, high: float, step: float) -> widgets.FloatSlider:
    """Return a slider; `name` is its CSS class, `label` holds the unit, `tip` says what it does."""
    made = _Stepped(
        min=low,
        max=high,
        step=step,
        description=label,
        tooltip=explained_tip(label, tip),
        style=_WIDE,
        layout=_fluid(),
        readout_format=".2f",
    )
    made.add_class(name)
    return made


def place(control: widgets.FloatSlider, value: float) -> None:
    """Set a slider to the step nearest to a value; off a step, the browser would move it and report a change."""
    steps = round((value - control.min) / control.step)
    control.value = round(control.min + steps * control.step, 9)


def choice(name: str, label: str, tip: str, options: Sequence[Any] = ()) -> widgets.Dropdown:
    """Return a choice of one among several."""
    made = widgets.Dropdown(
        options=options, description=label, tooltip=explained_tip(label, tip), style=_WIDE, layout=_fluid()
    )
    made.add_class(name)
    return made


def steps(name: str, label: str, tip: str, options: Iterable[Any]) -> widgets.SelectionSlider:
    """Return a slider over a few named steps."""
    made = widgets.SelectionSlider(
        options=tuple(options), description=label, tooltip=explained_tip(label, tip), style=_WIDE, layout=_fluid()
    )
    made.add_class(name)
    return made


def entry(name: str, label: str, tip: str, example: str) -> widgets.Text:
    """Return a field for text, read when it is left or Enter is pressed."""
    return _typed(widgets.Text(), name, label, tip, example)


def text_area(name: str, label: str, tip: str, example: str, rows: int) -> widgets.Textarea:
    """Return a field of several lines, read when it is left."""
    return _typed(widgets.Textarea(rows=rows), name, label, tip, example)


def _typed(made: Written, name: str, label: str, tip: str, example: str) -> Written:
    """Return a field that is read when it is left, not at every letter."""
    made.description, made.tooltip, made.placeholder = label, explained_tip(label, tip), example
    made.continuous_update, made.style, made.layout = False, _WIDE, _fluid()
    made.add_class(name)
    return made


def readout(name: str, label: str, tip: str) -> widgets.HTML:
    """Return a place for a few words, labelled as a control is."""
    made = widgets.HTML(description=label, tooltip=explained_tip(label, tip), style=_WIDE, layout=_fluid())
    made.add_class(name)
    return made


def column(*children: widgets.Widget) -> widgets.VBox:
    """Return parts one below the other, as wide as there is room and no wider."""
    return widgets.VBox(children, layout=widgets.Layout(width="100%", min_width="0", overflow="hidden"))


def row(*children: widgets.Widget) -> widgets.Box:
    """Return parts side by side where there is room."""
    return widgets.Box(children, layout=widgets.Layout(flex_flow="row wrap", width="100%", min_width="0"))


def replace(place: widgets.VBox, made: widgets.Widget) -> None:
    """Put a fresh control in a place, and let go of the old one."""
    old, place.children = place.children, (made,)
    for control in old:
        control.close()


def close(box: widgets.Widget) -> None:
    """Let go of a control, and of everything in a box."""
    for child in getattr(box, "children", ()):
        close(child)
    box.close()


def button(name: str, label: str, tip: str) -> widgets.Button:
    """Return a button."""
    made = widgets.Button(description=label, tooltip=tip, layout=widgets.Layout(width="auto", align_self="flex-start"))
    made.add_class(name)
    return made


def tick(kind: str, name: str, tip: str, least_width: str = "9.6em") -> widgets.Checkbox:
    """Return a tick box, one of several side by side; the name of a user's file may hold what no CSS class may."""
    layout = widgets.Layout(width="auto", min_width=least_width, margin="0 8px 0 0", flex="0 0 auto")
    made = widgets.Checkbox(description=name, tooltip=tip, indent=False, layout=layout)
    made.add_class(f"{kind}-" + re.sub(r"[^\w-]+", "-", name))
    return made


def page(name: str) -> widgets.HTML:
    """Return a place for tables and sentences."""
    made = widgets.HTML(layout=widgets.Layout(width="100%", min_width="0"))
    made.add_class(name)
    return made


def with_default_unit(text: str, unit: str) -> str:
    """Return what was typed, a bare number with the unit that stands in the field's label."""
    plain = text.strip()
    return f"{plain} {unit}" if plain.lstrip("+-−").replace(".", "", 1).isdecimal() else plain


def tables(*parts: str) -> str:
    """Return HTML parts in the worksheet's look, wide tables scrolling by themselves."""
    return f'{_TABLES}<div class="workbook-tables">{"".join(parts)}</div>'


def sentence(text: str, kind: str) -> str:
    """Return one sentence, escaped: `refused`, `warning`, `todo`, `done` or `note`; a warning begins with the word."""
    word = "<b>Warning:</b> " if kind == "warning" else ""
    return f'<p class="{kind}">{word}{html.escape(text)}</p>' if text else ""
