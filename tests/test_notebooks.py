"""Every worksheet runs from top to bottom, is shipped without outputs, and opens with its code folded."""

import json
import shutil

import nbclient
import nbformat
import pytest
from jupyter_client.manager import AsyncKernelManager
from jupyter_core.utils import run_sync

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


@pytest.fixture(scope="module")
def kernel(tmp_path_factory):
    """One kernel for all worksheets, in a folder with the demo designs: what an import costs is paid once."""
    folder = tmp_path_factory.mktemp("worksheets")
    for design in shipped("notebooks").glob("*.toml"):
        shutil.copy(design, folder)
    manager = AsyncKernelManager(kernel_name="python3")
    run_sync(manager.start_kernel)(cwd=str(folder))
    yield manager
    run_sync(manager.shutdown_kernel)(now=True)


@pytest.mark.filterwarnings("default")
@pytest.mark.parametrize("path", WORKSHEETS, ids=lambda path: path.name)
def test_worksheet_runs_and_shows_its_controls_and_no_complaint(path, kernel):
    sheet = nbformat.read(path, as_version=4)
    # names of the worksheet before it would hide one that is missing
    sheet.cells.insert(0, nbformat.v4.new_code_cell("%reset -f"))
    client = nbclient.NotebookClient(sheet, km=kernel, timeout=120)
    client.execute()
    client.kc.stop_channels()
    outputs = [output for cell in sheet.cells for output in cell.get("outputs", ())]
    assert any("application/vnd.jupyter.widget-view+json" in output.get("data", {}) for output in outputs)
    assert not [output for output in outputs if output.output_type == "stream" or output.output_type == "error"]
