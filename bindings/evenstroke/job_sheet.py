"""A job on one sheet of paper: one HTML file that needs nothing else and prints on A4, black on white."""

import os
from html import escape
from pathlib import Path

import numpy as np

from . import _core, cautions, job_front, job_needs
from .answers import Answer
from .errors import InputError, one_of, refuse
from .job_front import TICK, WRITE, listed, rows_of, ticked
from .job_steps import tell
from .procedure_text import procedure_text
from .stories import joints_of, reasons, step_told

MOST_TICKS, MOST_ROWS = 24, 12   # boxes ticked one by one; lines of the table of readings
THEN = (
    "Then: motor off, what the rods carry propped, pressure let out. Read once more; then look at leaks, a soft hose, an unequal "
    "load, a joint that draws air, a worn seal, a bypass valve (where there is one) that does not shut."
)
LIMITS = (
    "Volumes, currents and pressures on this sheet follow from the sizes and nameplate values in the rig's file, not from this "
    "machine.",
    "Friction, leaks, bubble sizes, the air that a joint takes in and what the oil holds dissolved are uncertain; nobody has "
    "measured them here.",
    "At the stops nothing can be seen of air: rods that arrive together may still be apart on the way.",
    "Worn seals, dirt, other oil, a bent rod or a panel that jams are not in the model.",
    "No standard is known that says how parallel is parallel: the tolerance is the machine's maker's, or else an assumption.",
)
END = (
    "all joints made, looked at under pressure, dry",
    "bleed screws shut, and bypass valves where there are some",
    "level at the mark, rods in",
    "props away, the panel moved once through its travel",
)


def _step(i, step, told, computed):
    ticks = ""
    if told.many > 1:
        more = f" ... up to {told.many}" if told.many > MOST_TICKS else ""
        ticks = f"<p>{told.counted}: {TICK * min(told.many, MOST_TICKS)}{more}</p>"
    fields = "".join(f'<div class="field"><span>{escape(name)}</span><b>{unit}</b></div>' for name, unit in told.fields)
    again = ", again and again" if step.repeat else ""
    ran = f'<p class="told">Computed, with the values as given: {escape(computed)}</p>' if computed else ""
    return (
        f'<section class="step" data-step="{i}"><h3>{TICK}Step {i}: {told.title}{again}</h3>'
        f"{job_front.cautions_of(told.cautions)}{listed(map(escape, told.do), 'ol')}"
        f'<p><b>Seen:</b> {escape(told.seen)}</p>{ran}{ticks}<div class="fields">{fields}</div></section>'
    )


def _computed(answer, steps):
    """What is told of each step between strokes in the run with the values as given, the first time it is done."""
    told = {}
    for row in answer.nominal.steps if answer is not None else ():
        at = row["step"] - 1
        told.setdefault(at, step_told(row, steps[at], joints_of(steps, at - 1)).split(": ", 1)[1])
    return told


def _passes(steps, limit, tolerance, rig, tags):
    """The table for the repeated steps."""
    each = sum(s.strokes for s in steps if s.kind == "cycle" and s.repeat)
    passes, n, unit = -(-limit // each), len(rig.branches), "mm"
    apart = "how far the first and the last rod are apart"
    if n == 2:
        apart = f"how far the rod {escape(rig.branches[0])} is ahead (+) or behind (−)"
    read = (
        f"{apart} as the rods' mean passes 25, 50 and 75 % of the travel. In step: within {tolerance:g} mm at all three, for this "
        "stroke and the next three."
    )
    if n == 1:
        unit, read = "s", "when the rod passes 25, 50 and 75 % of its travel. It has no other to keep step with."
    shut = "bypass valves shut, " if rig.has_bypass else ""
    made = ", ".join(tags[j] for j in steps[-1].parted)
    told = [
        f"A pass has {each} bleed stroke{'s' if each > 1 else ''}; no more than {limit} in all.",
        f"To read: {shut}rods in to their lower stops, then slowly out; {read}",
        f"Joints that the first step of a pass does not part are made before it: {made}." if made else "",
        "Go on on a second sheet." if passes > MOST_ROWS else "",
    ]
    columns = ("", "strokes so far", *(f"{s} %: {unit}" for s in (25, 50, 75)), "level: mm", "bubbles", "min")
    table = rows_of([(TICK, *[""] * 7)] * min(passes, MOST_ROWS), columns, WRITE)
    return f"<h2>5 Readings, a line per pass of the repeated steps</h2><p>{' '.join(filter(None, told))}</p>{table}"


def _pressed(overloads):
    """Parts that one cause presses hard at one time, in one sentence."""
    for when, cause in dict.fromkeys((o.when, o.cause) for o in overloads):
        alike = [o for o in overloads if (o.when, o.cause) == (when, cause)]
        parts = ", ".join(dict.fromkeys(o.part.replace(".", " ").replace("_", " ") for o in alike))
        rated = [o.rating_bar_gauge for o in alike if o.rating_bar_gauge]
        limit = f", at a rating of {min(rated):.0f}" if rated else ""
        highest = max(o.highest_bar_gauge for o in alike)
        yield (
            f"Computed for {when}: {highest:.0f} bar gauge{limit} ({parts}): {cause}. Not before the machine's maker has said "
            "that it bears that."
        )


def _stops(rig, answer, tolerance, limit):
    mark, intake, duty = 1e3 * rig.get("observer.rod_mark_m"), 1e3 * rig.get("reservoir.intake_m"), rig.get("pump.duty_s")
    relieved = job_needs.pressing_pa(rig)[0] / 1e5
    on = f"{duty:g} s, as stated for the rig" if duty > 0 else "its maker states, ______ s"
    rules = [
        f"Over a whole pass of the repeated steps no reading changes by more than can be read ({mark:g} mm), and the rods are still "
        f"more than {tolerance:g} mm apart.",
        "Bubbles keep coming, pass after pass, no fewer: a joint or the pump's inlet draws air, or the reservoir's bubbles go round.",
        f"The level falls and no air comes out: oil is lost. At {intake:g} mm over the reservoir's floor the pump draws air: stop at "
        "once and fill up.",
        f"The motor is on without a rest for longer than {on}, smells or is hot, or draws its stall current.",
        f"A pressure above the rating of a part, or at the pump above {relieved:.0f} bar gauge: more than computed for the stops.",
        "The difference of the rods grows from pass to pass, a rod jumps, or one moves with the motor off.",
        f"Strokes done: {limit}, as many as the procedure allows.",
    ]
    if answer is not None:
        first = []
        if answer.reason:
            first.append(f"This procedure is not expected to get there, with the values as given: {answer.reason}.")
        if np.isfinite(answer.parallel.high):
            high = answer.parallel.high
            first.append(
                f"More than {high:.0f} stroke{'' if high == 1 else 's'}, the upper end of the band, and the rods are not in step."
            )
        rules = [*first, *rules, *reasons(answer.nominal), *_pressed(answer.nominal.overloads)]
    return f"<h2>6 Stop, and look for another cause, when</h2>{ticked(map(escape, rules))}<p>{THEN}</p>"


def _limits(answer):
    first = "No number of strokes was forecast for this sheet: go by the readings."
    if answer is not None:
        first = "The counts hold for the stated variants, not for the world; what was read goes before what was computed."
    return (
        f"<h2>7 Limits of what is computed</h2>{listed(map(escape, (first, *LIMITS)))}<p><b>{escape(cautions.LIMITS)}</b></p>"
        f"<h2>8 At the end</h2>{ticked(END)}"
    )


def _check_on(rig, procedure):
    """A text is what is held against a rig without a run."""
    try:
        _core.parse_procedure(procedure_text(procedure), rig)
    except InputError as error:
        refuse("procedure", procedure.name, f"does not go with this rig: {error.field}: {error.rule}")


def _checked(rig, procedure, contents, answer):
    """The contents to tell of, of the answer if none are given; InputError for what does not go together."""
    one_of("rig", rig, _core.Rig)
    _check_on(rig, one_of("procedure", procedure, _core.Procedure))
    if contents is not None:
        places = one_of("contents", contents, _core.Contents).places
        if set(places) != set(_core.Contents.bled(rig).places):
            refuse("contents", contents, "must be of this rig: its places are others")
    if answer is None:
        return contents
    made = one_of("answer", answer, Answer).inputs
    if made.rig != rig or made.procedure != procedure:
        refuse("answer", answer, "must be made from this rig and this procedure")
    if contents not in (None, made.contents):
        refuse("contents", contents, "must be those that the answer was made from")
    return made.contents


def job_sheet(rig, procedure, path, contents=None, answer=None):
    """Writes a job on A4 paper: circuit, what to have ready, steps to tick off with fields for readings, when to stop.

    One HTML file that loads nothing; a browser prints it. Nothing is run: volumes, currents and pressures are closed forms,
    counts are those of `answer`.

    Parameters
    ----------
    rig : Rig
    procedure : Procedure
    path : str or path
        Of the file to write; one that is there is replaced.
    contents : Contents, optional
        At the start; says where air stands and how much oil is missing. Left out: the answer's, if there is one.
    answer : Answer, optional
        Of `strokes_to_parallel` on this rig and procedure; its counts with their band, what its run tells of each step, and
        its reasons are printed, too.

    Returns
    -------
    pathlib.Path
        The file.

    Raises
    ------
    InputError
        An argument of another kind, a procedure that asks for what the rig has not, contents or an answer of another rig.
    OSError
        The file cannot be written.
    """
    contents = _checked(rig, procedure, contents, answer)
    if not isinstance(path, (str, os.PathLike)) or not os.fspath(path):
        refuse("path", path, "must name a file")
    Path(path).write_text(_page(rig, procedure, contents, answer), encoding="utf-8")
    return Path(path)


def _page(rig, procedure, contents, answer):
    steps, tags = list(procedure.steps), job_needs.joints(procedure.steps)
    told, computed = tell(steps, rig, tags), _computed(answer, steps)
    tolerance, limit = job_needs.tolerance_mm(rig, answer), procedure.max_strokes
    body = [
        job_front.head(rig, procedure),
        job_front.circuit(rig, tags, steps),
        "<h2>3 To have ready</h2>",
        job_front.start(contents) if contents is not None else "",
        job_front.forecast(answer) if answer is not None else "",
        job_front.oil(rig, steps, contents),
        job_front.pieces(steps, tags),
        job_front.drive(rig, answer),
        "<h2>4 Steps</h2>",
        *(_step(i + 1, s, t, computed.get(i)) for i, (s, t) in enumerate(zip(steps, told))),
        _passes(steps, limit, tolerance, rig, tags),
        _stops(rig, answer, tolerance, limit),
        _limits(answer),
    ]
    title = escape(f"Job sheet: {rig.name}")
    head = f'<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{title}</title>'
    style = f"<style>{job_front.STYLE}</style>"
    return f'<!DOCTYPE html>\n<html lang="en"><head>{head}{style}</head>\n<body>\n{chr(10).join(body)}\n</body></html>\n'
