// What `workbook.lab` gives the page: the shipped worksheets, and whether their code is shown.
export const settings = () => JSON.parse(document.getElementById("jupyter-config-data").textContent);
