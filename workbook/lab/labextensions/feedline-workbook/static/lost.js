// The answer when the program behind the page has ended. A notification would not do: its script is fetched when it is
// first needed, and the server that would send it has ended.
const BODY =
  "Its program has ended, so nothing on this page moves. Start it again with `feedline-workbook lab` and use the page " +
  "that opens, or press Reload if the program runs again. Changes that were not saved are lost.";

export async function plugin(name, load) {
  const {IConnectionLost} = await load("@jupyterlab/application");
  let asking = false;
  const ask = async () => {
    if (asking) return;
    asking = true;
    const {Dialog, showDialog} = await load("@jupyterlab/apputils");
    const buttons = [Dialog.okButton({label: "Reload"})];
    await showDialog({title: "The workbook has ended", body: BODY, buttons});
    asking = false;
    const answers = await fetch(location.href).then(
      (response) => response.ok,
      () => false,
    );
    if (answers) location.reload();
    else ask();
  };
  return {id: `${name}:connection-lost`, autoStart: true, provides: IConnectionLost, activate: () => ask};
}
