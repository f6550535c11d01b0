// Running a worksheet: unasked where its code is that of a shipped one, for any other code only when the reader agrees.
import {settings} from "./settings.js";

const QUESTION =
  "It is marked to run when it opens, but its code is not that of a worksheet that came with the workbook. Code " +
  "can read, change, delete and send everything that you can. Run it only if you know who wrote it.";

export const isMarked = (panel) => panel.context.model.getMetadata("run_on_open") === true;

// What `workbook.worksheets` computes of every shipped worksheet, from the same JSON text.
async function fingerprint(model) {
  const code = [...model.cells].filter((cell) => cell.type === "code").map((cell) => cell.sharedModel.getSource());
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(JSON.stringify(code)));
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function isShipped(model) {
  const own = await fingerprint(model);
  return (settings().worksheets ?? []).some((sheet) => sheet.fingerprint === own);
}

async function readerAgrees(panel, load) {
  const {Dialog, showDialog} = await load("@jupyterlab/apputils");
  const buttons = [Dialog.cancelButton({label: "Do not run"}), Dialog.warnButton({label: "Run"})];
  const title = `Run the code of ${panel.title.label}?`;
  const answer = await showDialog({title, body: QUESTION, buttons, defaultButton: 0});
  return answer.button.accept;
}

// Return "yes", "refused" by the reader, or "later" for a worksheet that is not in front.
export async function runsOnOpening(app, panel, load) {
  await panel.sessionContext.ready;
  const kernel = panel.sessionContext.session?.kernel;
  if (!kernel) return "later";
  await kernel.info; // cells run before the kernel has answered are lost without a word
  if (app.shell.currentWidget !== panel) return "later";
  if (!(await isShipped(panel.context.model)) && !(await readerAgrees(panel, load))) return "refused";
  return app.shell.currentWidget === panel ? "yes" : "later";
}

export async function run(app, panel) {
  const running = app.commands.execute("notebook:run-all-cells");
  panel.content.activeCellIndex = 0; // the command goes to the last cell; a reader begins at the top
  panel.content.scrollToItem(0, "start");
  await running;
  panel.context.model.dirty = false; // what the run wrote is no reason to ask for saving
}

// Run the worksheet in front again, whatever state its program is in; one that does not answer any more is restarted.
export async function runAgain(app, load) {
  const panel = app.shell.currentWidget;
  const kernel = panel?.sessionContext?.session?.kernel;
  if (!kernel || kernel.connectionStatus !== "connected" || kernel.status === "dead") return location.reload();
  if (!(await isShipped(panel.context.model)) && !(await readerAgrees(panel, load))) return;
  if (kernel.status !== "idle") await panel.sessionContext.restartKernel();
  await run(app, panel);
}
