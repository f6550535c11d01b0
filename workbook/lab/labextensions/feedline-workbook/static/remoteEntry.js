// Makes a page of every worksheet: a notebook whose metadata says `"run_on_open": true`. Written by hand in the form in
// which JupyterLab loads a prebuilt extension, so that there is nothing to build; the parts are plain modules beside it.
(() => {
  const NAME = "feedline-workbook";
  const here = new URL("./", document.currentScript.src).href;
  let shared; // JupyterLab's own modules
  const load = async (name) => (await Object.values(shared[name])[0].get())();
  window._JUPYTERLAB ??= {};
  window._JUPYTERLAB[NAME] = {
    init(scope) {
      shared = scope;
    },
    get: async () => {
      document.head.append(Object.assign(document.createElement("link"), {rel: "stylesheet", href: `${here}page.css`}));
      const [page, lost] = await Promise.all([import(`${here}page.js`), import(`${here}lost.js`)]);
      const plugins = [page.plugin(NAME, load), await lost.plugin(NAME, load)];
      return () => ({__esModule: true, default: plugins});
    },
  };
})();
