"""The tables of a run, named columns in shop units: one row per bleed stroke, one per step between them."""

import numpy as np

STATIONS = ("25", "50", "75")
FORMS = ("pocket", "coarse", "fine")   # of free air, as in the columns


def branch_of(place, branches):
    """Branch a place belongs to, or "shared"."""
    head = place.split(".")[0]
    return head if head in branches else "shared"


def text_of(columns):
    """Columns of texts, each under its head."""
    lines = ["  ".join(columns)]
    for cells in zip(*columns.values()):
        lines.append("  ".join(cell.rjust(len(head)) for cell, head in zip(cells, columns)))
    return "\n".join(lines)


class Table:
    """Named columns of equal length, read-only: ``table["name"]`` an array, ``table[3]`` a row as a dict; rows iterate."""

    def __init__(self, column):
        for values in column.values():
            values.setflags(write=False)
        self._column = {name: values.view() for name, values in column.items()}  # a view cannot be made writable again

    @property
    def columns(self):
        """Names of the columns."""
        return tuple(self._column)

    def __len__(self):
        return len(next(iter(self._column.values())))

    def __getitem__(self, key):
        if isinstance(key, str):
            if key not in self._column:
                raise KeyError(f"{key}: the columns are {', '.join(self._column)}")
            return self._column[key]
        if isinstance(key, slice):
            return [self[i] for i in range(*key.indices(len(self)))]
        return {name: values[key : key + 1 or None].tolist()[0] for name, values in self._column.items()}

    def __iter__(self):
        return (self[i] for i in range(len(self)))

    def __eq__(self, other):
        if not isinstance(other, type(self)):
            return NotImplemented
        return self.columns == other.columns and all(
            np.array_equal(a, other[name], equal_nan=a.dtype.kind == "f") for name, a in self._column.items()
        )

    __hash__ = None

    def to_pandas(self):
        """The table as a pandas.DataFrame, indexed by its first column; needs pandas."""
        import pandas

        first, *others = self._column
        return pandas.DataFrame({n: self[n] for n in others}, index=pandas.Index(self[first], name=first))


class StepTable(Table):
    """What was done between the bleed strokes and what a person saw of it, one row per step done.

    Columns
    -------
    step : int
        Of the procedure, from 1.
    before_stroke : int
        The bleed stroke that came next.
    kind : str
        "hand", "stand", "flush", "refill" or "compare".
    minutes, motor_on_minutes : float, min
    bursts : int
        Times the motor was switched on.
    out_ml, clear_ml : float, ml
        Oil that ran into reservoir and container; of it, the last without bubbles that can be seen.
    bubbles_seen : bool
        There were some before that.
    refilled_ml, spilled_ml : float, ml
        Oil filled up; oil that ran out where joints were open.
    vented_ml, drawn_in_ml : float, ml
        Air that left, and that came in at joints, open ends, seals and intakes, as free air at 101325 Pa and 20 deg C;
        what fresh oil brings dissolved is not told.
    free_air_ml : float, ml
        Left in the circuit.
    level_mm : float, mm
        Of the reservoir at the end.
    highest_bar_gauge, lowest_bar_abs : float, bar
        Anywhere in the circuit.
    oil_deg_c : float, deg C
        Oil and walls at the end.
    apart_25_mm, apart_50_mm, apart_75_mm, apart_at_stops_mm : float, mm
        Of a comparison, as all below, to the marks of the observer and NaN where there was nothing to read: first rod minus
        second (more than two: largest minus smallest) as their mean passes, and where they end.
    first_moves_s, last_moves_s : float, s
        From the motor's start until the first rod, the last rod was seen to move.
    springs_back_mm : float, mm
        The rod that does so most, during the halt half way.
    to_pressure_s, current_a : float, s, A
        Pressing at the upper stops: until nine tenths of the pump's last pressure; the motor's current then.
    level_rise_mm : float, mm
        Of the reservoir when that pressure was let go; not under the panel.
    held_n : float, N
        Greatest force of the hands, of rods that are held together.
    """

    def __init__(self, core, procedure):
        rows = core.step_rows()
        column = {"step": rows["step"].astype(int) + 1, "before_stroke": rows["stroke"].astype(int)}
        column["kind"] = np.array([procedure.steps[i - 1].kind for i in column["step"]], dtype=str)
        column["minutes"] = rows["time_s"] / 60
        column["motor_on_minutes"] = rows["motor_on_s"] / 60
        column["bursts"] = rows["bursts"].astype(int)
        for name in ("out", "clear"):
            column[f"{name}_ml"] = rows[f"{name}_m3"] * 1e6
        column["bubbles_seen"] = rows["bubbles_seen"] > 0
        for name in ("refilled", "spilled", "vented", "drawn_in", "free_air"):
            column[f"{name}_ml"] = rows[f"{name}_m3"] * 1e6
        column["level_mm"] = rows["level_m"] * 1e3
        column["highest_bar_gauge"] = (rows["highest_pa_abs"] - 101325) / 1e5
        column["lowest_bar_abs"] = rows["lowest_pa_abs"] / 1e5
        column["oil_deg_c"] = rows["oil_k"] - 273.15
        for i, station in enumerate(STATIONS):
            column[f"apart_{station}_mm"] = rows["apart_m"][:, i] * 1e3
        for name, row in {"apart_at_stops_mm": "apart_at_stop_m", "springs_back_mm": "back_m",
                          "level_rise_mm": "level_rise_m"}.items():
            column[name] = rows[row] * 1e3
        for name, row in {"first_moves_s": "first_s", "last_moves_s": "last_s", "to_pressure_s": "pressure_s",
                          "current_a": "current_a", "held_n": "held_n"}.items():
            column[name] = rows[row]
        super().__init__(column)

    def __repr__(self):
        if not len(self):
            return "no steps between strokes"
        heads = ("step", "before stroke", "kind", "minutes", "bursts", "out mL", "bubbles", "refilled mL", "vented mL",
                 "drawn in mL", "free air mL", "level mm")
        def cells(r):
            seen = "seen" if r["bubbles_seen"] else "none seen" if r["out_ml"] > 0 else "-"
            return (str(r["step"]), str(r["before_stroke"]), r["kind"], f"{r['minutes']:.1f}", str(r["bursts"]),
                    f"{r['out_ml']:.1f}", seen, f"{r['refilled_ml']:.1f}", f"{r['vented_ml']:.2f}",
                    f"{r['drawn_in_ml']:.2f}", f"{r['free_air_ml']:.2f}", f"{r['level_mm']:.1f}")
        rows = [cells(r) for r in self]
        width = [max(len(x) for x in column) for column in zip(heads, *rows)]
        return "\n".join("  ".join(c.rjust(w) for c, w in zip(line, width)) for line in (heads, *rows))


class StrokeTable(Table):
    """What every bleed stroke left behind; the first row, stroke 0, is the state before the first.

    Columns
    -------
    stroke : int
        Under power; other steps are done on the way to the stroke that follows them.
    kind : "open", "closed" or "cracked"
        The bypass valves; "start" for stroke 0.
    mismatch_25_free_mm ... mismatch_75_load_mm : float, mm
        First rod minus second (more than two: largest minus smallest) as their mean passes 25, 50 and 75 % of the
        travel in a check stroke, with free rods and under the panel. NaN where there is no reading, see `check`.
    air_25_mm, air_50_mm, air_75_mm : float, mm
        The air's part of the deciding reading: less what the same rig shows without air.
    free_air_<branch>_ml, free_air_shared_ml, free_air_<place>_ml : float, ml
        Free air at 101325 Pa and 20 deg C.
    pocket_ml, coarse_ml, fine_ml : float, ml
        The same over all places: gas collected in pockets and slugs, coarse bubbles, fine bubbles.
    dissolved_ml : float, ml
        Air in solution in the circuit's oil, as free air.
    apparent_index : float or None
        Polytropic index that the pockets showed in the stroke, weighted by mass: 1 isothermal, 1.4 adiabatic. None
        where none was squeezed enough to tell.
    vented_ml : float, ml
        Gone through the reservoir since the start.
    level_mm : float, mm
        Of the reservoir, above its floor.
    minutes, motor_on_minutes : float, min
        Since the start; check strokes take no time.
    highest_bar_gauge, lowest_bar_abs : float, bar
        Anywhere in the circuit, during the stroke; NaN for stroke 0. Where oil and gas were moved so that a place's
        pressure had to jump by more than 1 %, it and its neighbours count again a millisecond later.
    low_pressure_s : float, s
        For how long some place was below 0.7 bar abs in the stroke, where air comes out of oil.
    carriage_mm : float, mm
        Where the synchroniser's carriage stood before the deciding check stroke.
    check : str
        "ok", "not done", "not re-phased" (carriage not home) or "not reached".
    behind : str
        Rod least far out where the deciding reading is largest in size; empty without a reading.
    """

    def __init__(self, core, branches, places, procedure):
        rows = core.rows()
        load = bool(core.on_load)
        first = rows["stroke"] == 0
        column = {"stroke": rows["stroke"].astype(int)}
        steps = [procedure.steps[int(i)] for i in rows["step"]]
        kinds = ["cracked" if step.cracked_deg else step.bypass for step in steps]
        column["kind"] = np.where(first, "start", np.array(kinds, dtype=str))
        for which in ("free", "load"):
            for i, station in enumerate(STATIONS):
                column[f"mismatch_{station}_{which}_mm"] = rows[f"{which}_m"][:, i] * 1e3
        for i, station in enumerate(STATIONS):
            column[f"air_{station}_mm"] = rows["air_m"][:, i] * 1e3
        air_ml = {place: rows["free_air_m3"][:, i] * 1e6 for i, place in enumerate(core.places)}
        for branch in (*branches, "shared"):
            own = [air_ml[p] for p in places if branch_of(p, branches) == branch]
            column[f"free_air_{branch}_ml"] = np.sum(own, axis=0) if own else np.zeros(len(first))
        for place in places:
            column[f"free_air_{place}_ml"] = air_ml[place]
        for name in (*FORMS, "dissolved", "vented"):
            column[f"{name}_ml"] = rows[f"{name}_m3"] * 1e6
        column["apparent_index"] = np.array(rows["apparent_index"], dtype=object)
        column["level_mm"] = rows["level_m"] * 1e3
        column["minutes"] = rows["time_s"] / 60
        column["motor_on_minutes"] = rows["motor_on_s"] / 60
        column["highest_bar_gauge"] = np.where(first, np.nan, (rows["highest_pa_abs"] - 101325) / 1e5)
        column["lowest_bar_abs"] = np.where(first, np.nan, rows["lowest_pa_abs"] / 1e5)
        column["low_pressure_s"] = rows["low_pressure_s"]
        column["carriage_mm"] = rows["carriage_m"] * 1e3
        column["check"] = np.array(rows["check"], dtype=str)
        column["behind"] = np.array([branches[int(i)] if i >= 0 else "" for i in rows["behind"]], dtype=str)
        super().__init__(column)
        self._branches = tuple(branches)
        self._deciding = "load" if load else "free"

    @property
    def deciding(self):
        """ "load" where the check under the panel decides, else "free"."""
        return self._deciding

    def mismatch_mm(self):
        """Deciding readings, array of shape (rows, 3) in mm."""
        return np.stack([self[f"mismatch_{s}_{self._deciding}_mm"] for s in STATIONS], axis=1)

    def worst_mm(self):
        """Deciding reading largest in size, with its sign; array of shape (rows,) in mm, NaN without a reading."""
        all_three = self.mismatch_mm()
        return all_three[np.arange(len(all_three)), np.argmax(np.abs(all_three), axis=1)]

    def _cells(self):
        """Two lines of heading and the rows, as text."""
        sides = (*self._branches, "shared")
        top = ["stroke", "bypass", "apart in the check, mm:", "", ""] + ["free air, mL:"] + [""] * (len(sides) - 1)
        top += ["vented", "level", "time", "check"]
        low = ["", "", "25 %", "50 %", "75 %", *sides, "mL", "mm", "min", ""]
        rows = []
        for r, three in zip(self, self.mismatch_mm()):
            cells = [str(r["stroke"]), r["kind"]]
            cells += ["-" if np.isnan(x) else f"{x:+.2f}" for x in three]
            cells += [f"{r[f'free_air_{s}_ml']:.2f}" for s in sides]
            cells += [f"{r['vented_ml']:.2f}", f"{r['level_mm']:.1f}", f"{r['minutes']:.1f}", r["check"]]
            rows.append(cells)
        return top, low, rows

    def __repr__(self):
        top, low, rows = self._cells()
        width = [max(len(line[i]) for line in (low, *rows)) for i in range(len(low))]
        for i in (0, 1, -4, -3, -2):
            width[i] = max(width[i], len(top[i]))
        lines = ["  ".join(c.rjust(w) for c, w in zip(line, width)).rstrip() for line in (low, *rows)]
        heading, at = "", 0
        for title, w in zip(top, width):  # a title that spans columns starts where its first column does
            if title:
                heading = heading.ljust(at) + (title.rjust(w) if len(title) <= w else title)
            at += w + 2
        return "\n".join([heading, *lines])

    def by_place(self):
        """Free air by place after every stroke [mL], as text; places that never hold any are left out.

        More places than fit into 100 letters go on in another block below.
        """
        place = {
            n[9:-3].replace(".", " ").replace("_", " "): [f"{x:.2f}" for x in v]
            for n, v in self._column.items()
            if n.startswith("free_air_") and "." in n and v.max() >= 0.005
        }
        strokes = {"stroke": [str(n) for n in self["stroke"]]}
        blocks = [dict(strokes)]
        for name, cells in place.items():
            if sum(len(head) + 2 for head in blocks[-1]) + len(name) > 100:
                blocks.append(dict(strokes))
            blocks[-1][name] = cells
        return "\n\n".join(map(text_of, blocks))

    def by_form(self):
        """Air in the circuit by form after every stroke [mL], and the pockets' apparent index, as text."""
        heads = ("pockets and slugs", "coarse bubbles", "fine bubbles", "dissolved")
        cells = {head: [f"{x:.2f}" for x in self[f"{form}_ml"]] for head, form in zip(heads, (*FORMS, "dissolved"))}
        index = ["-" if x is None else f"{x:.3f}" for x in self["apparent_index"]]
        return text_of({"stroke": [str(n) for n in self["stroke"]], **cells, "apparent index": index})

    def _repr_html_(self):
        top, low, rows = self._cells()
        head = "".join(f"<th>{a} {b}</th>" for a, b in zip(top, low))
        body = "".join("<tr>" + "".join(f"<td>{c}</td>" for c in cells) + "</tr>" for cells in rows)
        return f'<table style="text-align:right"><tr>{head}</tr>{body}</table>'
