"""A run as a film: the same columns, rods and mismatch as the page, drawn by matplotlib and made into MP4 by ffmpeg."""

import numpy as np

from .animation import alt_text, film
from .errors import refuse
from .pictures import DARK, FONT, GREY

PER_S = 15               # pictures in a second
SHORTEST_S, LONGEST_S, FASTER = 10.0, 60.0, 8.0   # of the film; how much faster than the run if that fits between
OIL, GAS = "#c08a2d", "#ffffff"


def write(run, path):
    """See `Run.animate`."""
    try:
        from matplotlib import pyplot as plt
        from matplotlib.animation import FFMpegWriter
    except ImportError:
        refuse("path", path, "a film is drawn by matplotlib, which is not installed; .html needs nothing")
    if not FFMpegWriter.isAvailable():
        refuse("path", path, "a film is made by ffmpeg, and no program of that name is there; .html needs nothing")
    data = film(run)
    said = alt_text(run, data)
    scene = Scene(data)
    writer = FFMpegWriter(fps=PER_S, codec="h264", metadata={"title": data["rig"], "comment": said},
                          extra_args=["-pix_fmt", "yuv420p"])   # what common players take
    try:
        with writer.saving(scene.figure, path, dpi=100):
            for k in frames(data["time_s"], data["stages"]):
                scene.show(k)
                writer.grab_frame()
    finally:
        plt.close(scene.figure)


def frames(time_s, stages):
    """For each picture of the film the last sample that is not later.

    Pictures are even in time, but for a second for what is not recorded.
    """
    time_s = np.array(time_s)
    start, end = (np.array([x[i] for x in stages if x[1] > x[0] >= time_s[0]]) for i in (0, 1))
    played = time_s[-1] - time_s[0] - np.sum(end - start)
    faster = played / np.clip(played / FASTER, SHORTEST_S, LONGEST_S)
    along = np.sort(np.concatenate([time_s[:1], start, end, time_s[-1:]]))
    took = np.diff(along) / faster
    took[1::2] = 1.0   # every second stretch is one of those
    film_s = np.concatenate([[0.0], np.cumsum(took)])
    at = np.interp(np.linspace(0, film_s[-1], int(PER_S * film_s[-1]) + 1), film_s, along)
    return np.maximum(np.searchsorted(time_s, at, side="right") - 1, 0)


class Scene:
    """One figure whose parts are moved from sample to sample.

    Attributes
    ----------
    figure : matplotlib.figure.Figure
        1280 by 720 points.
    """

    def __init__(self, data):
        from matplotlib import pyplot as plt

        self.data = data
        self.branches = data["branches"]
        self.rods = np.array([data["axes_mm"][f"{b['name']}.rod"] for b in self.branches])
        self.volume = {p: np.array(x["base_ml"] + x["ml_per_mm"] * np.array(data["axes_mm"].get(x["axis"], 0.0)))
                       * np.ones(len(data["time_s"])) for p, x in data["places"].items()}
        self.figure = plt.figure(figsize=(12.8, 7.2), layout="constrained")
        # two rows, so that the time chart has the whole width
        grid = self.figure.add_gridspec(2, 2, width_ratios=(1, 4.2), height_ratios=(3, 1))
        self.title = self.figure.suptitle("", fontsize=FONT + 2, x=0.01, ha="left")
        self._rods(self.figure.add_subplot(grid[0, 0]))
        self._columns(self.figure.add_subplot(grid[0, 1]))
        self._chart(self.figure.add_subplot(grid[1, :]))
        self.show(0)
        self.figure.canvas.draw()
        self.figure.set_layout_engine("none")   # once is enough: nothing may jump, and a picture takes half the time

    def _rods(self, ax):
        names = [b["name"] for b in self.branches]
        self.bars = ax.bar(range(len(names)), self.rods[:, 0], 0.35, color=DARK)
        (self.tips,) = ax.plot(range(len(names)), self.rods[:, 0], color=DARK, linestyle="--", marker="o", markerfacecolor=GAS)
        ax.set_xticks(range(len(names)), names, rotation=90 if len(names) > 3 else 0)
        ax.set_ylim(0, 1.05 * max(b["stroke_mm"] for b in self.branches))
        ax.set_xlim(-0.6, len(names) - 0.4)
        self._dress(ax, "rods out [mm]")

    def _columns(self, ax):
        from matplotlib.patches import Patch

        def most(names):
            return np.max(sum((self.volume[n] for n in names), np.zeros(1)))

        lead = max(most(b["before"]) for b in self.branches)
        rows = [(b["name"], b["before"], b["after"]) for b in self.branches] + [("", [], self.data["shared"])]
        self.columns = []
        longest = max(lead + most(b["after"]) for b in self.branches)
        self.thin_ml = longest / 1000   # about a pixel; a line would pass for a wall
        smaller = max(int(np.ceil(most(self.data["shared"]) / longest - 1e-3)), 1)   # a drive chamber of many branches
        for row, (name, before, after) in enumerate(rows):
            height = 0.55 if row < len(self.branches) else 0.3
            oil = ax.barh([row] * len(before + after), 1.0, height, color=OIL, edgecolor=DARK)
            gas = ax.barh([row] * len(before + after), 1.0, height, color=GAS, edgecolor=DARK, hatch="///", linewidth=0.7)
            # a rod's piston stands before its rod chamber, a metering piston before its own
            metal = {p: ax.plot([0, 0], [row - 0.38, row + 0.38], color=DARK, linewidth=6, solid_capstyle="butt")[0]
                     for p in before + after if p.endswith(("rod_chamber", "metering_chamber"))}
            total = ax.text(0, row, "", fontsize=FONT, va="center")
            own = (lead, 1) if row < len(self.branches) else (0.0, smaller)
            self.columns.append((before, after, *own, oil, gas, metal, total))
        scale = f"\nat 1/{smaller}" if smaller > 1 else ""
        ax.set_yticks(range(len(rows)), [name or f"valve\nblock{scale}" for name, *_ in rows])
        ax.set_ylim(len(rows) - 0.4, -0.6)
        ax.set_xlim(-0.02 * longest, 1.16 * longest)   # room for the sums
        self._dress(ax, "")
        ax.set_xlabel("volume [mL]; gas as large as it is now, drawn in the middle of its place", fontsize=FONT)
        keys = (Patch(facecolor=OIL, edgecolor=DARK, label="oil"), Patch(facecolor=GAS, edgecolor=DARK, hatch="///", label="gas"),
                Patch(facecolor=DARK, label="piston"))
        order = [self.data["places"][p]["label"] for p in self.columns[0][0] + self.columns[0][1]]
        ax.set_title("from the left: " + " | ".join(order), fontsize=FONT, loc="left")
        ax.legend(handles=keys, fontsize=FONT, frameon=False, ncols=3, loc="lower right")

    def _chart(self, ax):
        time_s = self.data["time_s"]
        if len(self.rods) == 2:
            value, name = self.rods[0] - self.rods[1], f"rods apart [mm]\n+ = {self.branches[0]['name']} ahead"
        elif len(self.rods) > 2:
            value, name = np.ptp(self.rods, axis=0), "rods apart [mm]\nlargest less smallest"
        else:
            value, name = self.rods[0], "rod out [mm]"
        ax.plot(time_s, value, color=DARK, linewidth=1.6, label="in the run")
        ax.set_ylim(np.min(value) - 0.1 * np.ptp(value) - 0.1, np.max(value) + 0.6 * np.ptp(value) + 0.1)   # room for the key
        known = [r for r in self.data["readings"] if r["mm"] is not None] if len(self.rods) > 1 else []
        if known:
            ax.plot([r["time_s"] for r in known], [r["mm"] for r in known], color=DARK, linestyle="none", marker="o",
                    markersize=8, markerfacecolor=GAS, label=f"read in check strokes, {self.data['where']}")
            ax.legend(fontsize=FONT, frameon=False, ncols=2, loc="upper right")
        self.cursor = ax.axvline(time_s[0], color=GREY, linewidth=2)
        ax.set_xlim(time_s[0], max(time_s[-1], time_s[0] + 1e-3))
        ax.set_xlabel("time [s]", fontsize=FONT)
        self._dress(ax, name)

    @staticmethod
    def _dress(ax, ylabel):
        ax.set_ylabel(ylabel, fontsize=FONT)
        ax.tick_params(labelsize=FONT)
        for side in ("top", "right"):
            ax.spines[side].set_visible(False)

    def show(self, k):
        """Moves everything to sample k."""
        for bar, mm in zip(self.bars, self.rods[:, k]):
            bar.set_height(mm)
        self.tips.set_ydata(self.rods[:, k])
        for before, after, origin, smaller, oil, gas, metal, total in self.columns:
            x = origin - sum(self.volume[p][k] for p in before)
            for place, full, free in zip(before + after, oil, gas):
                ml = max(self.volume[place][k], 0.0) / smaller
                drawn = min(self.data["places"][place]["gas_ml"][k] / smaller, ml)
                if place in metal:
                    metal[place].set_xdata([x, x])
                full.set(x=x, width=ml)
                free.set(x=x + (ml - drawn) / 2, width=drawn, visible=drawn > self.thin_ml)
                x += ml
            total.set(x=x, text=f"  gas {sum(self.data['places'][p]['gas_ml'][k] for p in before + after):.2f} mL")
        at = self.data["time_s"][k]
        self.cursor.set_xdata([at, at])
        doing = [text for start, _, text in self.data["stages"] if start <= at + 1e-6]
        self.title.set_text(f"{self.data['rig']}: {at // 60:.0f} min {at % 60:04.1f} s, {doing[-1] if doing else 'start'}")
