"""What stands on a job sheet before its steps, and how it is dressed: pieces of HTML."""

from html import escape

import numpy as np

from . import cautions, job_needs
from .geometry import areas_m2, line_m3
from .job_steps import joint_text
from .schematic import KINDS, schematic
from .stories import LEAST_ML, air_ml, place_text

STYLE = """
@page { size: A4; margin: 14mm 14mm 16mm;
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 9pt sans-serif } }
* { box-sizing: border-box }
body { font: 11pt/1.35 "Liberation Sans", Arial, Helvetica, sans-serif; color: #000; background: #fff;
  margin: 0 auto; max-width: 182mm }
h1 { font-size: 19pt; margin: 0 0 1mm }
h2 { font-size: 14pt; margin: 7mm 0 2mm; border-bottom: 0.6mm solid #000; break-after: avoid }
h3 { font-size: 12pt; margin: 0 0 1.5mm; break-after: avoid }
p, ul, ol { margin: 1mm 0 2mm }
ul, ol { padding-left: 6mm }
li { margin: 0.6mm 0 }
ul.ticks { list-style: none; padding: 0 }
ul.ticks li { padding-left: 7.1mm; text-indent: -7.1mm; break-inside: avoid }
table { border-collapse: collapse; width: 100%; margin: 1mm 0 3mm }
td, th { border: 0.25mm solid #000; padding: 1mm 1.6mm; text-align: left; vertical-align: top }
tr { break-inside: avoid }
thead { display: table-header-group }
tr.write td { height: 10mm }
td.blank { width: 32% }
td.blank + td:last-child { width: 22mm }
.whole { break-inside: avoid }
.line { display: block; height: 7mm; border-bottom: 0.25mm solid #000 }
.tick { display: inline-block; width: 5.5mm; height: 5.5mm; border: 0.5mm solid #000; vertical-align: -1.2mm;
  margin: 0 1.6mm 0.6mm 0; text-indent: 0 }
.step { border: 0.5mm solid #000; padding: 2.5mm 3mm; margin: 0 0 4mm; break-inside: avoid }
.caution { border: 0.25mm solid #000; border-left: 2.5mm solid #000; padding: 1mm 2.5mm; margin: 1mm 0 2mm;
  font-size: 10.5pt; line-height: 1.25; break-inside: avoid }
.caution p { margin: 0 0 0.6mm }
.fields { display: flex; flex-wrap: wrap; gap: 2mm; margin-top: 2mm }
.field { border: 0.25mm solid #000; width: 33mm; height: 15mm; padding: 0.6mm 1mm; position: relative }
.field span { display: block; font-size: 9.5pt; line-height: 1.1 }
.field b { position: absolute; right: 1mm; bottom: 0.5mm; font-weight: normal }
.told { font-style: italic }
.small { font-size: 9.5pt }
figure { margin: 2mm 0; break-inside: avoid }
svg { display: block; width: 100%; max-height: 140mm }
svg * { fill: none; stroke: #000; stroke-width: 2 }
svg .full, svg .used { fill: #000 }
svg .white, svg .bleed { fill: #fff }
svg .bleed.used { fill: #000 }
svg .gap { fill: #fff; stroke: none }
svg .pilot { stroke-dasharray: 6 4; stroke-width: 1.5 }
svg text { fill: #000; stroke: none; font: 18px "Liberation Sans", Arial, Helvetica, sans-serif }
svg title { display: none }
"""
TICK = '<span class="tick"></span>'
LINE = '<span class="line"></span>'   # to write on
WRITE = ' class="write"'   # rows high enough for a hand
MAKER = (
    ("relief valve's setting", "bar"),
    ("oil: type and grade", ""),
    ("oil: how much, and where its level mark is", "L, mm"),
    ("torque of joints", "N·m"),
    ("torque of bleed screws and bypass valves", "N·m"),
    ("longest time of the motor, and rest after it", "s, min"),
    ("fuse and cable of the supply", "A, mm²"),
    ("mass of the panel, and how it is propped", "kg"),
    ("how far the rods may be apart", "mm"),
    ("bleeding as the machine's maker has it", ""),
)


def listed(items, tag="ul"):
    return f"<{tag}>{''.join(f'<li>{x}</li>' for x in items)}</{tag}>"


def ticked(items):
    return f'<ul class="ticks">{"".join(f"<li>{TICK}{x}</li>" for x in items)}</ul>'


def rows_of(rows, columns=(), kind=""):
    """A table; what is empty is to be written into."""
    top = f"<thead><tr>{''.join(f'<th>{h}</th>' for h in columns)}</tr></thead>" if columns else ""
    body = "".join(f"<tr{kind}>{''.join(f'<td>{c}</td>' for c in row)}</tr>" for row in rows)
    return f"<table>{top}<tbody>{body}</tbody></table>"


def blanks(rows):
    return rows_of(rows, kind=WRITE).replace("<td></td>", '<td class="blank"></td>')


def cautions_of(told):
    return f'<div class="caution">{"".join(f"<p>{escape(c)}</p>" for c in told)}</div>' if told else ""


def head(rig, procedure):
    who = ("date", "machine's maker", "machine's type", "serial number", "done by", "checked by")
    front = [escape(c) for c in cautions.USUAL if c != cautions.LOCAL]
    return (
        f"<h1>Job sheet: {escape(rig.name or 'rig without a name')}</h1>"
        f"<p>Bleeding and synchronising its cylinders: {escape(procedure.name or 'procedure without a name')}</p>"
        f"{blanks([(who[i], '', who[i + 1], '') for i in range(0, len(who), 2)])}"
        f'<div class="caution"><p><b>{escape(cautions.LOCAL)}</b></p><p>{escape(cautions.LIMITS)}</p></div>'
        f"<h2>Before anything else</h2>{listed(front)}"
        f"<h2>1 Values of the machine's maker, to fill in</h2>{blanks([(name, '', unit) for name, unit in MAKER])}"
    )


def _line(rig, branch, which):
    bore, length = (rig.get(f"branch.{branch}.{which}_{key}_m") for key in ("bore", "length"))
    return f"{1e3 * bore:g} mm × {length:g} m, {1e6 * line_m3(rig, branch, which):.0f} mL"


def circuit(rig, tags, steps):
    used = dict.fromkeys(place for s in steps for place in s.bleed)
    rows = []
    for b in rig.branches:
        mm = " / ".join(f"{1e3 * rig.get(f'branch.{b}.{key}_m'):g}" for key in ("bore", "rod", "stroke"))
        ml = 1e6 * areas_m2(rig, b)[0] * rig.get(f"branch.{b}.stroke_m")
        lines = [_line(rig, b, which) for which in ("cap_line", "rod_line")]
        rows.append((escape(b), f"{mm} mm", f"{ml:.0f} mL", *lines, rig.attitudes[b].replace("_", " ")))
    said = ["Cylinders are drawn rod up, however they stand. Small open circles: where a bleed screw may sit."]
    if used:
        said.append(f"Full circles: those that the steps open ({escape(', '.join(map(place_text, used)))}).")
    if tags:
        said.append("J1, J2, ...: joints that the steps part.")
    columns = ("branch", "bore / rod / stroke", "a stroke's cap side", "cap line", "rod line", "stands")
    return (
        f"<h2>2 Circuit: {KINDS[rig.synchroniser]}</h2><figure>{schematic(rig, tags, used)}</figure>"
        f'<p class="small">{" ".join(said)}</p><div class="small">{rows_of(rows, columns)}</div>'
    )


def oil(rig, steps, contents):
    n = job_needs.oil(rig, steps, contents)
    rows = [
        ("circuit, all rods out (all rods in)", f"{n.rods_out:.2f} L ({n.rods_in:.2f} L)"),
        ("reservoir at the start", f"{n.reservoir:.2f} L"),
    ]
    if n.container:
        rows.append(("container under open ends", f"{n.container:.2f} L"))
    if n.flushed:
        rows.append(("sent out through open ends while flushing, at most (free delivery, all bursts)", f"{n.flushed:.2f} L"))
    ready = n.rods_out + n.reservoir + n.container + n.flushed
    rows.append(("<b>to have ready, from the empty circuit</b>", f"<b>{ready:.2f} L</b>"))
    if n.missing is not None:
        rows.append(("of the circuit only what is empty at the start", f"{n.missing:.2f} L"))
    rows.append(("the level falls while the rods go out, by", f"{n.level_mm:.0f} mm"))
    grade = escape(rig.oil) if rig.oil else f"{1e6 * rig.get('oil.nu_40_m2_per_s'):.3g} mm²/s at 40 °C"
    return (
        f'<div class="whole"><h3>Oil (computed with {grade}; the grade that the machine\'s maker states goes before it)</h3>'
        f"{rows_of(rows)}"
        '<p class="small">What is spilled at joints comes on top. Oil that came out is not filled in again before its bubbles '
        "have risen, and only if it is clean.</p></div>"
    )


def pieces(steps, tags):
    apart, pairs = job_needs.pieces(steps)
    items = [
        "tray and cloths for spilled oil, gloves, goggles; props for what the rods carry",
        "rule or tape for the rods (mm), watch, clear hose",
    ]
    if any({"container", "air"} & {s.line_end, s.port} or s.bleed for s in steps):
        items.append("clean container for ends held under oil, clamps to hold them there; a second one for used oil")
    if apart:
        items.append(f"{apart} × cap for a line's end and {apart} × plug for a port: for every joint apart at one time")
    if pairs:
        items.append(f"{pairs} × joining piece, line's end to line's end, made for the relief valve's pressure")
    items.append(f"seals for every joint parted, consumables as the machine's maker states:{LINE}")
    items.append("electrical supply as the machine's maker states: ____ V, ____ A; cable ____ mm², fuse ____ A")
    rows = [(tag, escape(joint_text(name)), "", "", "") for name, tag in tags.items()]
    columns = ("joint", "where", "thread, size", "torque, N·m", "made, by whom")
    return ticked(items) + (f"<h3>Joints that are parted</h3>{rows_of(rows, columns, WRITE)}" if rows else "")


def drive(rig, answer):
    d = job_needs.drive(rig)
    stop = "the pump delivers nothing more" if d.dead_head else "relief valve open"
    currents = [
        ("turning against nothing", f"{d.idle_a:.1f} A", "0 bar"),
        ("running: lifting the panel", f"{d.lifting_a:.1f} A", f"{d.lifting_bar:.0f} bar"),
        (f"pressing at the stops, {stop}", f"{d.pressing_a:.1f} A", f"{d.pressing_bar:.0f} bar"),
        ("<b>stalled: shaft held, or the moment it starts</b>", f"<b>{d.stalled_a:.0f} A</b>", "none"),
    ]
    rows = []
    for name, bar, rated in job_needs.pressures(rig):
        limit = f"{min(rated):.0f} bar gauge{' <b>exceeded</b>' if bar > min(rated) else ''}" if rated else "not stated"
        rows.append((escape(name), f"{bar:.0f} bar gauge", limit))
    if answer is not None:
        told = [t["highest_bar_gauge"] for t in (answer.nominal.strokes, answer.nominal.steps) if len(t)]
        highest = max((float(np.nanmax(t)) for t in told if np.isfinite(t).any()), default=np.nan)
        rows.append(("anywhere in the run with the values as given", f"{highest:.0f} bar gauge", ""))
    motor = f"motor at {rig.get('pump.supply_v'):g} V"
    return (
        f'<div class="whole"><h3>Motor and pressures, computed</h3>'
        f"{rows_of(currents, (motor, 'current', 'pressure raised'))}"
        f"{rows_of(rows, ('highest pressure', 'computed', 'rating'))}"
        '<p class="small">Currents by the straight lines of motor and pump, in oil at the temperature of the rig; the panel on its '
        "heaviest loaded rod with the friction of its cylinder, without what lines and valves take. Pressures at rest, without "
        "load on the rods.</p></div>"
    )


def start(contents):
    """Where air stands before the first step."""
    held = {p: air_ml(x["pocket_kg"] + x["coarse_kg"] + x["fine_kg"]) for p, x in contents.places.items()}
    most = sorted((p for p in held if held[p] >= LEAST_ML), key=lambda p: -held[p])
    named = "; ".join(f"{held[p]:.1f} mL in the {place_text(p)}" for p in most[:6])
    more = f"; less in {len(most) - 6} more" if len(most) > 6 else ""
    return f"<p>Air at the start, as stated: {escape(named) or 'none'}{more}.</p>"


def forecast(answer):
    """The counts of an answer, with their band."""
    lines = []
    for count, what in ((answer.bled, "The air's part of the difference"), (answer.parallel, "The whole difference")):
        unit = " bleed strokes" if np.isfinite(count.low) and np.isfinite(count.member).any() else ""
        told = f"{what} of the rods within {answer.tolerance_mm:g} mm: {escape(count.text)}{unit}."
        lines.append(f"<b>{told}</b>{escape(answer._shares(count))}")
    lines.append(
        f"First the median, then the band of {100 * answer.confidence:g} % of {answer.done - answer.failed} variants of the "
        "stated inputs; how well these describe the machine is not part of it."
    )
    return f"<h3>Forecast</h3>{listed(lines)}"
