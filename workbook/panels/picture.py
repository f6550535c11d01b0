"""A picture in a worksheet: SVG that follows the theme and never runs off the side."""

import anywidget
import traitlets

_SHOW = """
function render({ model, el }) {
  const draw = () => {
    el.innerHTML = model.get("svg");
    const svg = el.querySelector("svg");
    if (!svg) return;
    svg.style.maxWidth = "100%";
    svg.style.height = "auto";
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", model.get("describes"));
  };
  model.on("change:svg", draw);
  draw();
}
export default { render };
"""


class Picture(anywidget.AnyWidget):
    """Shows one `<svg>` element; `describes` is read out to those who cannot see it."""

    _esm = _SHOW
    svg = traitlets.Unicode("").tag(sync=True)
    describes = traitlets.Unicode("").tag(sync=True)
