"""The command line: ``python -m evenstroke answer ...`` and ``... demo``."""

import argparse
import os
import sys
from pathlib import Path

from . import __version__, answers
from ._core import Contents, Outcome, load_procedure, load_rig
from .errors import InputError

USAGE_ERROR, INTERRUPTED = 2, 130
CURE_MEMBERS = 32   # behind the band of a cure
DEMOS = (   # rig, procedure, what was exchanged and is dry, opened lines, how the rods stand
    ("roof_hatch", "shop_bleed", ["left.cylinder"], ["left.cap_line"], "out"),
    ("roof_hatch_ports_low", "shop_bleed", ["left.cylinder"], ["left.cap_line"], "in"),
)
STORIES = (   # from the dry part to the last comparison
    ("roof_hatch", "hatch_bench", ["valve_block", "left.cylinder"], ["left.cap_line", "left.rod_line"], "in"),
    ("riser_platform", "platform_bench", ["left.cylinder", "left.cap_line", "left.rod_line"], [], "in"),
    ("lift_table", "table_bench", ["right.cylinder", "right.cap_line", "right.rod_line"], [], "in"),
    ("choir_riser", "choir_bench", ["right.cylinder", "right.cap_line", "right.rod_line"], [], "in"),
    ("side_shutter", "shutter_bench", ["left.rod_line", "right.cap_line"], [], "in"),
)


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one line."""

    def error(self, message):
        self.exit(USAGE_ERROR, f"{self.prog}: {message} (see --help)\n")


def parser():
    top = Parser(prog="evenstroke", description="How many bleed strokes until the rods keep step?", allow_abbrev=False)
    top.add_argument("--version", action="version", version=__version__)
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")

    ask = commands.add_parser(
        "answer", help="answer for one rig, one procedure and what was exchanged", allow_abbrev=False
    )
    ask.add_argument("rig", metavar="RIG", help="rig file (TOML)")
    ask.add_argument("procedure", metavar="PROCEDURE", help="procedure file (TOML)")
    ask.add_argument(
        "--dry", nargs="+", default=[], action="extend", metavar="PART", help="parts full of air, as in left.cylinder"
    )
    ask.add_argument(
        "--opened",
        nargs="+",
        default=[],
        action="extend",
        metavar="LINE",
        help="lines that were opened, as in left.cap_line",
    )
    ask.add_argument("--rods", choices=("in", "out"), default="in", help="where the rods stand at the start")
    ask.add_argument(
        "--tolerance-mm",
        type=float,
        metavar="MM",
        help="of the mismatch; else the larger of 1 mm and 1 %% of the stroke",
    )
    _sampling(ask)
    ask.add_argument("--out", type=Path, metavar="DIR", help="also write text, table and pictures there")
    ask.set_defaults(do=_answer)

    demo = commands.add_parser("demo", help="the answer for the demo rigs", allow_abbrev=False)
    demo.add_argument(
        "--examples", type=Path, default=Path("examples"), metavar="DIR", help="folder that holds rigs and procedures"
    )
    demo.add_argument(
        "--all", action="store_true", help="also the five stories from a dry part to the last comparison"
    )
    demo.add_argument("--out", type=Path, required=True, metavar="DIR", help="where the pictures go")
    _sampling(demo, 64)
    demo.set_defaults(do=_demo)
    return top


def _sampling(command, members=None):
    command.add_argument(
        "--members",
        type=int,
        default=members,
        metavar="N",
        help=f"variants of the stated inputs, 2 to 65536 ({members or '64 to 256, until the band is known to half a stroke'})",
    )
    command.add_argument("--seed", type=int, default=1, metavar="S", help="of the variants (1)")
    command.add_argument("--threads", type=int, default=0, metavar="T", help="0 = one per processor (0)")
    command.add_argument(
        "--confidence", type=float, default=0.95, metavar="C", help="share of variants in the band (0.95)"
    )


def _contents(rig, dry, opened, rods):
    try:
        return Contents.after_exchange(rig, dry=dry, opened=opened, rods=rods)
    except InputError as error:
        if error.field not in ("dry", "opened"):
            raise
        lines = [p for p in rig.parts if p.endswith("_line")]
        raise InputError(f"--{error}: {', '.join(rig.parts if error.field == 'dry' else lines)}") from None


def _tell(answer, title, out, stem):
    """Prints an answer; with a folder also writes it. True unless it was interrupted."""
    run = answer.nominal
    text = answer.text()
    head, _, tail = text.partition("\n\n")
    print(f"{title}\n{'=' * len(title)}\n{head}\n")
    print(f"The run with the values as given:\n{run.strokes!r}\n")
    print(f"Free air by place, mL:\n{run.strokes.by_place()}\n")
    print(f"Air by form, mL:\n{run.strokes.by_form()}\n")
    print(run.story())
    print("\nLeft in the circuit at the end of that run:")
    print("\n".join(map(_leftover, answer.limiting)) or "  no free air")
    print(f"\n{tail}\n", flush=True)
    done = answer.complete and run.status.outcome is not Outcome.interrupted
    if out is not None and answer.complete:
        _write(answer, text, out, stem)
    if done and answer.parallel.defined and not answer.parallel.possible:
        _cure(answer, out, stem)
    return done


def _cure(answer, out, stem):
    """What brings the rods in step when the procedure does not."""
    found = answer.cures(members=min(answer.members, CURE_MEMBERS))
    print(f"{found.text()}\n", flush=True)
    if out is not None and found.best:
        (out / f"{stem}_cure.toml").write_text(found.best.text(), encoding="utf-8")
        print(f"Written: {out / stem}_cure.toml\n", flush=True)


def _leftover(left):
    side = "on the lifting side, sets the rods apart" if left.matters else "does not set the rods apart"
    return f"  {left.free_air_m3 * 1e6:8.3f} mL  {answers.place_text(left.place)} ({side})"


def _write(answer, text, out, stem):
    from . import pictures

    out.mkdir(parents=True, exist_ok=True)
    run = answer.nominal
    table = run.strokes
    (out / f"{stem}.txt").write_text(f"{text}\n\n{table!r}\n\n{run.story()}\n", encoding="utf-8")
    rows = [",".join(table.columns), *(",".join(map(str, row.values())) for row in table)]
    (out / f"{stem}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    pictures.save(run.plot(), out / f"{stem}_run.png")
    pictures.save(answer.plot(), out / f"{stem}_answer.png")
    print(f"Written: {out / stem}.txt, .csv, _run.png, _answer.png\n", flush=True)


def _ask(rig, procedure, contents, args, tolerance_mm=None):
    return answers.strokes_to_parallel(
        rig,
        contents,
        procedure,
        tolerance_mm=tolerance_mm,
        confidence=args.confidence,
        members=args.members,
        seed=args.seed,
        threads=args.threads,
        progress=sys.stderr.isatty(),
    )


def _answer(args):
    rig = load_rig(args.rig)
    procedure = load_procedure(args.procedure, rig)
    answer = _ask(rig, procedure, _contents(rig, args.dry, args.opened, args.rods), args, args.tolerance_mm)
    title = f"{rig.name or Path(args.rig).stem}, {procedure.name or Path(args.procedure).stem}"
    return 0 if _tell(answer, title, args.out, Path(args.rig).stem) else INTERRUPTED


def _demo(args):
    for rig_name, name, dry, opened, rods in DEMOS + (STORIES if args.all else ()):
        rig = load_rig(args.examples / "rigs" / f"{rig_name}.toml")
        procedure = load_procedure(args.examples / "procedures" / f"{name}.toml", rig)
        contents = _contents(rig, dry, opened, rods)
        stem = rig_name if (rig_name, name) in [d[:2] for d in DEMOS] else name
        also = f"; opened: {', '.join(opened)}" if opened else ""
        title = f"{rig.name}: dry: {', '.join(dry)}{also}; rods {rods}; {procedure.name}"
        if not _tell(_ask(rig, procedure, contents, args), title, args.out, stem):
            return INTERRUPTED
    return 0


def main(arguments=None):
    """Runs one command; returns 0, 2 for the caller's mistake (one line on stderr), 130 after Ctrl-C."""
    try:
        args = parser().parse_args(arguments)
        return args.do(args)
    except InputError as error:
        return _refuse(error)
    except OSError as error:
        if isinstance(error, BrokenPipeError):  # the reader of our output has gone
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return 1
        return _refuse(f"{error.filename}: {error.strerror}" if error.filename else error)
    except ImportError as error:
        if error.name != "matplotlib":
            raise
        return _refuse("pictures need matplotlib: pip install matplotlib, or leave --out away")
    except KeyboardInterrupt:
        print("interrupted", file=sys.stderr)
        return INTERRUPTED


def _refuse(message):
    print(message if getattr(message, "others", None) else " ".join(str(message).split("\n")), file=sys.stderr)
    return USAGE_ERROR
