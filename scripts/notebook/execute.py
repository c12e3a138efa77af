"""Executes a notebook in a folder of its own and fails on the first error.

    python execute.py NOTEBOOK [EXECUTED]

Fails, too, when the notebook holds outputs: they belong to whoever ran it and
do not go into the repository. With EXECUTED the notebook is left there with
what it showed.
"""

import os
import sys
import tempfile

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

# The longest that a cell may take, in seconds; the slowest takes a few.
CELL_TIMEOUT = 300


def main(path, executed=None):
    notebook = nbformat.read(path, as_version=4)
    nbformat.validate(notebook)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    if any(cell.outputs or cell.execution_count for cell in code):
        return f"{path}: holds outputs; clear them before it is kept"
    with tempfile.TemporaryDirectory() as folder:
        client = NotebookClient(notebook, timeout=CELL_TIMEOUT, resources={"metadata": {"path": folder}},
                                extra_arguments=["--log-level=ERROR"])
        try:
            client.execute()
        except CellExecutionError as error:
            return f"{path}: {error}"
        finally:
            if executed:
                nbformat.write(notebook, executed)
    drawn = sum("image/png" in output.get("data", {}) for cell in code for output in cell.outputs)
    print(f"{os.path.basename(path)}: {len(code)} cells of code executed, {drawn} figures drawn")
    return None


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
