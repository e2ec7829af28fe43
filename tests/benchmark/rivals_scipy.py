"""SciPy's solvers on a frozen segment, its equations in plain Python or compiled by numba."""

import time

import numpy as np
from scipy.integrate import solve_ivp

from equations import ALL, AXIS, EDGE, PLACE

MOST_RHS = 20_000   # seconds of SciPy's own loop: nobody would want more for a stretch


class Enough(Exception):
    pass


def data_of(segment):
    rows = [np.array([segment[name] for name in group], dtype=float) for group in (PLACE, EDGE, AXIS)]
    return (rows[0], rows[1], np.array(segment["law"], dtype=float), rows[2], np.array(segment["weight"], dtype=float),
            np.array([float(segment[name]) for name in ALL]))


def verify(segment, functions):
    """Largest difference to the library's own rates and Jacobians at random states, over each row's largest entry."""
    rhs, jacobian = functions
    data, n = data_of(segment), len(segment["abs_tol"])
    states = np.array(segment["sample_y"]).reshape(-1, n)
    f = np.array([rhs(y, *data) for y in states])
    j = np.array([jacobian(y, *data) for y in states])
    f_ref, j_ref = np.array(segment["sample_rhs"]).reshape(-1, n), np.array(segment["sample_jacobian"]).reshape(-1, n, n)

    def off(a, b, axes):
        largest = np.abs(b).max(axis=axes, keepdims=True)
        return (np.abs(a - b) / np.where(largest > 0, largest, 1)).max()
    return off(f, f_ref, 0), off(j, j_ref, (0, 2))


def solve(segment, functions, method, rel_tol):
    """One integration: as the compiled solvers, tolerances per state, the analytic Jacobian, the same times."""
    data, counts = data_of(segment), [0]
    rhs, jacobian = functions
    abs_tol = np.array(segment["abs_tol"]) * rel_tol / segment["base_rel_tol"]
    times, y0 = np.array(segment["time_s"]), np.zeros(len(abs_tol))

    def counted(_, y):
        counts[0] += 1
        if counts[0] > MOST_RHS:
            raise Enough
        return rhs(y, *data)
    work = dict(steps=None, rejected=None)
    start = time.perf_counter()
    try:
        result = solve_ivp(counted, (0, times[-1]), y0, method, t_eval=times, rtol=rel_tol, atol=abs_tol,
                           jac=lambda _, y: jacobian(y, *data))
    except Enough:
        result = None
    seconds = time.perf_counter() - start
    if result is None or not result.success:
        return dict(reached=False, error=None, seconds=seconds, **work, rhs=counts[0], jacobians=None, factorisations=None)
    reference = np.array(segment["reference"]).reshape(len(times), -1)
    error = float((np.abs(result.y.T - reference) / np.array(segment["scale"])).max())
    return dict(reached=True, error=error, seconds=seconds, **work, rhs=counts[0], jacobians=int(result.njev),
                factorisations=int(result.nlu))
