"""The job sheet: complete, in order, self-contained, and its numbers those of geometry and closed forms."""

import html
import math
import re
import xml.etree.ElementTree as ET

import pytest

import evenstroke as es
from conftest import RIGS, ROOT
from evenstroke import cautions, job_needs
from evenstroke.command import STORIES
from evenstroke.procedure_text import procedure_text
from evenstroke.schematic import WIDTH, schematic

G = 9.80665
PROCEDURES = sorted((ROOT / "examples" / "procedures").glob("*.toml"))
RIG_OF = {name: rig for rig, name, *_ in STORIES}   # which rig a procedure is written for; the hatch does for the others
HATCH = (RIGS / "roof_hatch.toml").read_text(encoding="utf-8")
KINDS = {
    "tee": "",
    "metering_pistons": "",
    "spool_divider": "rated_flow_l_per_min = 1.8",
    "divider_combiner": "rated_flow_l_per_min = 1.8",
    "rotary_divider": "section_cm3_per_rev = 0.2",
    "series_pair": "",
}
SVG = "{http://www.w3.org/2000/svg}"


def made(kind="metering_pistons", names=("left", "right"), block="", extra=""):
    """The hatch with another synchroniser and other, alike branches."""
    head = HATCH.split("[branch]")[0].replace('kind = "metering_pistons"', f'kind = "{kind}"\n{KINDS[kind]}\n{extra}')
    if len(names) == 1:
        head = head.replace("centre_of_mass = 0.55", "centre_of_mass = 0.5")
    shared = HATCH.split("[branch]")[1].split("[branch.left]")[0]
    tables = "".join(f"[branch.{name}]\n" for name in names)
    return es.parse_rig(f"{head}\n[valve_block]\n{block}\n[branch]{shared}\ncap_line_length_m = 1.5\n{tables}")


def many(n):
    return tuple(f"b{i}" for i in range(n))


ALL = [made(kind) for kind in KINDS] + [es.load_rig(f) for f in sorted(RIGS.glob("*.toml"))] + [made("rotary_divider", many(8))]
ALL.append(made(block='circuit = "closed"\ncheck_a_ratio = 4'))


def sheet(tmp_path, rig, procedure, **more):
    return es.job_sheet(rig, procedure, tmp_path / "sheet.html", **more).read_text(encoding="utf-8")


def sections(page):
    return re.findall(r'<section class="step" data-step="(\d+)">(.*?)</section>', page, re.DOTALL)


def plain(page):
    """The text of a page, single spaces."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def drawn(svg, kind):
    root = ET.fromstring(svg)
    return [g for g in root.iter(f"{SVG}g") if kind in (g.get("class") or "").split()]


@pytest.mark.parametrize("file", PROCEDURES, ids=lambda f: f.stem)
def test_every_step_stands_in_order_with_its_box_and_its_cautions_before_what_is_done(file, tmp_path):
    rig = es.load_rig(RIGS / f"{RIG_OF.get(file.stem, 'roof_hatch')}.toml")
    procedure = es.load_procedure(file, rig)
    page = sheet(tmp_path, rig, procedure)
    found = sections(page)
    assert [int(i) for i, _ in found] == list(range(1, len(procedure.steps) + 1))
    titles = {"flush": "Flush", "hand": "by hand", "stand": "stand", "refill": "Fill up", "compare": "Compare", "cycle": "Bleed"}
    for (i, text), step in zip(found, procedure.steps):
        head, _, after = text.partition("<ol>")
        assert head.startswith(f'<h3><span class="tick"></span>Step {i}: ') and titles[step.kind] in head
        asked = cautions.of_steps([step])
        assert asked and all(html.escape(c) in head for c in asked), "a caution comes before what is done"
        assert after.count('class="field"') >= 3
    again = ["again and again" in text.split("</h3>")[0] for _, text in found]
    assert again == [s.repeat for s in procedure.steps]
    for c in (cautions.LOCAL, cautions.LIMITS, *cautions.USUAL):
        assert html.escape(c) in page.split("4 Steps")[0]


@pytest.mark.parametrize("file", PROCEDURES, ids=lambda f: f.stem)
def test_a_sheet_loads_nothing_and_prints_on_a4(file, tmp_path):
    rig = es.load_rig(RIGS / f"{RIG_OF.get(file.stem, 'roof_hatch')}.toml")
    page = sheet(tmp_path, rig, es.load_procedure(file, rig))
    assert set(re.findall(r"https?://[^\"' ]+", page)) == {"http://www.w3.org/2000/svg"}
    assert not re.findall(r"<(script|link|img|iframe|object)|src=|href=|url\(|@import|//\w", page.replace("http://www", ""))
    assert "size: A4" in page
    colours = set(re.findall(r"#[0-9a-f]{3,6}\b", page))
    assert colours == {"#000", "#fff"}, "black on white"


def test_numbers_of_a_step_are_those_of_the_procedure(tmp_path, rig):
    text = """format_version = 1
max_strokes = 37
[[step]]
kind = "flush"
parted = ["left.cap_port", "valve_block.a"]
port = "container"
bursts = 7
motor_s = 11
dwell_s = 13
clear_ml = 170
repeat = false
[[step]]
kind = "stand"
stand_min = 19
temperature_deg_c = 41
repeat = false
[[step]]
kind = "cycle"
strokes = 5
travel = 0.6
press_s = 17
extend_v = 9
bleed = ["right.outlet"]
"""
    page = sheet(tmp_path, rig, es.parse_procedure(text))
    flush, stand, cycle = (plain(t) for _, t in sections(page))
    assert "Motor on for 11 s, off for 13 s, at most 7 bursts" in flush and "170 mL" in flush
    assert "J1 (cap port of the left cylinder) and J2 (port A of the valve block)" in flush
    assert sections(page)[0][1].count('class="tick"') == 1 + 7
    assert "Make J1" in stand and "19 min" in stand and "41 °C" in stand
    assert "5 strokes" in cycle and "60 %" in cycle and "17 s" in cycle and "9 V" in cycle
    assert "right outlet of the synchroniser" in cycle
    told = plain(page)
    assert "no more than 37 in all" in told and "Strokes done: 37," in told
    assert "2 × cap" in told and "2 × plug" in told


@pytest.mark.parametrize("rig", ALL, ids=lambda r: f"{r.name} {r.synchroniser} {len(r.branches)} {r.circuit}")
def test_balance_the_currents_obey_the_motors_voltage(rig):
    """U = k w + R I at each pressure; the shaft held: I = U/R; what the pump delivers at the stops goes over the relief valve."""
    d = job_needs.drive(rig)
    volts, k, ohm = (rig.get(f"pump.{key}") for key in ("supply_v", "motor_constant_v_s", "armature_ohm"))
    for amps, bar in ((d.idle_a, 0.0), (d.lifting_a, d.lifting_bar), (d.pressing_a, d.pressing_bar)):
        assert k * es.laws.pump_speed_rad_per_s(rig, bar * 1e5) + ohm * amps == pytest.approx(volts, rel=1e-9)
    assert d.stalled_a == pytest.approx(volts / ohm, rel=1e-12)
    assert d.idle_a < d.lifting_a < d.pressing_a < d.stalled_a
    over = 1e5 * d.pressing_bar - rig.get("valve_block.relief_pa_gauge")
    assert not d.dead_head
    relieved = rig.get("valve_block.relief_gain_m3_per_s_pa") * over
    assert es.laws.pump_flow(rig, d.pressing_bar * 1e5) == pytest.approx(relieved, rel=1e-9)


def test_a_relief_valve_that_the_pump_cannot_reach_is_told(rig, procedure, tmp_path):
    weak = rig.replace(**{"valve_block.relief_pa_gauge": 400e5, "pump.displacement_m3_per_rad": 8e-8})
    d = job_needs.drive(weak)
    assert d.dead_head and d.pressing_bar == pytest.approx(es.laws.pump_dead_head_pa_diff(weak) / 1e5)
    assert "the pump delivers nothing more" in plain(sheet(tmp_path, weak, procedure))


def test_the_sheet_prints_these_numbers(rig, procedure, tmp_path):
    d, page = job_needs.drive(rig), plain(sheet(tmp_path, rig, procedure))
    for name, amps in (("turning against nothing", d.idle_a), ("lifting the panel", d.lifting_a)):
        assert f"{name} {amps:.1f} A" in page
    assert "the moment it starts 100 A" in page   # 12 V over 0.12 ohm
    assert f"relief valve open {d.pressing_a:.1f} A {d.pressing_bar:.0f} bar" in page


def test_lifting_is_the_heaviest_rod_and_its_friction(rig):
    area = math.pi / 4 * 0.020**2
    rubs = rig.get("branch.left.breakaway_pa_diff") * rig.get("branch.left.running_share")
    assert job_needs.lifting_pa(rig) == pytest.approx(0.55 * 110 * G / area + rubs, rel=1e-9)


def test_in_series_the_first_carries_all_loads():
    """p_2 = W_2/A_2, p_1 = (W_1 + p_2 A_r1)/A_1, each with the friction of its piston."""
    rig = es.load_rig(RIGS / "side_shutter.toml")
    first, ring, second = (math.pi / 4 * a for a in (0.032**2, 0.032**2 - 0.016**2, 0.027713**2))
    rubs = rig.get("branch.left.breakaway_pa_diff") * rig.get("branch.left.running_share")
    load = 140 * G / 2
    p2 = load / second + rubs
    assert job_needs.lifting_pa(rig) == pytest.approx((load + p2 * ring) / first + rubs, rel=1e-9)


@pytest.mark.parametrize("kind, n", [("rotary_divider", 2), ("rotary_divider", 4), ("metering_pistons", 3)])
def test_limit_one_shut_outlet_takes_what_drives_all(kind, n):
    """Power in is power out: p_i A_i = p n A where the others yield; behind a shut rod side once more A_c/A_r."""
    rig = made(kind, many(n))
    (_, top, _), (_, one, _), (_, rod, _) = job_needs.pressures(rig)
    assert one == pytest.approx(n * top, rel=1e-9)
    assert rod == pytest.approx(one * 20**2 / (20**2 - 12**2), rel=1e-9)


def test_a_rating_below_a_computed_pressure_is_told(tmp_path, procedure, rig):
    weak = rig.replace(**{"valve_block.rating_pa_gauge": 90e5})
    assert "exceeded" in plain(sheet(tmp_path, weak, procedure))
    assert "exceeded" not in plain(sheet(tmp_path, rig, procedure))


@pytest.mark.parametrize("rig", ALL, ids=lambda r: f"{r.name} {r.synchroniser} {len(r.branches)} {r.circuit}")
def test_balance_volumes_are_the_oil_of_a_full_circuit(rig):
    """By geometry what the simulator fills in; from in to out the reservoir loses the rods' volume."""
    density = es.laws.oil_density(**{k: rig.get(f"oil.{k}") for k in ("density_15_kg_per_m3", "expansion_per_k", "temperature_k")})
    filled = sum(p["oil_kg"] for p in es.Contents.bled(rig).places.values()) / density
    n = job_needs.oil(rig, ())
    assert n.rods_in == pytest.approx(1e3 * filled, rel=1e-6)
    rods = sum(math.pi / 4 * rig.get(f"branch.{b}.rod_m") ** 2 * rig.get(f"branch.{b}.stroke_m") for b in rig.branches)
    assert n.rods_out - n.rods_in == pytest.approx(1e3 * rods, rel=1e-9)
    assert n.level_mm == pytest.approx(1e3 * rods / rig.get("reservoir.area_m2"), rel=1e-9)


def test_oil_that_is_missing_and_what_flushing_takes(rig):
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder", "left.cap_line"])
    dry = math.pi / 4 * (0.020**2 - 0.012**2) * 0.25 + 3e-6 + math.pi / 4 * 0.006**2 * 1.3   # its rod in: clearances of 1.5 mL each
    flush = es.Step(kind="flush", parted=["valve_block.a"], port="container", bursts=4, motor_s=9, repeat=False)
    shut = es.Step(kind="flush", parted=["left.cap_port", "left.rod_port"], line_end="joined", motor_s=9, repeat=False)
    n = job_needs.oil(rig, [flush, shut, es.Step()], contents)
    assert n.missing == pytest.approx(1e3 * dry, abs=2e-3)   # and the air of a joint
    assert n.flushed == pytest.approx(1e3 * es.laws.pump_flow(rig, 0.0) * 36, rel=1e-12)
    assert n.container == pytest.approx(1e3 * rig.get("reservoir.container_m3"))
    assert job_needs.oil(rig, [shut, es.Step()]).flushed == 0


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("n", [1, 2, 3, 4, 5, 8])
def test_the_schematic_has_a_cylinder_per_branch_and_the_symbol_of_the_kind(kind, n):
    try:
        rig = made(kind, many(n))
    except es.InputError:
        assert kind in ("spool_divider", "divider_combiner", "series_pair"), "these need two branches or more"
        return
    svg = schematic(rig)
    shown = n if n <= 4 else 2
    assert len(drawn(svg, "cylinder")) == shown
    assert [len(drawn(svg, k)) for k in KINDS] == [int(k == kind) for k in KINDS]
    assert len(drawn(svg, "bypass")) == (shown if rig.has_bypass else 0)
    assert (f"and {n - shown} more" in svg) == (n > 4)
    assert all(name in svg for name in rig.branches)
    for symbol in ("pump", "motor", "relief", "directional"):
        assert len(drawn(svg, symbol)) == 1
    assert len(drawn(svg, "reservoir")) >= 3
    if kind == "rotary_divider":
        assert len(drawn(svg, "section")) == shown


@pytest.mark.parametrize("rig", ALL, ids=lambda r: f"{r.name} {r.synchroniser} {len(r.branches)} {r.circuit}")
def test_nothing_is_drawn_beyond_the_picture(rig):
    root = ET.fromstring(schematic(rig, {f"{rig.branches[0]}.cap_port": "J1"}, [rig.bleed_points[0]]))
    width, height = (float(x) for x in root.get("viewBox").split()[2:])
    assert width == WIDTH
    for line in (*root.iter(f"{SVG}polyline"), *root.iter(f"{SVG}polygon")):
        points = [tuple(map(float, p.split(","))) for p in line.get("points").split()]
        assert all(0 < x < width and -30 < y < height for x, y in points)
    for text in root.iter(f"{SVG}text"):   # 18 units high, about half as wide a letter
        wide = 8.6 * len(text.text)
        left = float(text.get("x")) - {"start": 0, "middle": 0.5, "end": 1}[text.get("text-anchor")] * wide
        assert left > 0 and left + wide < width, text.text


def test_what_the_rig_has_is_drawn():
    plain_one, table = made(), es.load_rig(RIGS / "lift_table.toml")
    assert not drawn(schematic(plain_one), "counterbalance") and not drawn(schematic(plain_one), "throttle")
    assert len(drawn(schematic(table), "counterbalance")) == 1 and len(drawn(schematic(table), "throttle")) == 1
    closed = schematic(made(block='circuit = "closed"\ncheck_a_ratio = 4\ncheck_b_ratio = 4'))
    assert not drawn(closed, "directional") and len(drawn(closed, "relief")) == len(drawn(closed, "shuttle")) == 2
    assert closed.count("pilot-operated check valve") == 2
    outlets = schematic(made("rotary_divider", extra="outlet_relief_bar_gauge = 110\nmakeup_m3_per_s_pa = 1e-9"))
    assert len(drawn(outlets, "outlet_relief")) == 2 and outlets.count("make-up check") == 2
    shutter = es.load_rig(RIGS / "side_shutter.toml")
    assert schematic(shutter).count("re-phasing") == 2 and schematic(shutter, bleed=["left.link"]).count("bleed used") == 1
    marked = schematic(plain_one, {"left.cap_port": "J1", "right.rod_port": "J2", "valve_block.b": "J3"})
    assert len(drawn(marked, "joint")) == 3
    assert schematic(plain_one).count("bleed point: ") == len(plain_one.bleed_points)


def test_a_closed_circuit_has_no_directional_valve_to_set(tmp_path):
    rig = made(block='circuit = "closed"')
    steps = [es.Step(kind="flush", parted=["valve_block.a"], port="container", repeat=False), es.Step()]
    said = plain("".join(text for _, text in sections(sheet(tmp_path, rig, es.Procedure(steps=steps)))))
    assert "Pump turning for rods out" in said and "irectional valve" not in said


def test_text_is_escaped(tmp_path, rig, procedure):
    odd = es.parse_rig(HATCH.replace("observatory roof hatch", "<b>hatch</b> & 'co'"))
    again = es.Procedure(steps=procedure.steps, name="<script>x</script>")
    page = sheet(tmp_path, odd, again)
    assert "<b>hatch" not in page and "<script" not in page
    assert "&lt;b&gt;hatch&lt;/b&gt; &amp; " in page and "&lt;script&gt;" in page


def test_an_answers_counts_are_printed_and_none_is_made_up(tmp_path, rig, procedure, contents, answer):
    page = plain(sheet(tmp_path, rig, procedure, answer=answer))
    assert f"difference of the rods within {answer.tolerance_mm:g} mm: {answer.parallel.text}" in page
    assert f"{answer.bled.text} bleed strokes" in page and "95 % of 8 variants" in page
    assert f"within {answer.tolerance_mm:g} mm at all three" in page
    if math.isfinite(answer.parallel.high):
        assert f"More than {answer.parallel.high:.0f} stroke" in page
    without = plain(sheet(tmp_path, rig, procedure, contents=contents))
    assert "Forecast" not in without and "No number of strokes was forecast" in without and "variants of" not in without
    assert "mL in the rod side of the left cylinder" in without
    assert "Air at the start" not in plain(sheet(tmp_path, rig, procedure))


def test_a_procedure_that_never_gets_there_is_told(tmp_path, low_rig, procedure):
    dry = es.Contents.after_exchange(low_rig, dry=["left.cylinder"], opened=["left.cap_line"])
    answer = es.strokes_to_parallel(low_rig, dry, procedure, members=2, max_strokes=6)
    page = plain(sheet(tmp_path, low_rig, procedure, answer=answer))
    for reason in answer.nominal.mechanisms():
        assert reason.text in page
    assert not answer.reason or answer.reason in page


def test_bad_arguments_are_refused(tmp_path, rig, low_rig, procedure, contents, answer):
    path = tmp_path / "sheet.html"
    three = made("tee", many(3))
    cases = [
        ("rig", ("hatch", procedure, path), {}),
        ("procedure", (rig, "shop", path), {}),
        ("procedure", (made("tee"), procedure, path), {}),   # asks for bypass valves
        ("path", (rig, procedure, 3), {}),
        ("path", (rig, procedure, ""), {}),
        ("contents", (rig, procedure, path), dict(contents="dry")),
        ("contents", (rig, procedure, path), dict(contents=es.Contents.bled(three))),
        ("contents", (rig, procedure, path), dict(contents=es.Contents.bled(rig), answer=answer)),
        ("answer", (rig, procedure, path), dict(answer=3)),
        ("answer", (low_rig, procedure, path), dict(answer=answer)),
    ]
    for field, given, more in cases:
        with pytest.raises(es.InputError) as error:
            es.job_sheet(*given, **more)
        assert error.value.field == field
    assert not path.exists()
    with pytest.raises(OSError):
        es.job_sheet(rig, procedure, tmp_path / "no" / "sheet.html")


def test_a_procedure_in_a_string_is_held_against_a_rig_as_a_file_is():
    """Both name the line; without a rig neither asks."""
    text = procedure_text(es.Procedure(name="opens what is not there", steps=[es.Step(bypass="open")]))
    assert es.parse_procedure(text).steps[0].bypass == "open"
    with pytest.raises(es.FileError, match="no bypass valves") as refused:
        es.parse_procedure(text, es.load_rig(RIGS / "riser_platform.toml"))
    assert refused.value.line > 0
