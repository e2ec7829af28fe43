"""The picture of an explanation: stacked bars, what adds above the line and what takes off below it."""

import numpy as np

from . import pictures
from .tables import STATIONS

FILLS = (   # colour and hatching, any two told apart without colour; the last is the rest's
    ("#1f6fb4", ""), ("#f2a65a", "///"), ("#bdbdbd", ""), ("#a8d0ee", "..."), ("#fbe3c4", "\\\\\\"), ("#8c8c8c", "---"),
    ("#ffffff", "xx"), ("#d4c29c", "|||"), ("#d9730d", "++"), ("#ffffff", ""),
)  # fmt: skip
WIDTH = 0.6


def alt_text(told):
    """The point of the picture in words."""
    return f"Two charts of stacked bars over bleed strokes: each cause's part of the rods' mismatch. {told!r}"


def _layers(told):
    """Parts where each stroke reads most, shape (causes + rest, strokes), and the totals; 0 and NaN where not split."""
    at = [told.worst(i) for i in range(len(told.strokes))]
    rows = range(len(told.strokes))
    parts = np.vstack([told.mm[rows, at].T, told.rest_mm[rows, at]])
    lost = np.isnan(parts).any(axis=0)
    return np.where(lost, 0.0, parts), np.where(lost, np.nan, told.total_mm[rows, at]), at


def _bars(ax, parts, total, names):
    x = np.arange(len(total))
    up, down = np.zeros(len(total)), np.zeros(len(total))
    looks = [*FILLS[: len(names) - 1], FILLS[-1]]
    for name, values, (colour, hatch) in zip(names, parts, looks):
        ax.bar(
            x, values, WIDTH, bottom=np.where(values >= 0, up, down), color=colour, hatch=hatch, edgecolor=pictures.DARK,
            linewidth=0.6, label=name,
        )  # fmt: skip
        up, down = up + np.maximum(values, 0), down + np.minimum(values, 0)
    ax.plot(
        x + 0.42, total, linestyle="none", marker="<", markersize=11, color=pictures.DARK, markerfacecolor="white",
        markeredgewidth=1.6, label="the mismatch, all together",
    )  # fmt: skip
    ax.axhline(0, color=pictures.DARK, linewidth=1)
    return up, down


def plot_explanation(told, ax=None):
    """See `Explanation.plot`."""
    axes = pictures.figure(2, 9.5)[1] if ax is None else tuple(ax)
    if len(axes) != 2:
        raise ValueError("ax: an explanation is drawn into two axes, one above the other")
    axes[0].figure.alt_text = alt_text(told)
    parts, total, at = _layers(told)
    names = [*told.names, "rest, all of these switched off"]
    size = np.abs(parts).sum(axis=0)
    whole = np.where(size > 0, size, 1.0)
    sign = f", + = {told._branches[0]} ahead" if len(told._branches) == 2 else ""
    where = "under the panel" if told.deciding == "load" else "rods free"
    up, down = _bars(axes[0], parts, total, names)
    pictures.dress(axes[0], f"mismatch [mm]{sign}", f"Causes of the rods' mismatch in a check stroke, {where}")
    room = max(up.max() - down.min(), 1e-3)
    axes[0].set_ylim(down.min() - 0.06 * room, up.max() + 0.16 * room)
    for x, (mm, top) in enumerate(zip(total, up)):
        text = "no reading" if np.isnan(mm) else f"{mm:+.2f} mm"
        axes[0].text(x, top + 0.03 * room, text, ha="center", fontsize=pictures.FONT)
    _bars(axes[1], 100 * parts / whole, 100 * total / whole, names)
    pictures.dress(axes[1], f"share of the parts [%]{sign}", "The same in shares, to see small ones")
    axes[1].set_ylim(-108, 108)
    ticks = [f"{n}\nat {STATIONS[a]} %" for n, a in zip(told.strokes, at)]
    for one in axes:
        one.set_xlim(-0.6, len(ticks) - 0.4)
        one.set_xticks(range(len(ticks)), ticks)
    axes[1].set_xlabel(
        "bleed stroke (0 = before the first), and the share of the travel where it reads most", fontsize=pictures.FONT
    )
    axes[1].legend(fontsize=pictures.FONT, frameon=False, loc="upper center", bbox_to_anchor=(0.5, -0.24), ncols=2)
    return axes
