// Runs a notebook when it opens, if its metadata says `"run_on_open": true`: unasked where its code is that of a
// shipped worksheet, and for any other code only when the reader says so. Written by hand in the form in which
// JupyterLab loads a prebuilt extension, so that there is nothing to build.
(() => {
  const NAME = "feedline-workbook";
  const NARROW = 1600; // CSS pixels; below this the file list takes room that tables and pictures need
  // On a phone the caption of a folded cell wraps, where it would make the whole sheet scroll sideways.
  const STYLE = ".jp-InputPlaceholder, .jp-InputPlaceholder * { white-space: normal; min-width: 0; }";
  const QUESTION =
    "It is marked to run when it opens, but its code is not that of a worksheet that came with the workbook. Code " +
    "can read, change, delete and send everything that you can. Run it only if you know who wrote it.";
  const seen = new WeakSet();
  let shared; // JupyterLab's own modules

  // What `workbook.lab` computes of every shipped worksheet, from the same JSON text.
  async function fingerprint(model) {
    const code = [...model.cells].filter((cell) => cell.type === "code").map((cell) => cell.sharedModel.getSource());
    const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(JSON.stringify(code)));
    return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  async function isShipped(model) {
    const page = JSON.parse(document.getElementById("jupyter-config-data").textContent);
    return (page.shippedWorksheets ?? []).includes(await fingerprint(model));
  }

  async function readerAgrees(panel) {
    const {Dialog, showDialog} = (await Object.values(shared["@jupyterlab/apputils"])[0].get())();
    const buttons = [Dialog.cancelButton({label: "Do not run"}), Dialog.warnButton({label: "Run"})];
    const title = `Run the code of ${panel.title.label}?`;
    const answer = await showDialog({title, body: QUESTION, buttons, defaultButton: 0});
    return answer.button.accept;
  }

  async function runIfMarked(app, panel) {
    seen.add(panel);
    await panel.context.ready;
    const model = panel.context.model;
    if (model.getMetadata("run_on_open") !== true) return;
    await panel.sessionContext.ready;
    const kernel = panel.sessionContext.session?.kernel;
    if (!kernel) return;
    await kernel.info; // cells run before the kernel has answered are lost without a word
    if (app.shell.currentWidget !== panel) {
      seen.delete(panel); // the command runs the sheet in front; this one's turn comes when it is shown
      return;
    }
    if (!(await isShipped(model)) && !(await readerAgrees(panel))) return;
    if (app.shell.currentWidget !== panel) return;
    const run = app.commands.execute("notebook:run-all-cells");
    panel.content.activeCellIndex = 0; // the command goes to the last cell; a reader begins at the top
    panel.content.scrollToItem(0, "start");
    await run;
    model.dirty = false; // what the run wrote is no reason to ask for saving
  }

  function activate(app) {
    document.head.append(Object.assign(document.createElement("style"), {textContent: STYLE}));
    const look = () => {
      const panel = app.shell.currentWidget;
      if (!panel?.hasClass("jp-NotebookPanel")) return;
      if (window.innerWidth < NARROW) app.shell.collapseLeft();
      if (!seen.has(panel)) runIfMarked(app, panel);
    };
    app.restored.then(() => {
      app.shell.currentChanged.connect(look);
      look();
    });
  }

  const plugin = {id: `${NAME}:run-on-open`, autoStart: true, activate};
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB[NAME] = {
    init(scope) {
      shared = scope;
    },
    get: async () => () => ({__esModule: true, default: plugin}),
  };
})();
