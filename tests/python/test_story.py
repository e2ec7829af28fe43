"""The story: every number in it is the table's, every sentence has a known form."""

import re
from types import SimpleNamespace

import numpy as np
import pytest

import evenstroke as es
from evenstroke.stories import place_text, story

NUMBER = r"(\d+\.\d\d)"
MORE = rf", {NUMBER} mm (more|less) than before"
INSIDE = (
    rf"(?:no free air is left inside|{NUMBER} mL of free air (?:is|is left) inside, "
    rf"most of it \({NUMBER} mL\) in the ([^;(]+?))"
)
RODS = (
    rf"(?:the rods (?:would|then) differ by up to {NUMBER} mm(?: \((\w+) lags\))?(?:, as before|{MORE})?"
    rf"|the rods cannot be compared, because the carriage of the synchroniser stands {NUMBER} mm off its stop"
    r"|the rods were not compared"
    r"|the rods cannot be compared, because they do not get through three quarters of their travel)"
)
OUT = (
    rf"(?:no air came out|{NUMBER} mL of air came out"
    rf"(?:, as much as the stroke before|, {NUMBER} mL (more|less) than the stroke before)?)"
)
ROUND = rf"(?:; {NUMBER} mL (?:stayed in the reservoir|came in with the reservoir's oil, as bubbles or dissolved))?"
MOVED = rf"(?: \({NUMBER} mL moved into the ([^)]+)\))?"
RAN_OUT = rf"; the air of the ([^;(]+?) ran out \({NUMBER} mL before, {NUMBER} mL now\)"
RAN = r"((?:; the air of the [^;(]+ ran out \(\d+\.\d\d mL before, \d+\.\d\d mL now\))*)"
EXCHANGED = rf"(?:; {NUMBER} mL (more|less) are fine bubbles and {NUMBER} mL (more|less) is dissolved)?"
FIRST = re.compile(rf"Before the first stroke {INSIDE}; {RODS}\.")
STROKE = re.compile(rf"Stroke (\d+) \(bypass (open|closed)\): {OUT}{ROUND}; {INSIDE}{MOVED}{RAN}{EXCHANGED}; {RODS}\.")


def near(text, number, least=0.005):
    """The text is the number rounded to two places; None stands for less than prints."""
    return abs(number) < least + 1e-9 if text is None else abs(float(text) - abs(number)) <= least + 1e-9


def check_inside(table, places, i, total, most, where):
    air = {p: table[f"free_air_{p}_ml"][i] for p in places}
    assert near(total, sum(air.values()))
    if total is not None:
        top = max(air, key=air.get)
        assert near(most, air[top]) and place_text(top) == where


def check_rods(run, i, apart, behind, change, direction, carriage):
    table, worst = run.strokes, run.strokes.worst_mm()
    row = table[i]
    if row["check"] != "ok":
        assert apart is None
        assert (carriage is not None) == (row["check"] == "not re-phased")
        assert carriage is None or near(carriage, row["carriage_mm"])
        return
    assert near(apart, worst[i])
    if behind is not None:
        assert behind == ("right" if worst[i] > 0 else "left")
    if change is not None:
        step = abs(worst[i]) - abs(worst[i - 1])
        assert near(change, step) and (direction == "more") == (step > 0)


def check_round(run, i, told):
    """Air that the circuit lost or gained, and that was not vented, is the reservoir's; unless some was taken in."""
    all_air = sum(run.strokes[f"{form}_ml"] for form in ("pocket", "coarse", "fine", "dissolved", "vented"))
    change = all_air[i] - all_air[i - 1]
    closed = run.books.ledger.air_ingested_kg == run.inputs.contents.ledger.air_ingested_kg
    assert (told is not None) == (closed and abs(change) >= 0.05)
    assert told is None or near(told, change)


def check_ran_out(table, places, i, told):
    """All lines that lost nine tenths of at least 0.1 mL are named, and no other."""
    named = {line: numbers for line, *numbers in re.findall(RAN_OUT, told)}
    for place in places:
        before, now = table[f"free_air_{place}_ml"][i - 1 : i + 1]
        empty = place.endswith("_line") and before >= 0.1 and now <= 0.1 * before
        numbers = named.pop(place_text(place), None) if place.endswith("_line") else None
        assert (numbers is not None) == empty
        assert numbers is None or (near(numbers[0], before) and near(numbers[1], now))
    assert not named


def check_exchanged(table, i, fine, fine_way, dissolved, dissolved_way):
    changes = [table[f"{form}_ml"][i] - table[f"{form}_ml"][i - 1] for form in ("fine", "dissolved")]
    seen = min(map(abs, changes)) >= 0.05 and changes[0] * changes[1] < 0
    assert (fine is not None) == seen
    if seen:
        assert near(fine, changes[0]) and near(dissolved, changes[1])
        assert (fine_way == "more") == (changes[0] > 0) and (dissolved_way == "more") == (changes[1] > 0)


def ml(mass_kg):
    return es.laws.free_air_m3(mass_kg) * 1e6


def check_remains(run, lines):
    """Sentences about the contents at the end: slugs, dissolved air, the reservoir's bubbles and foam."""
    contents, text = run.contents, "\n".join(lines)
    slugs = dict.fromkeys(p for p in contents.places if p.endswith("_line"))
    for line in slugs:
        held = ml(sum(x["gas_kg"] for x in contents.parcels(line) if x["slug"]))
        told = re.search(rf"{NUMBER} mL in the {place_text(line)}", "".join(x for x in lines if x.startswith("Slugs ")))
        assert near(told.group(1) if told else None, held)
    places = contents.places.values()
    told = re.search(rf"^{NUMBER} mL of air is dissolved in the circuit's oil(?:, {NUMBER} mL of it from)?", text, re.M)
    assert near(told.group(1), ml(sum(p["dissolved_kg"] for p in places)))
    rig = run.inputs.rig
    density = es.laws.oil_density(**{k: rig.get(f"oil.{k}") for k in
                                     ("density_15_kg_per_m3", "expansion_per_k", "temperature_k")})
    henry = rig.get("air.bunsen") * 1.2929 / density   # dry air at 0 deg C and 1 atm: 1.2929 kg/m3
    above = ml(sum(max(0, p["dissolved_kg"] - henry * p["oil_kg"]) for p in places))
    assert near(told.group(2), above, least=0.005 + 1e-3 * ml(sum(p["dissolved_kg"] for p in places)))
    tank = contents.reservoir
    told = re.search(rf"^{NUMBER} mL of bubbles \({NUMBER} mL coarse, {NUMBER} mL fine\) are in the reservoir's oil, "
                     rf"{NUMBER} mL to the litre", text, re.M)
    both = ml(tank["coarse_kg"] + tank["fine_kg"])
    if told is None:
        assert both < 0.005
    else:
        assert near(told[1], both) and near(told[2], ml(tank["coarse_kg"])) and near(told[3], ml(tank["fine_kg"]))
        assert near(told[4], both / (tank["oil_kg"] / density * 1e3))
    told = re.search(rf"^{NUMBER} mL of air stands on the reservoir's oil as foam", text, re.M)
    assert near(told and told[1], ml(tank["foam_kg"]))


def check_story(run):
    table = run.strokes
    lines = run.story().split("\n")
    places = list(run.contents.places)
    match = FIRST.fullmatch(lines[0])
    assert match, lines[0]
    check_inside(table, places, 0, *match.groups()[:3])
    check_rods(run, 0, *match.groups()[3:])
    vented = np.diff(table["vented_ml"], prepend=0)
    for i in range(1, len(table)):
        match = STROKE.fullmatch(lines[i])
        assert match, lines[i]
        stroke, kind, out, change, direction, kept, total, most, where, gain, to, ran, *rest = match.groups()
        check_round(run, i, kept)
        check_ran_out(table, places, i, ran)
        check_exchanged(table, i, *rest[:4])
        rods = rest[4:]
        assert int(stroke) == table["stroke"][i] and kind == table["kind"][i]
        assert near(out, vented[i])
        if change is not None:
            assert near(change, vented[i] - vented[i - 1]) and (direction == "more") == (vented[i] > vented[i - 1])
        check_inside(table, places, i, total, most, where)
        if gain is not None:
            gains = {place_text(p): np.diff(table[f"free_air_{p}_ml"])[i - 1] for p in places}
            assert near(gain, gains[to]) and gains[to] == max(gains.values())
        check_rods(run, i, *rods)
    check_remains(run, lines[len(table) :])
    return lines[len(table) :]


def test_every_number_of_a_story_is_the_tables(run):
    end = check_story(run)
    assert run.bled.answered is es.Answered.reached and f"From stroke {run.bled.stroke} on the air's part" in end[0]
    assert ": no further air found at this resolution" in end[0]
    hidden = sum(run.strokes[f"free_air_{p}_ml"][-1] for p in run.contents.places)
    told = re.search(rf"\({NUMBER} mL is still inside", end[0])
    assert near(told.group(1) if told else None, hidden)


def test_a_story_that_ends_with_never_says_why(low_run):
    end = check_story(low_run)
    for verdict in (low_run.bled, low_run.parallel):
        assert verdict.answered is not es.Answered.reached
        assert any(verdict.reason in line for line in end)


@pytest.mark.parametrize("bypass", ["open", "closed"])
@pytest.mark.parametrize("dry", ["left.cylinder", "right.rod_line", "valve_block"])
def test_stories_of_other_exchanges(rig, dry, bypass):
    steps = [es.Step(bypass=bypass, strokes=2, dwell_s=5), es.Step(bypass="closed", dwell_s=5)]
    start = es.Contents.after_exchange(rig, dry=[dry], opened=["right.cap_line"])
    check_story(es.run(rig, start, es.Procedure(steps=steps), max_strokes=5, stop_at_verdict=False))


def test_without_checks_the_rods_are_not_compared(rig, contents, procedure):
    run = es.run(rig, contents, procedure, checks=False, max_strokes=2)
    check_story(run)
    assert run.story().count("the rods were not compared") == 3


def test_a_rig_without_air_says_so(rig, procedure):
    run = es.run(rig, es.Contents.bled(rig), procedure, max_strokes=2)
    check_story(run)
    assert "no free air is left inside" in run.story()


class HandMade:
    """A table with just what the story reads."""

    def __init__(self, **column):
        self._column = {name: np.array(values) for name, values in column.items()}
        self.columns = tuple(self._column)

    def __len__(self):
        return len(self._column["stroke"])

    def __getitem__(self, key):
        if isinstance(key, str):
            return self._column[key]
        return {name: values[key].item() for name, values in self._column.items()}

    def worst_mm(self):
        return np.where(self["check"] == "ok", -4.0, np.nan)


def hand_made(rig, places=None, tank=None, taken_in_kg=0.0, **column):
    """A run of which only the table, and what is left in places and reservoir, are known."""
    verdict = SimpleNamespace(answered=es.Answered.undecided)
    contents = SimpleNamespace(
        places=places or {}, warmed_k=0.0,
        ledger=SimpleNamespace(air_ingested_kg=0.0),
        parcels=lambda place: [dict(gas_kg=es.laws.free_air_kg(0.5e-6), slug=True), dict(gas_kg=0.0, slug=False)],
        reservoir=dict.fromkeys(("oil_kg", "coarse_kg", "fine_kg", "foam_kg"), 0.0) | (tank or {}),
    )
    return SimpleNamespace(
        notes=[], steps=[],
        mechanisms=list,
        books=SimpleNamespace(ledger=SimpleNamespace(air_ingested_kg=taken_in_kg)),
        strokes=HandMade(**column), inputs=SimpleNamespace(rig=rig, contents=contents, procedure=SimpleNamespace(steps=())), contents=contents,
        status=SimpleNamespace(ok=True), tolerance_mm=1.0, bled=verdict, parallel=verdict
    )


def left_line(air, **column):
    """All the air there is stands in one line."""
    n = len(air)
    none = dict.fromkeys(("fine_ml", "coarse_ml", "dissolved_ml", "carriage_mm"), [0.0] * n)
    column = none | dict(check=["ok"] * n, behind=["left"] * n) | column
    column["pocket_ml"] = [x - fine for x, fine in zip(air, column["fine_ml"])]
    column.setdefault("vented_ml", [air[0] - x for x in air])
    return dict(
        stroke=list(range(n)), kind=["start", "closed", "open"][:n], free_air_left_ml=air,
        **{"free_air_left.cap_line_ml": air}, **column
    )


def test_a_check_without_a_reading_says_why(rig):
    """No demo rig gets there; the sentences are checked on a table made by hand."""
    column = left_line([3.0, 1.5, 1.5], check=["ok", "not re-phased", "not reached"], carriage_mm=[0.0, 12.25, 0.0])
    first, second, third = story(hand_made(rig, **column)).split("\n")
    assert FIRST.fullmatch(first) and first.endswith("the rods would differ by up to 4.00 mm (left lags).")
    assert STROKE.fullmatch(second) and "stands 12.25 mm off its stop" in second
    assert STROKE.fullmatch(third) and "do not get through" in third


def test_a_slug_that_runs_out_and_bubbles_that_dissolve_and_come_back(rig):
    column = left_line([3.0, 0.02, 0.02], fine_ml=[0.6, 0.2, 0.5], dissolved_ml=[20.0, 20.3, 20.05])
    _, second, third = story(hand_made(rig, **column)).split("\n")
    assert STROKE.fullmatch(second) and STROKE.fullmatch(third)
    assert "; the air of the left cap line ran out (3.00 mL before, 0.02 mL now)" in second and "ran out" not in third
    assert "; 0.40 mL less are fine bubbles and 0.30 mL more is dissolved" in second
    assert "; 0.30 mL more are fine bubbles and 0.25 mL less is dissolved" in third


def test_air_that_goes_round_through_the_reservoir(rig):
    """3 mL leave, 1 mL is vented: 2 mL stay; then 0.5 mL is vented while the circuit gains 0.2 mL."""
    column = left_line([4.0, 1.0, 1.2], vented_ml=[0.0, 1.0, 1.5])
    _, second, third = story(hand_made(rig, **column)).split("\n")
    assert "1.00 mL of air came out; 2.00 mL stayed in the reservoir; " in second and STROKE.fullmatch(second)
    assert "less than the stroke before; 0.70 mL came in with the reservoir's oil, as bubbles or dissolved; " in third
    assert STROKE.fullmatch(third)
    silent = story(hand_made(rig, taken_in_kg=1e-6, **column))
    assert "stayed" not in silent and "came in" not in silent


def test_nothing_is_said_of_changes_that_go_the_same_way_or_are_small(rig):
    column = left_line([3.0, 1.0, 0.4], fine_ml=[0.6, 0.7, 0.66], dissolved_ml=[20.0, 20.3, 20.5])
    text = story(hand_made(rig, **column))
    assert "fine bubbles" not in text and "ran out" not in text


def test_what_is_left_at_the_end_is_said_with_its_numbers(rig):
    density = es.laws.oil_density(**{k: rig.get(f"oil.{k}") for k in
                                     ("density_15_kg_per_m3", "expansion_per_k", "temperature_k")})
    limit = es.laws.dissolved_at_kg_per_m3(bunsen=rig.get("air.bunsen"), p_pa_abs=101325.0) / density
    spare = es.laws.free_air_kg(0.2e-6)
    places = {
        "left.cap_line": dict(oil_kg=0.05, dissolved_kg=0.05 * limit + spare),
        "valve_block.p": dict(oil_kg=0.05, dissolved_kg=0.05 * limit - 3 * spare),   # takes nothing of it away
    }
    tank = dict(oil_kg=0.5 * density * 1e-3, coarse_kg=0.1 * spare, fine_kg=0.9 * spare, foam_kg=2 * spare)
    lines = story(hand_made(rig, places, tank, **left_line([0.0, 0.0]))).split("\n")[2:]
    total = ml(0.1 * limit - 2 * spare)
    assert lines[0] == "Slugs still stand in lines: 0.50 mL in the left cap line."
    assert lines[1].startswith(f"{total:.2f} mL of air is dissolved in the circuit's oil, 0.20 mL of it from bubbles")
    assert lines[2].startswith("0.20 mL of bubbles (0.02 mL coarse, 0.18 mL fine) are in the reservoir's oil, 0.40 mL")
    assert lines[3] == "0.40 mL of air stands on the reservoir's oil as foam."


def test_no_certifying_words(run, low_run):
    for one in (run, low_run):
        for word in ("safe", "fit for", "certif", "approved", "guarantee"):
            assert word not in one.story().lower()


def test_contents_at_a_stroke_are_what_the_run_had_there(run, contents):
    assert run.contents_at(0) == contents
    last = len(run.strokes) - 1
    assert run.contents_at(last) == run.contents
    for n in (1, last - 1):
        there = run.contents_at(n)
        assert there.free_air_m3 * 1e6 == pytest.approx(sum(run.strokes[f"{form}_ml"][n] for form in ("pocket", "coarse", "fine")))
    for bad in (-1, last + 1, 1.5):
        with pytest.raises(es.InputError, match="stroke"):
            run.contents_at(bad)


def test_a_what_if_goes_on_from_a_stroke(run, rig):
    """The fork compares as its stroke did; its next stroke is the run's next but for how steps in time fall."""
    n = 2
    open_ones = es.Procedure(steps=[es.Step(bypass="open", strokes=2, dwell_s=20)])
    on = es.run(rig, run.contents_at(n), open_ones, max_strokes=1, record=False)
    assert on.strokes.worst_mm()[0] == pytest.approx(run.strokes.worst_mm()[n], abs=1e-6)
    assert on.strokes.worst_mm()[1] == pytest.approx(run.strokes.worst_mm()[n + 1], abs=0.05)


def test_why_not_fewer_tells_the_stroke_before(run, low_run):
    n, worst = run.parallel.stroke - 1, run.strokes.worst_mm()
    text = run.why_not_fewer()
    assert text.startswith(f"After {n} stroke") and f"{abs(worst[n]):.2f} mm" in text
    held = sum(run.strokes[f"free_air_left.{k}_ml"][n] for k in ("cap_chamber", "cap_line", "outlet", "metering_chamber"))
    assert f"left {held:.2f} mL" in text and f"After stroke {n + 1}: " in text
    last = len(low_run.strokes) - 1
    assert low_run.why_not_fewer().startswith(f"After {last} strokes the rods still differ")
    assert "in the cap side of the left cylinder" in low_run.why_not_fewer()
