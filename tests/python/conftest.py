"""The demo rigs, their procedure and one run of each, shared by all tests."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

os.environ.setdefault("MPLBACKEND", "Agg")

import evenstroke as es  # noqa: E402

ROOT = Path(__file__).resolve().parents[2]
RIGS = ROOT / "examples" / "rigs"
PROCEDURE = ROOT / "examples" / "procedures" / "shop_bleed.toml"


@pytest.fixture(scope="session")
def rig():
    return es.load_rig(RIGS / "roof_hatch.toml")


@pytest.fixture(scope="session")
def low_rig():
    return es.load_rig(RIGS / "roof_hatch_ports_low.toml")


@pytest.fixture(scope="session")
def procedure():
    return es.load_procedure(PROCEDURE)


def command(*arguments, **more):
    """The finished process of a command line."""
    call = [sys.executable, "-m", "evenstroke", *map(str, arguments)]
    return subprocess.run(call, capture_output=True, text=True, timeout=300, **more)


def exchanged(rig):
    """Left cylinder dry, its cap line opened."""
    return es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])


@pytest.fixture(scope="session")
def contents(rig):
    return exchanged(rig)


@pytest.fixture(scope="session")
def run(rig, contents, procedure):
    return es.run(rig, contents, procedure)


@pytest.fixture(scope="session")
def low_run(low_rig, procedure):
    return es.run(low_rig, exchanged(low_rig), procedure, max_strokes=20)


@pytest.fixture(scope="session")
def answer(rig, contents, procedure):
    return es.strokes_to_parallel(rig, contents, procedure, members=8, tolerance_mm=0.5)
