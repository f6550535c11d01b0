"""Every worksheet runs from top to bottom, is shipped without outputs, and opens with its code folded."""

import json
import shutil

import nbclient
import nbformat
import pytest

from workbook.files import shipped

WORKSHEETS = sorted(shipped("notebooks").glob("*.ipynb"))


def test_there_are_worksheets():
    assert WORKSHEETS


@pytest.mark.parametrize("path", WORKSHEETS, ids=lambda path: path.name)
def test_it_is_shipped_clean_and_folded(path):
    sheet = json.loads(path.read_text())
    assert sheet["metadata"]["run_on_open"] is True
    assert not any(cell["metadata"]["editable"] or cell["metadata"]["deletable"] for cell in sheet["cells"])
    for cell in (cell for cell in sheet["cells"] if cell["cell_type"] == "code"):
        assert cell["outputs"] == []
        assert cell["execution_count"] is None
        assert cell["metadata"]["jupyter"]["source_hidden"] is True
        assert "".join(cell["source"]).startswith("# ")


@pytest.mark.filterwarnings("default")
@pytest.mark.parametrize("path", WORKSHEETS, ids=lambda path: path.name)
def test_it_runs(path, tmp_path):
    for design in shipped("notebooks").glob("*.toml"):
        shutil.copy(design, tmp_path)
    sheet = nbformat.read(path, as_version=4)
    nbclient.NotebookClient(sheet, timeout=120, resources={"metadata": {"path": str(tmp_path)}}).execute()
    outputs = [output for cell in sheet.cells for output in cell.get("outputs", ())]
    assert any("application/vnd.jupyter.widget-view+json" in output.get("data", {}) for output in outputs)
    assert not [output for output in outputs if output.output_type == "stream" or output.output_type == "error"]
