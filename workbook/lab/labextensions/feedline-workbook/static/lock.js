// On a page no key, click or drag outside a control changes anything: JupyterLab's own key handling is off, and what
// would open a text's editor or take in what is dropped or pasted is stopped. Controls handle their keys themselves.
const INSIDE_A_CONTROL = ".jupyter-widgets :is(input, textarea, [contenteditable]), .worksheet-strip";
const STOPPED = ["dblclick", "paste", "drop", "dragover"];

export function lock(app, isPage) {
  const handled = app.evtKeydown;
  app.evtKeydown = (event) => {
    if (!isPage() || event.target.closest?.(".jp-Dialog")) handled.call(app, event);
    else if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") event.preventDefault();
  };
  for (const kind of STOPPED) {
    const stop = (event) => {
      if (!isPage() || event.target.closest?.(INSIDE_A_CONTROL)) return;
      event.stopPropagation();
      if (kind !== "dblclick") event.preventDefault(); // a double click still selects a word
    };
    document.addEventListener(kind, stop, true);
  }
}
