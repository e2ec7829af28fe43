"""Many runs in one call."""

import numpy as np

from . import _core
from .errors import InputError, all_of, number, refuse, whole
from .progress import reporter
from .runs import Inputs, Run, options_of


def _listed(name, things, kind):
    return [things] if isinstance(things, kind) else all_of(name, things, kind)


def _column(name, given):
    """Numbers of one column; text is none, even where it reads like one."""
    try:
        values = np.asarray(given)
    except ValueError:  # lists of unequal length inside
        refuse(name, given, "must be numbers, one per row")
    if values.dtype.kind in "iuf" or values.size == 0:
        return values.astype(float)
    return np.reshape([number(name, value) for value in values.ravel().tolist()], values.shape)


def _columns(rows):
    """Field paths and a matrix of values from a dict, a structured array or a data frame."""
    if rows is None:
        return [], np.empty((0, 0))
    names = getattr(getattr(rows, "dtype", None), "names", None)  # structured array
    if names is None:
        if not hasattr(rows, "keys"):
            refuse("rows", rows, "must be a dict of columns, a structured array or a data frame")
        names = list(rows.keys())
    columns = {str(name): _column(str(name), rows[name]) for name in names}
    if not columns:
        raise InputError("rows: needs at least one column", field="rows", rule="needs at least one column")
    for name, values in columns.items():
        if values.ndim != 1 or len(values) != len(next(iter(columns.values()))):
            rule = "every column is one-dimensional and as long as the others"
            raise InputError(f"rows: {name}: {rule}", field="rows", value=name, rule=rule)
    if not len(values):
        refuse("rows", rows, "needs at least one row")
    return list(columns), np.stack(list(columns.values()), axis=1)


def run_batch(
    rigs,
    contents,
    procedures,
    rows=None,
    *,
    tolerance_mm=None,
    max_strokes=None,
    stop_at_verdict=True,
    checks=True,
    record=False,
    max_samples=None,
    quantum_share=None,
    rel_tol=None,
    ln_pressure=None,
    streamtubes=None,
    parcels=None,
    inertance=False,
    solver=None,
    threads=0,
    progress=None,
):
    """One run per row, in threads; the results do not depend on their number.

    Parameters
    ----------
    rigs : Rig or list of Rig
    contents : Contents or list of Contents
        Contents that have not run yet are made afresh from each row's rig; others keep their pressures.
    procedures : Procedure or list of Procedure
        One, or as many as there are rows.
    rows : dict of str to array, structured array or data frame, optional
        Columns are field paths, values in SI, one row per run: ``{"air.slug_slip": [0.0, 0.5, 1.0]}``. Left out:
        one run per element of the longest list.
    threads : int, 0 to 1024
        0: one per processor.
    progress : True or callable, optional
        Called with the number of rows done and of all rows, at most every 50 ms.
    tolerance_mm, max_strokes, stop_at_verdict, checks, record, max_samples : optional
    quantum_share, rel_tol, ln_pressure, streamtubes, parcels, inertance, solver : optional
        As for `run`; channels are not recorded unless asked for.

    Returns
    -------
    list of Run
        In the order of the rows. A row that nature stops has its status. After Ctrl-C the rows not reached have the
        status `Outcome.interrupted`.

    Raises
    ------
    InputError
        For an argument of the wrong kind or out of range, no row, columns or lists of unequal length, an unknown field,
        and a row whose rig or procedure cannot be run: before anything runs.
    KeyboardInterrupt
        For a Ctrl-C that comes when all rows are done; their results are lost.
    """
    options = dict(
        tolerance_mm=tolerance_mm,
        max_strokes=max_strokes,
        stop_at_verdict=stop_at_verdict,
        checks=checks,
        record=record,
        max_samples=max_samples,
        quantum_share=quantum_share,
        rel_tol=rel_tol,
        ln_pressure=ln_pressure,
        streamtubes=streamtubes,
        parcels=parcels,
        inertance=inertance,
        solver=solver,
    )
    rigs, contents, procedures = (
        _listed("rigs", rigs, _core.Rig),
        _listed("contents", contents, _core.Contents),
        _listed("procedures", procedures, _core.Procedure),
    )
    names, values = _columns(rows)
    count = len(values) if names else max(map(len, (rigs, contents, procedures)))
    threads = whole("threads", threads, 0, 1024)
    cores = _core.run_batch(
        rigs, contents, procedures, names, values, count, options_of(**options), threads, reporter(progress)
    )

    def inputs(i):
        def make():
            rig = rigs[i % len(rigs)].replace(**dict(zip(names, values[i] if names else ())))
            return Inputs(rig, contents[i % len(contents)], procedures[i % len(procedures)], options)

        return make

    return [Run(core, inputs(i)) for i, core in enumerate(cores)]
