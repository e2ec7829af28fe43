"""Hydraulic cylinders lift one panel: how many bleed strokes until they keep step?

    import evenstroke as es
    rig = es.load_rig("examples/rigs/roof_hatch.toml")
    procedure = es.load_procedure("examples/procedures/shop_bleed.toml")
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])
    print(es.run(rig, contents, procedure).story())
    print(es.strokes_to_parallel(rig, contents, procedure).text())

SI inside, with the unit in every name; readings for the shop (mm, ml, bar) say so in theirs.
"""

from . import laws, sampling
from ._core import (
    Answered,
    Books,
    Check,
    Contents,
    Count,
    Field,
    Ledger,
    Leftover,
    Outcome,
    Overload,
    Procedure,
    Rig,
    Status,
    Step,
    Verdict,
    __version__,
    load_procedure,
    load_rig,
    parse_procedure,
    parse_rig,
)
from .answers import Answer, strokes_to_parallel
from .batches import run_batch
from .cures import Cure, Cures, cures
from .errors import FileError, InputError
from .explanations import Explanation, explain
from .job_sheet import job_sheet
from .mechanisms import Mechanism
from .next_steps import NextStep, Reading, next_step
from .procedure_text import procedure_text
from .runs import Run, RunStopped, run
from .tables import StrokeTable
from .widening import Widener

__all__ = [
    "Answer",
    "Answered",
    "Books",
    "Check",
    "Contents",
    "Count",
    "Cure",
    "Cures",
    "Explanation",
    "Field",
    "FileError",
    "InputError",
    "Ledger",
    "Leftover",
    "Mechanism",
    "NextStep",
    "Outcome",
    "Overload",
    "Procedure",
    "Reading",
    "Rig",
    "Run",
    "RunStopped",
    "Status",
    "Step",
    "StrokeTable",
    "Verdict",
    "Widener",
    "__version__",
    "cures",
    "explain",
    "job_sheet",
    "laws",
    "load_procedure",
    "load_rig",
    "next_step",
    "parse_procedure",
    "parse_rig",
    "procedure_text",
    "run",
    "run_batch",
    "sampling",
    "strokes_to_parallel",
]

for _name in __all__:  # one public place: messages, help and pickles say evenstroke.Rig
    _thing = globals()[_name]
    if getattr(_thing, "__module__", "").startswith("evenstroke."):
        _thing.__module__ = "evenstroke"
del _name, _thing
