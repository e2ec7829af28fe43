"""What goes wrong in each kind of step: one job in which it happens, and the same job done so that it does not.

A job is a rig, its steps and a start; `seen` is what tells, and it is beyond `limit` where the failure happens. All of
these are common practice without a source; none of them is written into the model.
"""

from typing import NamedTuple

import numpy as np
import pytest

import evenstroke as es
from test_practice import ALL, LEFT, apart_mm, cycle, flush, free_ml, hand, held_ml, lift_table, run, stand

TABLE, PORTS_LOW, LONG_LINE = lift_table(), lift_table(attitude="rod_up"), lift_table(8, 3)
LEAKS = lift_table(**{"branch.right.leak_m3_per_s_pa": 2e-13})
DUTY = lift_table(**{"pump.duty_s": 30.0})
HANGING = lift_table(6, 1.5, height_m=-1)
CONTAINER = dict(parted=LEFT[:1], line_end="container", valve="extend")


class Job(NamedTuple):
    rig: es.Rig
    steps: list
    strokes: int = 1
    dry: tuple = ()

    def done(self):
        return run(self.rig, self.steps, self.strokes, dry=self.dry, checks=True)


def step(column, row=0):
    return lambda done: float(done.steps[column][row])


def stroke(column):
    return lambda done: float(np.nanmax(done.strokes[column]))


def apart(done):
    return abs(done.steps["apart_50_mm"][-1])


def told(words):
    return lambda done: sum(words in note for note in done.notes)


COMPARE = dict(kind="compare", repeat=False)
FAILURES = {   # what is seen, beyond which limit; the job in which it happens, the one in which it does not
    "flush: not filled up, the level falls below the intake": (step("drawn_in_ml"), 50,
        Job(TABLE, [flush(4, **CONTAINER, refill=False), cycle()], dry=("left.cap_line",)),
        Job(TABLE, [flush(4, **CONTAINER), cycle()], dry=("left.cap_line",))),
    "flush: ended before the stream was clear": (told("was not clear"), 0.5,
        Job(TABLE, [flush(1, motor_s=2, clear_m3=2e-5), cycle()], dry=("left.cap_line",)),
        Job(TABLE, [flush(20, motor_s=20, clear_m3=2e-5), cycle()], dry=("left.cap_line",))),
    "flush: the motor runs longer than its duty allows": (told("without a rest"), 0.5,
        Job(DUTY, [flush(3, dwell_s=0), cycle()]), Job(DUTY, [flush(3), cycle()])),
    "flush: bursts without long rests keep bubbles going round": (step("free_air_ml"), 0.8,
        Job(lift_table(6, 3), [flush(8, motor_s=15, dwell_s=0, refill=False), cycle()], dry=("left.cap_line",)),
        Job(lift_table(6, 3), [flush(8, motor_s=15, dwell_s=120, refill=False), cycle()], dry=("left.cap_line",))),
    "flush of the pack alone: a valve block full of air is sent into the lines instead": (
        lambda done: held_ml(done, "left.outlet", "right.outlet", "left.cap_line", "right.cap_line"), 0.3,
        Job(TABLE, [cycle(dwell_s=0)], dry=("valve_block",)),
        Job(TABLE, [flush(2, parted=["valve_block.a"], line_end="capped", port="container", valve="extend"), cycle(dwell_s=0)],
            dry=("valve_block",))),
    "hand: pulled too fast, the chamber falls below atmospheric pressure": (lambda d: -step("lowest_bar_abs")(d), -0.5,
        Job(TABLE, [hand(1, hand_n=1000, hand_speed_m_per_s=0.3), cycle()]),
        Job(TABLE, [hand(1, hand_n=1000, hand_speed_m_per_s=0.01), cycle()])),
    "hand: too weak to move the rod": (told("did not move"), 0.5,
        Job(TABLE, [hand(1, hand_n=5), cycle()]), Job(TABLE, [hand(1), cycle()])),
    "hand: a port in the air draws air": (step("drawn_in_ml"), 50,
        Job(TABLE, [hand(2, port="air"), cycle()]), Job(TABLE, [hand(2), cycle()])),
    "hand: air above the port stays": (lambda d: held_ml(d, "left.cap_chamber", "left.cap_line"), 1,
        Job(PORTS_LOW, [hand(3), cycle()], dry=("left.cylinder",)),
        Job(PORTS_LOW, [hand(3, attitude="rod_down"), cycle()], dry=("left.cylinder",))),
    "stand: a wide open end runs out and takes in air": (step("free_air_ml"), 5,
        Job(HANGING, [stand(60, parted=LEFT[:1], line_end="air"), cycle()]),
        Job(HANGING, [stand(60, parted=LEFT[:1], line_end="capped"), cycle()])),
    "stand: oil that warms shut in presses beyond the relief valve's setting": (step("highest_bar_gauge"), 100,
        Job(TABLE, [stand(3600, temperature_deg_c=40), cycle()]),
        Job(TABLE, [stand(3600, temperature_deg_c=40, let_go=True), cycle()])),
    "stand: return cold, the sides shrink and draw": (lambda d: -step("lowest_bar_abs")(d), -0.7,
        Job(TABLE, [stand(3600, temperature_deg_c=0), cycle()]),
        Job(TABLE, [stand(3600, temperature_deg_c=20), cycle()])),
    "refill: forgotten, strokes draw air": (lambda d: d.strokes["vented_ml"][-1] - d.strokes["vented_ml"][0], 30,
        Job(lift_table(**{"reservoir.oil_m3": 2.5e-4}), [flush(2, **CONTAINER, refill=False, motor_s=8), cycle()], 2),
        Job(lift_table(**{"reservoir.oil_m3": 2.5e-4}),
            [flush(2, **CONTAINER, refill=False, motor_s=8), es.Step(kind="refill", repeat=False), cycle()], 2)),
    "connect: every joint shuts in air": (lambda d: d.strokes["pocket_ml"][0] + d.strokes["coarse_ml"][0], 1,
        Job(TABLE, [stand(1, parted=ALL), cycle(dwell_s=0)]), Job(TABLE, [stand(1), cycle(dwell_s=0)])),
    "cycle: the line holds more than the stroke moves": (lambda d: held_ml(d, "left.cap_line"), 5,
        Job(LONG_LINE, [cycle()], 4, ("left.cap_line",)), Job(TABLE, [cycle()], 4, ("left.cap_line",))),
    "cycle: short strokes move less than the line holds": (apart_mm, 1,
        Job(lift_table(6, stroke_mm=150), [cycle(travel=1 / 3)], 6, ("left.cap_line",)),
        Job(lift_table(6, stroke_mm=150), [cycle()], 6, ("left.cap_line",))),
    "cycle: bypass shut, each side gets its own air back": (apart_mm, 1,
        Job(TABLE, [es.Step()], 4, ("left.cylinder",)), Job(TABLE, [cycle()], 4, ("left.cylinder",))),
    "cycle: no rest, bubbles are drawn in again": (free_ml, 0.5,
        Job(lift_table(6, attitude="level"), [cycle(dwell_s=0)], 5, ("left.cylinder", "left.cap_line")),
        Job(lift_table(6, attitude="level"), [cycle(dwell_s=120)], 5, ("left.cylinder", "left.cap_line"))),
    "cycle: pressing at the stops goes up to the relief valve": (stroke("highest_bar_gauge"), 80,
        Job(TABLE, [cycle(press_s=5)]), Job(TABLE, [cycle()])),
    "cycle: under the panel, which outruns the pump": (stroke("low_pressure_s"), 0.5,
        Job(lift_table(6), [cycle(rods="panel")]), Job(lift_table(6), [cycle()])),
    "compare: with the bypass open rods without air run apart": (apart, 10,
        Job(lift_table(right_m=3), [es.Step(**COMPARE, bypass="open"), cycle()]),
        Job(lift_table(right_m=3), [es.Step(**COMPARE), cycle()])),
    "compare: hands that hold the rods together hide what sets them apart": (lambda d: -apart(d), -1,
        Job(PORTS_LOW, [es.Step(**COMPARE, rods="held", held_n=2000), cycle()], dry=("left.cylinder",)),
        Job(PORTS_LOW, [es.Step(**COMPARE), cycle()], dry=("left.cylinder",))),
    "compare: a piston that leaks lets its rod sink under the panel": (step("springs_back_mm"), 2,
        Job(LEAKS, [es.Step(**COMPARE, rods="panel", halt_s=300), cycle()]),
        Job(TABLE, [es.Step(**COMPARE, rods="panel", halt_s=300), cycle()])),
}  # fmt: skip


@pytest.mark.parametrize("name", FAILURES)
def test_the_failure_happens_in_the_one_job_and_not_in_the_other(name):
    seen, limit, fails, does_not = FAILURES[name]
    happened, spared = seen(fails.done()), seen(does_not.done())
    assert happened > limit, f"{happened:.4g}"
    assert spared < limit, f"{spared:.4g}"


def test_every_kind_of_step_has_its_failures():
    kinds = {name.split(":")[0].split(" ")[0] for name in FAILURES}
    assert kinds - {"connect"} == {"cycle", "hand", "stand", "flush", "refill", "compare"}


def test_a_flush_without_a_way_for_its_oil_is_refused_and_one_that_has_it_is_not():
    shut = flush(1, parted=LEFT[:1], line_end="capped")
    with pytest.raises(es.InputError, match="no way round"):
        run(TABLE, [shut, cycle()], 1)
    assert run(TABLE, [flush(1), cycle()], 1).status.ok


def test_at_the_stops_nothing_is_seen_of_what_the_way_shows():
    look = run(PORTS_LOW, [es.Step(**COMPARE), cycle()], 1, dry=["left.cylinder"]).steps[0]
    assert abs(look["apart_at_stops_mm"]) < 1.5 < 2 < abs(look["apart_50_mm"])


def test_a_motor_at_too_low_a_voltage_does_not_lift_the_panel_and_says_so():
    heavy = lift_table(kg=400)
    with pytest.raises(es.RunStopped, match="dead head"):
        run(heavy, [cycle(rods="panel", extend_v=1.5)], 1)
    assert run(heavy, [cycle(rods="panel")], 1).status.ok
