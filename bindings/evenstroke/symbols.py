"""Symbols of hydraulic parts as SVG text, in the manner of ISO 1219-1, drawn here: black on white, units of the picture.

Lines come in and go out vertically unless a symbol says otherwise; y counts downwards.
"""

from html import escape


def _points(points):
    return " ".join(f"{x:g},{y:g}" for x, y in points)


def line(*points, dash=False):
    style = ' class="pilot"' if dash else ""
    return f'<polyline{style} points="{_points(points)}"/>'


def dot(x, y):
    return f'<circle class="full" cx="{x:g}" cy="{y:g}" r="4"/>'


def circle(x, y, r):
    return f'<circle cx="{x:g}" cy="{y:g}" r="{r:g}"/>'


def box(x, y, w, h):
    return f'<rect x="{x:g}" y="{y:g}" width="{w:g}" height="{h:g}"/>'


def solid(*points):
    return f'<polygon class="full" points="{_points(points)}"/>'


def label(x, y, text, anchor="start", bold=False):
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}"{weight}>{escape(text)}</text>'


def group(kind, name, *parts):
    """A symbol with its name, which a reader aloud says."""
    return f'<g class="{kind}"><title>{escape(name)}</title>{"".join(parts)}</g>'


def reservoir(x, y, half=16):
    walls = ((x - half, y - 10), (x - half, y + 8), (x + half, y + 8), (x + half, y - 10))
    return group("reservoir", "reservoir", line(*walls))


def check(x, y, way=-1, name="check valve"):
    """Lets oil through upwards (way -1) or downwards (1); its line goes from y - 12 to y + 12."""
    seat, ball = y - way * 10, y + way * 7
    return group(
        "check", name, line((x, y - way * 12), (x, seat)), line((x, y + way * 12), (x, ball)), circle(x, y, 7),
        line((x - 11, y + way * 2), (x, seat), (x + 11, y + way * 2)),
    )  # fmt: skip


def throttle(x, y, name="restrictor"):
    arcs = [f'<path d="M{x + s * 11:g},{y - 11:g} Q{x + s * 2:g},{y:g} {x + s * 11:g},{y + 11:g}"/>' for s in (-1, 1)]
    return group("throttle", name, line((x, y - 14), (x, y + 14)), *arcs)


def shut_off(x, y, name):
    corners = ((x - 11, y - 17), (x + 11, y - 17), (x - 11, y + 17), (x + 11, y + 17))
    return group("bypass", name, f'<polygon class="white" points="{_points(corners)}"/>')


def pressure_valve(x, y, name, kind, pilot=None):
    """Shut until the pressure above it, or that along `pilot`, opens it; down through it; spring at its right."""
    spring = [(x + 17 + 4 * i, y + (-6 if i % 2 else 6)) for i in range(6)]
    own = kind != "shuttle"
    load = line((x, y - 24), (x - 25, y - 24), (x - 25, y), (x - 17, y), dash=True) if own else ""
    other = line(*pilot, (x - 17, pilot[-1][1]), dash=True) if pilot else ""
    arrow = line((x - 7, y - 17), (x - 7, y + 17)) + solid((x - 7, y + 17), (x - 12, y + 7), (x - 2, y + 7))
    return group(
        kind, name, line((x, y - 34), (x, y - 17)), line((x, y + 17), (x, y + 34)), box(x - 17, y - 17, 34, 34),
        arrow, line(*spring), load, other,
    )  # fmt: skip


def pump(x, y, both=False):
    up = solid((x, y - 24), (x - 10, y - 8), (x + 10, y - 8))
    sides = [solid((x + s * 24, y), (x + s * 8, y - 10), (x + s * 8, y + 10)) for s in (-1, 1)]
    return group("pump", "pump, both ways" if both else "pump", circle(x, y, 24), *(sides if both else [up]))


def motor(x, y):
    return group("motor", "electric motor", circle(x, y, 22), label(x, y + 6, "M", "middle"))


def shaft(a, b, y):
    return group("shaft", "shaft or carriage", line((a, y - 3), (b, y - 3)), line((a, y + 3), (b, y + 3)))


def cylinder(x, name, top=52, low=178, cap=164, rod=66):
    """Double-acting; its cap line comes up at x, its rod line goes down at x + 80; `cap` and `rod`: heights of its ports."""
    middle, piston = x + 40, 120
    short = name if len(name) <= 21 else f"{name[:20]}…"
    rod_walls = ((middle - 5, piston), (middle - 5, 24), (middle + 5, 24), (middle + 5, piston))
    return group(
        "cylinder", f"{name} cylinder", box(middle - 24, top, 48, low - top), line(*rod_walls),
        line((middle - 24, piston), (middle + 24, piston)), line((middle - 24, piston + 8), (middle + 24, piston + 8)),
        line((middle - 24, cap), (x, cap)), line((middle + 24, rod), (x + 80, rod)), label(middle, 15, short, "middle", True),
    )  # fmt: skip


def joint(x, y, tag, side=-1):
    """A joint that is taken apart; its tag at its left (-1) or right (1)."""
    gap = f'<rect class="gap" x="{x - 8:g}" y="{y - 4:g}" width="16" height="8"/>'
    ends = [line((x - 9, y + s * 4), (x + 9, y + s * 4)) for s in (-1, 1)]
    return group("joint", f"joint {tag}", gap, *ends, label(x + side * 13, y + 6, tag, "end" if side < 0 else "start", True))


def bleed_point(x, y, place, used):
    """Where a bleed screw can sit, small and open; one that is used, large and full."""
    kind, size = ("bleed used", 8) if used else ("bleed", 5)
    said = escape(f"bleed point: {place}")
    return f'<circle class="{kind}" cx="{x:g}" cy="{y:g}" r="{size}"><title>{said}</title></circle>'
