"""One run: what `evenstroke.run` returns, and the call itself."""

from typing import NamedTuple

import numpy as np

from . import _core
from .errors import flag, number, one_of, whole, word
from .tables import StepTable, StrokeTable

UNITS = {"_m": "m", "_pa_abs": "Pa abs", "_m3": "m3", "_s": "s"}


class Twin(NamedTuple):
    """The same rig without free air: one check stroke with free rods, one under the panel."""

    free: _core.Check
    load: _core.Check


class Inputs(NamedTuple):
    """What a run was made from."""

    rig: _core.Rig
    contents: _core.Contents
    procedure: _core.Procedure
    options: dict


class RunStopped(RuntimeError):
    """Raised by `Run.raise_for_status` only."""


class Run:
    """Result of one deterministic run; whatever stopped it, what was computed is here.

    ``run["left.rod_position_m"]`` is a read-only view of a recorded channel (no copy; it keeps the run alive).

    Attributes
    ----------
    status : Status
        Says first whether the run ended as planned; else what stopped it, when, where, and the likely cause.
    strokes : StrokeTable
        One row per bleed stroke.
    steps : StepTable
        One row per step done between strokes: what it did, and what a person saw of it.
    bled, parallel : Verdict
        Of the air's part of the mismatch; of the whole mismatch.
    books : Books
        Oil and air accounted for, and the errors of the accounts.
    twin : Twin
        The same rig without air.
    tolerance_mm : float, mm
    on_load : bool
        The check under the panel decides; else the one with free rods.
    notes : list of str
        What is hardly meant (a reservoir that the rods draw empty, a motor for another voltage), and what did not go as a step
        asked while the run went on: a hand too weak for its rod, with the force it takes; a motor beyond its duty; a part
        pressed harder than it is made for.
    overloads : list of Overload
        Those parts, each with the place, the highest pressure and what drives it.
    time_s : array of float, s, shape (samples,), read-only
    channels : list of str
        Names of what was recorded, with SI units.
    contents : Contents
        At the end; another run may go on from it.
    counts : dict of str to int
        The stepper's work; ``quanta``: transports of mass.
    inputs : Inputs
        Rig, contents, procedure and options it was made from.
    version : str
    """

    def __init__(self, core, inputs):
        self._core, self._inputs = core, inputs
        self._strokes = None
        self._version = _core.__version__

    @property
    def status(self):
        return self._core.status

    @property
    def strokes(self):
        if self._strokes is None:
            places = list(self._core.contents.places) or self._core.places
            self._strokes = StrokeTable(self._core, self.inputs.rig.branches, places, self.inputs.procedure)
        return self._strokes

    @property
    def steps(self):
        return StepTable(self._core, self.inputs.procedure)

    @property
    def bled(self):
        return self._core.bled

    @property
    def parallel(self):
        return self._core.parallel

    @property
    def books(self):
        return self._core.books

    @property
    def twin(self):
        return Twin(self._core.twin_free, self._core.twin_load)

    @property
    def tolerance_mm(self):
        return self._core.tolerance_m * 1e3

    @property
    def on_load(self):
        return self._core.on_load

    @property
    def overloads(self):
        return self._core.overloads

    @property
    def notes(self):
        return self._core.notes

    @property
    def time_s(self):
        return self._core.time_s()

    @property
    def channels(self):
        return self._core.channels

    @property
    def contents(self):
        return self._core.contents

    @property
    def counts(self):
        return {**self._core.counts, "quanta": self._core.quanta}

    @property
    def inputs(self):
        if callable(self._inputs):  # rows of a batch make their own rig when somebody asks
            self._inputs = self._inputs()
        return self._inputs

    @property
    def version(self):
        return self._version

    def __getitem__(self, channel):
        return self._core.channel(channel)

    def __eq__(self, other):
        return self._core == other._core if isinstance(other, Run) else NotImplemented

    def __hash__(self):
        return hash(self._core)

    def __getstate__(self):
        return {"_core": self._core, "_inputs": self.inputs, "_strokes": None, "_version": self._version}

    def __repr__(self):
        n = max(len(self.strokes) - 1, 0)
        from .stories import books

        told = f"; {books(self)}" if len(self.strokes) else ""  # a row that was not reached has none
        return f"<Run {self.status!r}; {n} strokes; bled {self.bled!r}; parallel {self.parallel!r}{told}>"

    def raise_for_status(self):
        """Raises `RunStopped` with the status as its text unless the run ended as planned."""
        if not self.status.ok:
            raise RunStopped(repr(self.status))

    def story(self):
        """The run in words: one plain sentence per stroke, every number from the table.

        Returns
        -------
        str
            Lines; the last say what the run found, or what stopped it.
        """
        from .stories import story

        return story(self)

    def contents_at(self, stroke):
        """What was where after a stroke: another run may go on from it.

        Parameters
        ----------
        stroke : int, 0 to the last
            0: as given, before anything was done.

        Returns
        -------
        Contents
            Made by running up to there again, without checks; the same numbers.

        Raises
        ------
        InputError
            No whole number, or a stroke that the run does not have.
        KeyboardInterrupt
            For a Ctrl-C.
        """
        stroke = whole("stroke", stroke, 0, max(len(self.strokes) - 1, 0))
        i = self.inputs
        if stroke == 0:
            return i.contents
        given = {key: value for key, value in i.options.items() if value is not None}
        again = dict(max_strokes=stroke, checks=False, record=False, stop_at_verdict=False)
        there = run(i.rig, i.contents, i.procedure, **{**given, **again})
        if there.status.outcome is _core.Outcome.interrupted:
            raise KeyboardInterrupt
        return there.contents

    def mechanisms(self):
        """Why the rods are not in step at the end, from what is where and from the rods without air.

        Returns
        -------
        list of Mechanism
            Those that cost most first; what costs less than a tenth of the tolerance is left out. Empty for a run whose
            rods get in step, and where none of the reasons known here fits.
        """
        from .mechanisms import mechanisms

        return mechanisms(self)

    def why_not_fewer(self):
        """What was still where one stroke before the rods kept step.

        Returns
        -------
        str
            A sentence or two; for a run whose rods never keep step, of its last stroke.
        """
        from .stories import why_not_fewer

        return why_not_fewer(self)

    def plot(self, ax=None):
        """Draws mismatch with its tolerance, free air by place, air by form, and air vented with the reservoir's level.

        Parameters
        ----------
        ax : sequence of four matplotlib axes, optional
            Drawn into; a new figure when left out. Nothing is shown or saved.

        Returns
        -------
        tuple of four matplotlib.axes.Axes
            ``axes[0].figure.alt_text`` holds the point of the picture in words.
        """
        from .pictures import plot_run

        return plot_run(self, ax)

    def animate(self, path):
        """Writes the run as something that plays: rods, every branch's oil and gas at one scale of volume, mismatch over time.

        Parameters
        ----------
        path : str or path
            ``.html``: one page under 1 MB that needs nothing else and no network; keys, a slider, and the run in words.
            ``.mp4``: a film, 10 to 60 s long; needs matplotlib and ffmpeg, and takes some minutes.

        Raises
        ------
        InputError
            Another ending; a run with nothing recorded (``record=False``); a film without matplotlib or ffmpeg.
        OSError
            For a file that cannot be written.
        """
        from .animation import animate

        animate(self, path)

    def to_pandas(self):
        """Recorded channels as a pandas.DataFrame indexed by ``time_s``; needs pandas. Copies."""
        import pandas

        return pandas.DataFrame(
            {name: np.array(self[name]) for name in self.channels},
            index=pandas.Index(np.array(self.time_s), name="time_s"),
        )

    def to_xarray(self):
        """Recorded channels as an xarray.Dataset over ``time_s``, each with ``units``; needs xarray. Copies."""
        import xarray

        def unit(name):
            return next(u for suffix, u in UNITS.items() if name.endswith(suffix))

        data = xarray.Dataset(
            {name: ("time_s", np.array(self[name]), {"units": unit(name)}) for name in self.channels},
            coords={"time_s": ("time_s", np.array(self.time_s), {"units": "s"})},
        )
        data.attrs.update(status=repr(self.status), rig=self.inputs.rig.name, version=self.version)
        return data


def options_of(**given):
    """RunOptions from what was given; what was left out (None) takes the library's default."""
    limits = {"max_strokes": (1, 1000), "max_samples": (10, 10**7), "streamtubes": (1, 512), "parcels": (4, 32)}
    kinds = {"stop_at_verdict": flag, "checks": flag, "record": flag, "inertance": flag, "solver": word}

    def known(name, value):
        if name in limits:
            return whole(name, value, *limits[name])
        return kinds.get(name, number)(name, value)

    return _core.RunOptions(**{name: known(name, value) for name, value in given.items() if value is not None})


def check_kinds(rig, contents, procedure):
    """InputError unless the three are what their names say."""
    one_of("rig", rig, _core.Rig)
    one_of("contents", contents, _core.Contents)
    one_of("procedure", procedure, _core.Procedure)


def run(
    rig,
    contents,
    procedure,
    *,
    tolerance_mm=None,
    max_strokes=None,
    stop_at_verdict=True,
    checks=True,
    record=True,
    max_samples=None,
    quantum_share=None,
    rel_tol=None,
    ln_pressure=None,
    streamtubes=None,
    parcels=None,
    inertance=False,
    solver=None,
):
    """One deterministic run of a procedure on a rig.

    Parameters
    ----------
    rig : Rig
    contents : Contents
        Left as they are.
    procedure : Procedure
    tolerance_mm : float, mm, 0.001 to 1000, optional
        Of the mismatch. Left out: the larger of 1 mm and 1 % of the shortest stroke, an assumption.
    max_strokes : int, 1 to 1000, optional
        Left out: the procedure's.
    stop_at_verdict : bool
        End once both verdicts stand and every step was done; False: go on to max_strokes.
    checks : bool
        A check stroke on a fork of the state after every stroke; without them there is no mismatch and no verdict.
    record : bool
        Keep the channels over time.
    max_samples : int, 10 to 1e7, default 2000
        Times kept; when full, every second one goes.
    quantum_share : float, 1e-4 to 0.5, default 0.05
        Swept volume between two transports, as a share of the smallest line or stroke.
    rel_tol : float, 1e-12 to 1e-2, default 1e-5
        Of a flow step.
    ln_pressure : float, 1e-3 to 2, default 0.1
        Change of the logarithm of pressure in a place with gas that ends a quantum.
    streamtubes : int, 1 to 512, default 16
        Of each class of bubbles in each line, about as many where bubbles rise across it; 1 is plug flow.
    parcels : int, 4 to 32, default 32
        Pieces of each line's oil and slugs, and half as many clouds of bubbles in each tube; beyond that neighbours merge.
    inertance : bool
        Oil in lines takes time to be set going: rho L/A of each half of a line. Pressures then ring after a valve, for
        milliseconds, and runs take longer; what is counted hardly changes. Its energy of motion is in no book.
    solver : {"rodas5p", "odeint_rosenbrock4"}, default "rodas5p"
        Formula of the flow step. The other is of another make, to compare with; slow.

    Returns
    -------
    Run
        Whatever nature or the solver does is in its status. Ctrl-C ends the run within half a second, the status says
        `Outcome.interrupted`, and the strokes done are kept.

    Raises
    ------
    InputError
        For what cannot be run: an argument of the wrong kind or out of range, contents of another rig, a step the rig
        has no valves for.
    KeyboardInterrupt
        For a Ctrl-C that comes too late to be told in the status, because the run is over; its result is lost.
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
    check_kinds(rig, contents, procedure)
    return Run(_core.run(rig, contents, procedure, options_of(**options)), Inputs(rig, contents, procedure, options))
