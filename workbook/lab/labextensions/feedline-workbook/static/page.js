// A worksheet as a page: text, panel and results, with nothing of the notebook around them.
import {lock} from "./lock.js";
import {isMarked, run, runsOnOpening} from "./run.js";
import {settings} from "./settings.js";
import {addStrip, followAddress} from "./strip.js";
import {keepTyping} from "./typing.js";

const LOCKED = "worksheet-page"; // class of the body while a page is shown
const PLAIN = "worksheet-as-notebook"; // class of a worksheet that its reader did not let run: its code is to be seen

const isPage = () => document.body.classList.contains(LOCKED);

// Put the page's look on, or take it off. Nothing in the notebook's file changes.
function dress(app, showCode) {
  const panel = app.shell.currentWidget;
  const notebook = panel?.hasClass("jp-NotebookPanel");
  const on = !showCode && !!notebook && !panel.hasClass(PLAIN) && (!panel.context.isReady || isMarked(panel));
  document.body.classList.toggle(LOCKED, on);
  const {shell} = app;
  for (const side of ["left", "right"]) {
    if (shell.isSideTabBarVisible(side) === on) shell.toggleSideTabBarVisibility(side);
  }
  if (on) {
    shell.collapseLeft();
    shell.collapseRight();
  }
  if (shell.isTopInSimpleModeVisible() === on) shell.toggleTopInSimpleModeVisibility();
  for (const area of ["menu", "bottom"]) for (const widget of shell.widgets(area)) widget.parent.setHidden(on);
  if (!notebook) return;
  panel.toolbar.setHidden(on);
  panel.node.toggleAttribute("data-jp-suppress-context-menu", on); // the browser's own menu appears instead
  if (on) for (const cell of panel.content.widgets) if (cell.model.type === "markdown") cell.rendered = true;
}

// Make the cells of a worksheet editable again, for whoever works on its code.
function unlockCells(panel) {
  for (const cell of panel.context.model.cells) for (const key of ["editable", "deletable"]) cell.deleteMetadata(key);
  panel.context.model.dirty = false;
}

const ENDED =
  "The program behind this worksheet ended and was started again, and the worksheet with it, from its design file. " +
  "Changes that were not saved are lost.";

const wait = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));

// Return whether a program that is started again answers; false when it cannot be started. Its status does not say: the
// first one may come before the server listens again, and the lab does not count those of questions like this.
async function answersAgain(panel) {
  const {kernel} = panel.sessionContext.session;
  let answered = false;
  const listen = (_, message) => (answered ||= message.parent_header.msg_type === "kernel_info_request");
  kernel.iopubMessage.connect(listen);
  while (!answered && kernel.status !== "dead" && !panel.isDisposed) {
    kernel.requestKernelInfo().catch(() => {}); // cancelled while the lab connects again
    await wait(500);
  }
  kernel.iopubMessage.disconnect(listen);
  return answered;
}

// A page never asks to be saved, and is run again when its program has ended and was started again.
function attend(app, panel, load) {
  const {model} = panel.context;
  // in place of JupyterLab's own message, which speaks of a kernel
  panel.sessionContext.statusChanged.disconnect(panel._onSessionStatusChanged ?? (() => {}), panel);
  model.stateChanged.connect((_, change) => {
    if (isPage() && change.name === "dirty" && change.newValue) model.dirty = false;
  });
  let ended = false;
  panel.sessionContext.statusChanged.connect(async (_, status) => {
    if (status !== "autorestarting" || ended) return;
    ended = true;
    const answers = await answersAgain(panel);
    ended = false;
    if (!answers) return;
    await run(app, panel);
    const {Dialog, showDialog} = await load("@jupyterlab/apputils");
    showDialog({title: "The worksheet was started again", body: ENDED, buttons: [Dialog.okButton({label: "OK"})]});
  });
}

function activate(app, load) {
  const {showCode = false} = settings();
  const attended = new WeakSet();
  const ran = new WeakSet();
  lock(app, isPage);
  keepTyping();
  const look = async () => {
    const panel = app.shell.currentWidget;
    dress(app, showCode);
    if (!panel?.hasClass("jp-NotebookPanel") || ran.has(panel)) return;
    ran.add(panel);
    await panel.context.ready;
    dress(app, showCode);
    if (!isMarked(panel)) return;
    if (!attended.has(panel)) attend(app, panel, load);
    attended.add(panel);
    if (showCode) unlockCells(panel);
    const answer = await runsOnOpening(app, panel, load);
    if (answer === "later") ran.delete(panel); // its turn comes when it is in front
    else panel.toggleClass(PLAIN, answer === "refused");
    dress(app, showCode);
    if (answer === "yes") await run(app, panel);
  };
  app.restored.then(async () => {
    app.shell.currentChanged.connect(look);
    look();
    await addStrip(app, load);
    followAddress(app, load);
  });
}

export const plugin = (name, load) => ({
  id: `${name}:page`,
  autoStart: true,
  activate: (app) => activate(app, load),
});
