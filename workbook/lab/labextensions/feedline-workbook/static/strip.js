// The strip above every worksheet: start page, previous and next worksheet, a list of all, and *run again*.
import {settings} from "./settings.js";
import {runAgain} from "./run.js";

const UNSAVED = ".where .todo"; // what a panel shows while its design differs from the file
const made = (tag, properties) => Object.assign(document.createElement(tag), properties);

async function sheetsBeside(app, path) {
  const known = new Map((settings().worksheets ?? []).map((sheet) => [sheet.name, sheet.title]));
  const folder = path.split("/").slice(0, -1).join("/");
  const {content} = await app.serviceManager.contents.get(folder);
  const notebooks = content.filter((file) => file.type === "notebook").sort((a, b) => (a.name < b.name ? -1 : 1));
  const number = (name) => name.match(/^\d+/)?.[0] ?? "";
  return notebooks.map(({name, path}) => {
    const title = known.get(name) ?? name.replace(/^\d+-?|\.ipynb$/g, "").replaceAll("-", " ");
    return {path, title, label: Number(number(name)) ? `${number(name)} ${title}` : title};
  });
}

// Wait, but not for long, until a worksheet has done what its controls were last set to, such as saving.
async function settle(panel) {
  for (let tries = 0; tries < 50 && panel?.sessionContext?.session?.kernel?.status === "busy"; tries++) {
    await new Promise((done) => setTimeout(done, 100));
  }
}

const isUnsaved = (panel) => !!panel?.node.querySelector(UNSAVED);

// Ask what becomes of changes that are not saved; return whether the worksheet may be left.
async function mayLeave(panel, load) {
  if (!isUnsaved(panel)) return true;
  const {Dialog, showDialog} = await load("@jupyterlab/apputils");
  const save = Dialog.okButton({label: "Save and go"});
  const drop = Dialog.warnButton({label: "Go without saving"});
  const body = "The design was changed on this worksheet and not saved. The other worksheets read the design file.";
  const buttons = [Dialog.cancelButton({label: "Stay"}), drop, save];
  const {button} = await showDialog({title: "Save the design?", body, buttons});
  if (button.label !== save.label) return button.label === drop.label;
  panel.node.querySelector("button.save")?.click();
  for (let tries = 0; tries < 100 && isUnsaved(panel); tries++) {
    if (panel.node.querySelector(".status .refused")) return false; // the panel says why
    await new Promise((done) => setTimeout(done, 100));
  }
  return !isUnsaved(panel);
}

// Open a worksheet in place of the one in front, which is closed with its program (some 180 MB each).
async function open(app, load, path) {
  const left = app.shell.currentWidget;
  if (left?.context?.path === path) return true;
  await settle(left);
  if (!(await mayLeave(left, load))) return false;
  await app.commands.execute("docmanager:open", {path});
  if (left?.hasClass("jp-NotebookPanel") && left !== app.shell.currentWidget) {
    left.context.model.dirty = false;
    left.sessionContext.shutdown().catch(() => {}); // it may have ended already
    left.close();
  }
  return true;
}

function linkTo(app, load, sheet, properties) {
  const {baseUrl = "/"} = settings();
  const link = made("a", {href: `${baseUrl}lab/tree/${sheet.path.split("/").map(encodeURIComponent).join("/")}`});
  Object.assign(link, properties, {title: sheet.label});
  return link;
}

async function fill(app, load, strip) {
  const here = app.shell.currentWidget?.context?.path ?? "";
  const sheets = await sheetsBeside(app, here);
  const place = sheets.findIndex((sheet) => sheet.path === here);
  const [previous, next] = [sheets[place - 1], place < 0 ? sheets[0] : sheets[place + 1]];
  const step = (sheet, name, text) =>
    sheet
      ? linkTo(app, load, sheet, {className: name, innerHTML: text, ariaLabel: `${name}: ${sheet.label}`})
      : made("span", {className: `${name} none`, innerHTML: text, ariaHidden: "true"});
  const list = made("select", {ariaLabel: "worksheet"});
  if (place < 0) list.append(made("option", {value: "", textContent: "worksheets", selected: true}));
  for (const {path, label} of sheets) {
    list.append(made("option", {value: path, textContent: label, selected: path === here}));
  }
  list.onchange = async () => {
    if (list.value && !(await open(app, load, list.value))) list.value = here;
  };
  const again = made("button", {className: "run-again", textContent: "Run again", onclick: () => runAgain(app, load)});
  again.title = "start this worksheet again from its design file";
  strip.replaceChildren(
    step(previous, "previous", "← <span>Previous</span>"),
    list,
    step(next, "next", "<span>Next</span> →"),
    made("span", {className: "room"}),
    again,
  );
}

// A link to a worksheet, here or in a panel, opens it in this window; with Ctrl, Shift or Cmd it is the browser's.
function followLinks(app, load) {
  const onClick = (event) => {
    const link = event.target.closest?.(".worksheet-strip a, .jupyter-widgets a");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const path = pathOf(new URL(link.href));
    if (!path) return;
    event.preventDefault();
    event.stopPropagation();
    open(app, load, path);
  };
  document.addEventListener("click", onClick, true);
}

function pathOf(address) {
  const path = decodeURIComponent(address.pathname.split("/tree/")[1] ?? "");
  return address.origin === location.origin && path.endsWith(".ipynb") ? path : "";
}

// Going back in the browser changes the address and not the worksheet, which follows here.
export function followAddress(app, load) {
  window.addEventListener("popstate", () => {
    const path = pathOf(location);
    if (path) open(app, load, path);
  });
}

// Closing or reloading the page with changes that are not saved is asked about by the browser.
function guardUnsaved(app) {
  window.addEventListener("beforeunload", (event) => {
    if (isUnsaved(app.shell.currentWidget)) event.preventDefault();
  });
}

export async function addStrip(app, load) {
  const {Widget} = await load("@lumino/widgets");
  const strip = made("nav", {className: "worksheet-strip", ariaLabel: "worksheets"});
  const widget = new Widget({node: strip});
  widget.id = "worksheet-strip";
  app.shell.add(widget, "header");
  const refresh = () => fill(app, load, strip);
  app.shell.currentChanged.connect(refresh);
  followLinks(app, load);
  guardUnsaved(app);
  await refresh();
}
