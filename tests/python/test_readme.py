"""What the README shows runs as it stands there."""

import os
import re
import subprocess
import sys

from conftest import ROOT


def test_the_readmes_python_runs():
    blocks = re.findall(
        r"^```python\n(.*?)^```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE
    )
    assert blocks, "README.md shows no Python"
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(blocks)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        env={**os.environ, "MPLBACKEND": "Agg"},
    )
    assert done.returncode == 0, done.stderr
