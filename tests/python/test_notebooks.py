"""The notebooks are stored without results, run from top to bottom in a fresh kernel, and hold what they assert."""

import os
import re

import nbclient
import nbformat
import pytest
from conftest import ROOT

NOTEBOOKS = sorted((ROOT / "notebooks").glob("**/*.ipynb"))
CELL_LIMIT_S = 180  # a cell that hangs; on an idle machine the whole notebook takes less than a minute


def read(path):
    return nbformat.read(path, as_version=4)


def test_there_are_notebooks():
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_it_is_stored_without_results(path):
    book = read(path)
    nbformat.validate(book)
    for cell in book.cells:
        if cell.cell_type == "code":
            assert cell.outputs == [] and cell.execution_count is None, cell.id
    names = [cell.id for cell in book.cells]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_every_section_with_code_asserts_something(path):
    """A numbered section without code is a table of what is shown elsewhere."""
    sections = []
    for cell in read(path).cells:
        if cell.cell_type == "markdown" and re.match(r"#{2,3} ", cell.source):
            sections.append((cell.source.splitlines()[0], []))
        elif cell.cell_type == "code" and sections:
            sections[-1][1].append(cell.source)
    assert len(sections) > 3
    for title, sources in sections:
        assert not sources or re.search(r"^\s*assert ", "\n".join(sources), re.MULTILINE), title


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)
def test_it_runs_in_a_fresh_kernel(path):
    """Pictures are drawn inline, as for a reader; a failing assert raises here with its cell and its traceback."""
    book = read(path)
    client = nbclient.NotebookClient(
        book, timeout=CELL_LIMIT_S, kernel_name="python3", resources={"metadata": {"path": str(path.parent)}}
    )
    client.execute(env={name: value for name, value in os.environ.items() if name != "MPLBACKEND"})
    drawn = sum("image/png" in out.get("data", {}) for cell in book.cells for out in cell.get("outputs", []))
    assert drawn >= 1
