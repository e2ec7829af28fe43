"""Ctrl-C: control comes back within half a second, nothing goes on running, and what was computed is kept."""

import signal
import subprocess
import sys
import time

import pytest

import evenstroke as es
from conftest import PROCEDURE, RIGS

HEAD = f"""
import signal, sys, threading, time
import evenstroke as es
signal.signal(signal.SIGINT, signal.default_int_handler)   # a parent in the background leaves it ignored
rig = es.load_rig({str(RIGS / "roof_hatch_ports_low.toml")!r})
procedure = es.load_procedure({str(PROCEDURE)!r})
contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])
def ready(*_):
    print("ready", flush=True)
many = {{"air.slug_slip": [i / 999 for i in range(1000)]}}
"""
RUN = """
threading.Timer(1.0, ready).start()
run = es.run(rig, contents, procedure, max_strokes=1000, stop_at_verdict=False)
print(time.time(), run.status.outcome.name, len(run.strokes) - 1, len(run.time_s),
      run.bled.answered.name)
"""
BATCH = """
runs = es.run_batch(rig, contents, procedure, many, progress=ready)
done = [r.status.ok for r in runs]
rest = {r.status.outcome.name for r, ok in zip(runs, done) if not ok}
print(time.time(), len(runs), sum(done), rest == {"interrupted"}, all(repr(r) and r.story() for r in runs))
"""
ANSWER = """
answer = es.strokes_to_parallel(rig, contents, procedure, members=4096, progress=ready)
text = answer.text()
print(time.time(), answer.complete, answer.done, answer.members, f"Interrupted: only {answer.done} of" in text)
"""


def interrupted(code):
    """Presses Ctrl-C once the code is at work; the seconds until control was back, and what it printed."""
    child = subprocess.Popen(
        [sys.executable, "-c", HEAD + code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        assert child.stdout.readline() == "ready\n"
        pressed = time.time()
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=60)
    finally:
        child.kill()
    assert child.returncode == 0 and err == "", err
    at, *words = out.split("\n")[-2].split()
    return float(at) - pressed, words


def test_a_run_keeps_its_strokes():
    took, (outcome, strokes, samples, bled) = interrupted(RUN)
    assert took < 0.5
    assert outcome == "interrupted" and int(strokes) > 0 and int(samples) > 0 and bled in ("undecided", "never")


def test_a_batch_keeps_its_rows():
    took, (rows, done, rest_interrupted, all_can_tell) = interrupted(BATCH)
    assert took < 0.5
    assert rows == "1000" and 0 < int(done) < 1000 and rest_interrupted == all_can_tell == "True"


def test_an_answer_stands_for_the_members_done():
    took, (complete, done, members, says_so) = interrupted(ANSWER)
    assert took < 0.5
    assert complete == "False" and 0 < int(done) < 4096 and members == "4096" and says_so == "True"


def test_ctrl_c_inside_the_progress_callback_is_the_same(rig, contents, procedure):
    def press(done, of):
        raise KeyboardInterrupt

    answer = es.strokes_to_parallel(rig, contents, procedure, members=4096, progress=press)
    assert not answer.complete and 0 < answer.done < 4096


LEFT_OVER = """
def tasks():
    return len(os.listdir("/proc/self/task"))
before = tasks()
runs = es.run_batch(rig, contents, procedure, many, threads=3, progress=ready)
print(time.time(), tasks() - before, es.run(rig, contents, procedure, max_strokes=1).status.outcome.name)
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="counts threads in /proc")
def test_no_thread_is_left_and_the_next_run_works():
    _, words = interrupted("import os" + LEFT_OVER)
    assert words == ["0", "ok"]


def test_other_python_threads_go_on_meanwhile():
    code = HEAD + """
ticks = []
def tick():
    while not over.wait(0.01):
        ticks.append(1)
over = threading.Event()
clock = threading.Thread(target=tick)
clock.start()
start = time.time()
es.run(rig, contents, procedure, max_strokes=300, stop_at_verdict=False)
took = time.time() - start
over.set()
clock.join()
print(took, len(ticks))
"""
    took, ticks = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert float(took) > 0.2 and int(ticks) > 10 * float(took)  # a hundred a second if nobody else were at work


SHORT = """
start = es.Contents.after_exchange(rig, dry=["left.cylinder"])
def job():
    return JOB
each = time.time()
job()
each = time.time() - each
end = time.time() + 10
way = "not_stopped"
threading.Timer(0.3, ready).start()
try:
    while time.time() < end and way == "not_stopped":
        if "interrupted" in repr(job()):
            way = "told"
except KeyboardInterrupt:
    way = "raised"
print(time.time(), way, each)
"""
SHORT_JOBS = {
    "run": "es.run(rig, start, procedure, max_strokes=1, checks=False, record=False)",
    "batch": "es.run_batch([rig], start, procedure, max_strokes=1, checks=False)",
    "progress": "es.run_batch([rig], start, procedure, max_strokes=1, checks=False, progress=lambda done, of: None)",
}


@pytest.mark.parametrize("job", SHORT_JOBS)
def test_a_loop_of_short_jobs_is_stopped_by_one_ctrl_c(job):
    """Either the result says interrupted, which the loop can see, or KeyboardInterrupt comes through; never neither."""
    took, (way, each) = interrupted(SHORT.replace("JOB", SHORT_JOBS[job]))
    assert took < 0.5 and way in ("raised", "told")
    if job == "run" and float(each) < 0.03:  # over before anybody looks: only raising can stop the loop
        assert way == "raised"


def test_ctrl_c_that_the_result_cannot_tell_is_raised(rig, contents, procedure):
    """The progress callback is called a last time when all is done."""

    def press(done, of):
        if done == of:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        es.run_batch([rig], contents, procedure, max_strokes=1, checks=False, progress=press)
    assert es.run(rig, contents, procedure, max_strokes=1).status.ok  # nothing is left pending
