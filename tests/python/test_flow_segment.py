"""The flow equations against SciPy: another integrator, started from the same state, must arrive at the same place."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import evenstroke as es
from conftest import RIGS, exchanged

CASES = {
    "lifting the panel, air in the left side": dict(on_panel=True),
    "extending with free rods": dict(),
    "bypass open": dict(bypass_open=True),
    "retracting": dict(extend=False, retract=True),
    "lifting the panel, oil in lines has to be set going": dict(on_panel=True, inertance=True),
}


def tolerance_of(segment):
    """Sizes of the states by their names: volumes, then positions and the clock, then flows."""
    return np.array([1e-13 if n.endswith("_volume_m3") else 1e-10 for n in segment.names])


def moving(rig, procedure, **drive):
    """A segment from contents under way: the rods are off their stops and the pressures are those of a stroke."""
    used = es.run(rig, exchanged(rig), procedure, max_strokes=1, checks=False).contents
    return es.laws.FlowSegment(rig, used, **drive)


@pytest.mark.parametrize("name", CASES)
def test_our_stepper_and_radau_arrive_at_the_same_state(rig, procedure, name):
    segment = moving(rig, procedure, **CASES[name])
    time_s = 0.2
    start = np.zeros(segment.size)
    other = solve_ivp(
        lambda t, y: segment.rhs(y),
        (0, time_s),
        start,
        method="Radau",
        rtol=1e-10,
        atol=1e-17,
        jac=lambda t, y: segment.jacobian(y),
    )
    assert other.success
    wanted = other.y[:, -1]
    ours = segment.integrate(time_s, rel_tol=1e-9, abs_volume_m3=1e-16, abs_position_m=1e-13, abs_flow_m3_per_s=1e-14)
    moved, rods = (np.array([n.endswith(end) for n in segment.names]) for end in ("_volume_m3", "_travelled_m"))
    assert np.abs(wanted[moved]).max() > 1e-7 and np.abs(wanted[rods]).max() > 1e-4  # it does move
    # Volumes of the leaks are a millionth of a millilitre: they are held to 1e-6 of themselves, too, above 1e-13 m3.
    assert (np.abs(ours - wanted) <= 1e-6 * np.abs(wanted) + tolerance_of(segment)).all()


def test_the_two_solvers_arrive_at_the_same_state(rig, procedure):
    segment = moving(rig, procedure, on_panel=True)
    tight = dict(rel_tol=1e-9, abs_volume_m3=1e-16, abs_position_m=1e-13)
    ours, theirs = (segment.integrate(0.2, solver=name, **tight) for name in ("rodas5p", "odeint_rosenbrock4"))
    assert not np.array_equal(ours, theirs)
    np.testing.assert_allclose(theirs, ours, rtol=1e-6, atol=1e-13)


@pytest.mark.parametrize("name,rods", [("roof_hatch", "out"), ("roof_hatch", "in"), ("roof_hatch_ports_low", "in")])
def test_the_two_solvers_give_the_same_stroke_counts(name, rods, procedure):
    """And not the same run: each takes its own steps, so quanta of transport end elsewhere."""
    rig = es.load_rig(RIGS / f"{name}.toml")
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"], rods=rods)
    ours, theirs = (es.run(rig, contents, procedure, record=False, solver=s) for s in ("rodas5p", "odeint_rosenbrock4"))
    assert theirs.counts != ours.counts
    for verdict in ("bled", "parallel"):
        a, b = getattr(ours, verdict), getattr(theirs, verdict)
        assert (a.answered, a.stroke) == (b.answered, b.stroke)


def test_a_looser_tolerance_is_worse(rig, procedure):
    """The agreement above is the tolerance's doing, not that of an easy problem."""
    segment = moving(rig, procedure, on_panel=True)
    best = segment.integrate(0.2, rel_tol=1e-10, abs_volume_m3=1e-17, abs_position_m=1e-14)
    off = [
        np.abs(segment.integrate(0.2, rel_tol=t, abs_volume_m3=1e-8 * t, abs_position_m=1e-5 * t) - best).max()
        for t in (1e-2, 1e-4, 1e-6)
    ]
    assert off[0] > off[1] > off[2]


@pytest.mark.parametrize("name", CASES)
def test_the_jacobian_is_the_slope_of_the_rates(rig, procedure, name):
    segment = moving(rig, procedure, **CASES[name])
    y = segment.integrate(0.05)
    exact = segment.jacobian(y)
    for column in range(segment.size):
        step = 1e-12 if segment.names[column].endswith("_volume_m3") else 1e-9
        high, low = y.copy(), y.copy()
        high[column] += step
        low[column] -= step
        slope = (segment.rhs(high) - segment.rhs(low)) / (2 * step)
        np.testing.assert_allclose(
            slope, exact[:, column], rtol=2e-3, atol=1e-4 * np.abs(exact[:, column]).max() + 1e-12
        )


def test_volumes_in_and_out_of_a_place_make_its_pressure(rig, procedure):
    """At the start nothing has flowed: the pressures are those the contents were left with."""
    used = es.run(rig, exchanged(rig), procedure, max_strokes=1, checks=False).contents
    segment = es.laws.FlowSegment(rig, used)
    pressures = segment.pressures(np.zeros(segment.size))
    for place, held in used.places.items():
        assert pressures[place] == pytest.approx(held["pressure_pa_abs"], rel=1e-6)


def test_inertance_rings_and_leaves_the_readings(rig, procedure):
    """What has come to rest is the same; on the way pressures go higher, since oil in lines has to be stopped."""
    contents = es.Contents.after_exchange(rig, dry=["left.cylinder"], opened=["left.cap_line"])
    usual, inert = (es.run(rig, contents, procedure, max_strokes=2, stop_at_verdict=False, record=False, inertance=i) for i in (False, True))
    assert inert.status.ok and max(inert.books.oil_rel_error, inert.books.air_rel_error) < 1e-12
    assert np.abs(inert.strokes.worst_mm() - usual.strokes.worst_mm())[1:].max() < 0.1 * usual.tolerance_mm
    assert (inert.strokes["highest_bar_gauge"] > usual.strokes["highest_bar_gauge"] + 1)[1:].all()


def test_bad_states_are_refused(rig, contents):
    segment = es.laws.FlowSegment(rig, contents)
    for bad in (np.zeros(segment.size - 1), np.zeros((segment.size, 1))):
        with pytest.raises(es.InputError):
            segment.rhs(bad)
    with pytest.raises(es.InputError):
        segment.integrate(-1.0)
    with pytest.raises(es.InputError, match="did you mean rodas5p?"):
        segment.integrate(0.1, solver="rodas5")


def test_contents_that_are_warm_flow_as_those_of_a_warm_rig(rig):
    """After the same steps, which warm the one rig by 30 K and the other by nothing."""
    def flow(r):
        heat = es.Step(kind="stand", stand_s=600, let_go=True, bypass="open", temperature_deg_c=50, repeat=False)
        steps = es.Procedure(steps=[heat, es.Step(bypass="open")])
        contents = es.run(r, es.Contents.bled(r), steps, max_strokes=1, checks=False, record=False).contents
        segment = es.laws.FlowSegment(r, contents)
        return segment.rhs(np.zeros(segment.size))[:3], contents.warmed_k
    warm = rig.replace(**{"oil.temperature_k": rig.get("oil.temperature_k") + 30})
    (here, by_k), (other, by_none) = flow(rig), flow(warm)
    assert by_k == pytest.approx(30) and by_none == 0
    assert here == pytest.approx(other, rel=0.01)
