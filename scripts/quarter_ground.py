"""The drawn ground of the sample quarter: streets, blocks, curbs, without any error of measurement.

make_quarter.py writes it to files, trace_quarter.py finds where its water goes. Metres, from the south-west corner of
the raster. Levels are above BASE. Every street is drawn in its own frame: t along it, u across it (+ to the left of
growing t for streets that run north, see Street), gutter level g(t) at both curb faces, crown in the middle.
"""
import math

import numpy as np

CELL = 0.5
WIDTH, HEIGHT = 800.0, 600.0
WEST, SOUTH = 433000.0, 3705000.0  # EPSG:32612
BASE = 760.0
RETURN_RADIUS = 4.0
MOUTH = 12.0        # a side street takes up its own crown over this length
WARP = 28.0         # and loses the tilt of the street that it opens onto over this one
LIP_HEIGHT = 0.06   # rise of the pavement behind a valley gutter
LIP = 0.025         # of a driveway above the gutter
X = [60.0, 230.0, 400.0, 570.0, 740.0]
Y = [60.0, 180.0, 300.0, 420.0, 540.0]
COLUMNS = ["Adobe Lane", "Lantern Street", "Cistern Street", "Windlass Street", "Quarry Street"]
ROWS = ["Mesquite Street", "Kiln Street", "Sorrel Street", "Saltbush Street", "Ridge Street"]
HALF_X = [5.0, 5.0, 5.0, 4.5, 5.0]
HALF_Y = [6.0, 5.0, 5.0, 5.0, 4.5]
CROWN_X = [0.020, 0.030, 0.020, 0.025, 0.035]
CROWN_Y = [0.020, 0.015, 0.020, 0.030, 0.025]
# Gutter level at the crossings: rows south to north, columns west to east.
LEVEL = np.array([[0.00, 3.40, 5.10, 5.95, 7.65],
                  [2.20, 3.90, 4.41, 5.26, 8.90],
                  [3.85, 4.70, 5.55, 6.40, 9.60],
                  [4.51, 5.60, 8.42, 10.12, 11.82],
                  [8.91, 8.40, 10.10, 11.80, 13.50]])
TURN_LEVEL = {"NW": (8.86, 8.91), "NE": (13.45, 13.50), "SE": (7.85, 7.65)}  # north-south street, east-west street
SORREL_SAG = (460.0, 5.25)     # x, level; between Cistern Street and Windlass Street; inlets on both sides
SALTBUSH_SAG = (610.0, 9.92)   # between Windlass Street and Quarry Street; no inlet
SALTBUSH_FOOT = (97.0, 5.05)   # steeper where it meets the 4 % of Adobe Lane
BULB_Y, BULB_RADIUS, BULB_GRADE = 375.0, 11.0, 0.012  # the dead end of Cistern Street north of Sorrel Street
ALLEYS = [  # inverted crown, unpaved: block column, block row, y of its low line, falls toward
    (0, 1, 240.0, "west"),
    (3, 0, 120.0, "west"),
]
ALLEY_HALF, ALLEY_SLOPE = 2.5, 0.03
HIGH_SIDE_LEG = (3, 3)  # Windlass Street between Saltbush and Ridge: one fall, low on the east side


def smooth(t):
    t = np.clip(t, 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


class Street:
    """One straight street. axis 'x': t = x, u = y − fixed; axis 'y': t = y, u = x − fixed."""

    def __init__(self, name, axis, fixed, half, crown, knots):
        self.name, self.axis, self.fixed, self.half, self.crown = name, axis, fixed, half, crown
        self.knots = knots
        self.t0, self.t1 = knots[0][0], knots[-1][0]
        self.mouths = []      # (t of the gutter line it opens onto, +1 or −1 inwards, that street, lip height)
        self.one_fall = None  # sign of u on the low side
        self.bulb = None      # t of its centre

    def gutter(self, t):
        return np.interp(t, [k[0] for k in self.knots], [k[1] for k in self.knots])

    def frame(self, x, y):
        return (x, y - self.fixed) if self.axis == "x" else (y, x - self.fixed)

    def covers(self, x, y):
        t, u = self.frame(x, y)
        wide = np.full_like(t, self.half)
        for t_line, inward, _, _ in self.mouths:
            wide = np.where(np.abs(t - t_line) <= RETURN_RADIUS + 0.01, self.half + RETURN_RADIUS + 0.01, wide)
        here = (t >= self.t0 - 1e-9) & (t <= self.t1 + 1e-9) & (np.abs(u) <= wide + 1e-9)
        if self.bulb is not None:
            here |= np.hypot(t - self.bulb, u) <= BULB_RADIUS + 1e-9
        return here

    def level(self, x, y):
        t, u = self.frame(x, y)
        u = np.clip(u, -self.half, self.half) if self.bulb is None else u
        own = np.ones_like(t)
        z = self.gutter(t)
        for t_line, inward, other, lip in self.mouths:
            d = np.maximum((t - t_line) * inward, 0.0)
            f = smooth(d / MOUTH)
            own = own * f
            across = (x if self.axis == "y" else y)
            z = z + (1.0 - smooth(d / WARP)) * (other.gutter(across) - other.gutter(np.full_like(t, self.fixed)))
            z = z + lip * smooth((d - 0.3) / 1.2) * (1.0 - smooth((d - 1.5) / 6.5))
        if self.one_fall is not None:
            return z + own * self.crown * (self.half - self.one_fall * u)
        inside = self.half - np.abs(u)
        if self.bulb is not None:
            z = z + BULB_GRADE * np.maximum(t - self.t1, 0.0)
            inside = np.maximum(inside, 0.0) if self.bulb is None else np.where(t <= self.t1, inside, 0.0)
            inside = np.clip(np.maximum(inside, BULB_RADIUS - np.hypot(t - self.bulb, u)), 0.0, self.half)
        return z + own * self.crown * inside


class Turn:
    """A street that goes round a corner of 90°: two arcs about `centre`; levels run evenly with the angle."""

    def __init__(self, name, centre, toward, half, crown, levels):
        self.name, self.centre, self.toward = name, centre, toward
        self.half, self.crown, self.levels = half, crown, levels

    def polar(self, x, y):
        dx, dy = (x - self.centre[0]) * self.toward[0], (y - self.centre[1]) * self.toward[1]
        return np.hypot(dx, dy), np.arctan2(dy, dx)

    def covers(self, x, y):
        dx, dy = (x - self.centre[0]) * self.toward[0], (y - self.centre[1]) * self.toward[1]
        r = np.hypot(dx, dy)
        outer = RETURN_RADIUS + self.half[0] + self.half[1]
        return (dx >= -1e-9) & (dy >= -1e-9) & (r <= outer + 2.0)

    def level(self, x, y):
        r, angle = self.polar(x, y)
        part = np.clip(angle / (math.pi / 2.0), 0.0, 1.0)   # 0 on the north-south street, 1 on the east-west street
        wide = 2.0 * (self.half[0] + (self.half[1] - self.half[0]) * part)
        crown = self.crown[0] + (self.crown[1] - self.crown[0]) * part
        inside = np.clip(np.minimum(r - RETURN_RADIUS, RETURN_RADIUS + wide - r), 0.0, None)
        return self.levels[0] + (self.levels[1] - self.levels[0]) * part + crown * inside


def outer_radius(turn, angle):
    part = angle / (math.pi / 2.0)
    return RETURN_RADIUS + 2.0 * (turn.half[0] + (turn.half[1] - turn.half[0]) * part)


class Corner:
    """What was planned where a side street opens: the decision for water in the gutter of the street that goes through."""

    def __init__(self, name, kind, start, end, margin):
        self.name, self.kind, self.start, self.end, self.margin = name, kind, start, end, margin


def build_streets():
    r = RETURN_RADIUS
    rows, columns = {}, {}
    for j in (1, 2, 3):
        knots = [(X[0] + HALF_X[0], LEVEL[j][0])] + [(X[c], LEVEL[j][c]) for c in (1, 2, 3)] + [(X[4] - HALF_X[4], LEVEL[j][4])]
        if j == 2:
            knots.insert(3, SORREL_SAG)
        if j == 3:
            knots.insert(4, SALTBUSH_SAG)
            knots.insert(1, SALTBUSH_FOOT)
        rows[j] = Street(ROWS[j], "x", Y[j], HALF_Y[j], CROWN_Y[j], knots)
    rows[0] = Street(ROWS[0], "x", Y[0], HALF_Y[0], CROWN_Y[0],
                     [(0.0, LEVEL[0][0] - 0.02 * X[0])] + [(X[c], LEVEL[0][c]) for c in (0, 1, 2, 3)]
                     + [(X[4] - HALF_X[4] - r, TURN_LEVEL["SE"][1])])
    rows[4] = Street(ROWS[4], "x", Y[4], HALF_Y[4], CROWN_Y[4],
                     [(X[0] + HALF_X[0] + r, TURN_LEVEL["NW"][1])] + [(X[c], LEVEL[4][c]) for c in (1, 2, 3)]
                     + [(X[4] - HALF_X[4] - r, TURN_LEVEL["NE"][1])])
    columns[0] = Street(COLUMNS[0], "y", X[0], HALF_X[0], CROWN_X[0],
                        [(Y[0] + HALF_Y[0], LEVEL[0][0])] + [(Y[j], LEVEL[j][0]) for j in (1, 2, 3)]
                        + [(Y[4] - HALF_Y[4] - r, TURN_LEVEL["NW"][0])])
    columns[4] = Street(COLUMNS[4], "y", X[4], HALF_X[4], CROWN_X[4],
                        [(Y[0] + HALF_Y[0] + r, TURN_LEVEL["SE"][0])] + [(Y[j], LEVEL[j][4]) for j in (1, 2, 3)]
                        + [(Y[4] - HALF_Y[4] - r, TURN_LEVEL["NE"][0])])
    legs = {}
    for c in (1, 2, 3):
        for j in range(4):
            lo, hi = Y[j] + HALF_Y[j], Y[j + 1] - HALF_Y[j + 1]
            if (c, j) == (2, 2):
                leg = Street(COLUMNS[c], "y", X[c], HALF_X[c], CROWN_X[c],
                             [(lo, LEVEL[j][c]), (BULB_Y, LEVEL[j][c] + BULB_GRADE * (BULB_Y - lo))])
                leg.bulb = BULB_Y
            else:
                leg = Street(COLUMNS[c], "y", X[c], HALF_X[c], CROWN_X[c], [(lo, LEVEL[j][c]), (hi, LEVEL[j + 1][c])])
            legs[c, j] = leg
    stub_top = Y[0] - HALF_Y[0]
    legs[2, -1] = Street(COLUMNS[2], "y", X[2], HALF_X[2], CROWN_X[2],
                         [(0.0, LEVEL[0][2] - 0.02 * stub_top), (stub_top, LEVEL[0][2])])
    legs[HIGH_SIDE_LEG].one_fall = 1.0
    turns = [Turn("NW", (X[0] + HALF_X[0] + r, Y[4] - HALF_Y[4] - r), (-1.0, 1.0), (HALF_X[0], HALF_Y[4]),
                  (CROWN_X[0], CROWN_Y[4]), TURN_LEVEL["NW"]),
             Turn("NE", (X[4] - HALF_X[4] - r, Y[4] - HALF_Y[4] - r), (1.0, 1.0), (HALF_X[4], HALF_Y[4]),
                  (CROWN_X[4], CROWN_Y[4]), TURN_LEVEL["NE"]),
             Turn("SE", (X[4] - HALF_X[4] - r, Y[0] + HALF_Y[0] + r), (1.0, -1.0), (HALF_X[4], HALF_Y[0]),
                  (CROWN_X[4], CROWN_Y[0]), TURN_LEVEL["SE"])]
    return rows, columns, legs, turns


# Mouths where the side street falls away from the street that goes through, and a valley gutter keeps the water on it.
VALLEY = {("Kiln Street", "south", 1), ("Saltbush Street", "south", 1), ("Mesquite Street", "south", 2),
          ("Mesquite Street", "north", 3), ("Quarry Street", "west", 1)}


def open_mouths(rows, columns, legs):
    """Joins the side streets to the streets that go through. Returns the corners with what was planned at each."""
    corners = []

    def mouth(side_street, through, t_line, inward, side, index):
        falls_away = side_street.gutter(t_line + 5.0 * inward) < side_street.gutter(t_line)
        valley = (through.name, side, index) in VALLEY
        assert falls_away or not valley
        kind = "valley" if valley else ("turn" if falls_away else "cross")
        side_street.mouths.append((t_line, inward, through, LIP_HEIGHT if valley else 0.0))
        centre = side_street.fixed
        reach = side_street.half + RETURN_RADIUS
        ahead = 1.0 if through.gutter(centre + reach) < through.gutter(centre - reach) else -1.0
        low = through.gutter(centre + reach) < through.gutter(centre) and through.gutter(centre - reach) < through.gutter(centre)
        basin = through.gutter(centre + reach) > through.gutter(centre) and through.gutter(centre - reach) > through.gutter(centre)
        line = t_line - 0.3 * inward
        start, end = centre - ahead * reach, centre + ahead * (reach + 1.0)
        place = (lambda a: (a, line)) if through.axis == "x" else (lambda a: (line, a))
        # What decides: how far the way not taken lies above the gutter, 4 m into the side street (or over the lip).
        margin = abs(side_street.gutter(t_line + 4.0 * inward) - side_street.gutter(t_line)) if not valley else LIP_HEIGHT
        if basin or low:
            kind = "turn" if falls_away else "high"
        corners.append(Corner(f"{through.name} at {side_street.name} {side}", kind, place(start), place(end), float(margin)))

    for (c, j), leg in sorted(legs.items()):
        if j == -1:
            mouth(leg, rows[0], leg.t1, -1.0, "south", c)
            continue
        mouth(leg, rows[j], leg.t0, 1.0, "north", c)
        if leg.bulb is None:
            mouth(leg, rows[j + 1], leg.t1, -1.0, "south", c)
    for j in (1, 2, 3):
        mouth(rows[j], columns[0], rows[j].t0, 1.0, "east", j)
        mouth(rows[j], columns[4], rows[j].t1, -1.0, "west", j)
    mouth(columns[0], rows[0], columns[0].t0, 1.0, "north", 0)
    return corners


def street_level(streets, x, y):
    """Level of the pavement; nan where no street is drawn. Later streets win where they overlap (side streets)."""
    z = np.full(x.shape, np.nan)
    for street in streets:
        here = street.covers(x, y)
        z[here] = street.level(x[here], y[here])
    return z


# ---- faces and rings ----------------------------------------------------------------------------------------------

class Face:
    """One straight curb, the street on its right hand; `kind`, `height` and the strip behind it."""

    def __init__(self, p, q, street, side, kind="vertical", height=None, stated=False, walk=2.2, fall=False):
        self.p, self.q, self.street, self.side = p, q, street, side
        self.kind, self.walk, self.fall, self.stated = kind, walk, fall, stated
        self.height = height if height is not None else {"vertical": 0.15, "rolled": 0.10, "none": 0.0}[kind]
        self.length = math.dist(p, q)
        self.gaps = []       # (from, to, "driveway" or "alley")
        self.name = None

    def at(self, s, off=0.0):
        """Point s along the curb, `off` to the left (into the lots; negative: into the street)."""
        ux, uy = (self.q[0] - self.p[0]) / self.length, (self.q[1] - self.p[1]) / self.length
        return (self.p[0] + s * ux - off * uy, self.p[1] + s * uy + off * ux)

    def project(self, x, y):
        ux, uy = (self.q[0] - self.p[0]) / self.length, (self.q[1] - self.p[1]) / self.length
        s = np.clip((x - self.p[0]) * ux + (y - self.p[1]) * uy, 0.0, self.length)
        return s, np.hypot(x - self.p[0] - s * ux, y - self.p[1] - s * uy)


class Bulb(Face):
    """The round end of the dead end: an arc, the street inside."""

    def __init__(self, centre, radius, start, end, street, side):
        self.centre, self.radius, self.start, self.end = centre, radius, start, end
        self.street, self.side, self.kind, self.walk, self.fall, self.stated = street, side, "vertical", 2.2, False, False
        self.height, self.gaps, self.name = 0.15, [], None
        self.length = radius * abs(end - start)

    def at(self, s, off=0.0):
        a = self.start + (self.end - self.start) * s / self.length
        return (self.centre[0] + (self.radius + off) * math.cos(a), self.centre[1] + (self.radius + off) * math.sin(a))

    def project(self, x, y):
        a = np.arctan2(y - self.centre[1], x - self.centre[0])
        turn = np.mod(self.start - a + math.pi, 2 * math.pi) - math.pi   # runs clockwise
        s = np.clip(np.where(turn < -0.47, turn + 2 * math.pi, turn) * self.radius, 0.0, self.length)
        ang = self.start - s / self.radius
        return s, np.hypot(x - self.centre[0] - self.radius * np.cos(ang), y - self.centre[1] - self.radius * np.sin(ang))


def arc(cx, cy, radius, a0, a1, step=0.6):
    n = max(4, int(abs(a1 - a0) * radius / step))
    return [(cx + radius * math.cos(a0 + (a1 - a0) * k / n), cy + radius * math.sin(a0 + (a1 - a0) * k / n)) for k in range(n + 1)]


def fillet(p, corner, q, radius):
    """Arc that rounds the right-angled corner between p→corner and corner→q."""
    a = ((p[0] - corner[0]) / math.dist(p, corner), (p[1] - corner[1]) / math.dist(p, corner))
    b = ((q[0] - corner[0]) / math.dist(q, corner), (q[1] - corner[1]) / math.dist(q, corner))
    cx, cy = corner[0] + radius * (a[0] + b[0]), corner[1] + radius * (a[1] + b[1])
    s = math.atan2(corner[1] + radius * a[1] - cy, corner[0] + radius * a[0] - cx)
    e = math.atan2(corner[1] + radius * b[1] - cy, corner[0] + radius * b[0] - cx)
    e = s + (e - s + math.pi) % (2 * math.pi) - math.pi
    return arc(cx, cy, radius, s, e)


class Block:
    def __init__(self, name, faces, outside=False, closing=None):
        self.name, self.faces, self.outside, self.closing = name, faces, outside, closing or []
        self.alley = None


def curb_of(street_name, side, index=None):
    if street_name == "Saltbush Street":
        return {"kind": "rolled"}
    if street_name == "Lantern Street":
        return {"height": 0.13, "stated": True}
    if (street_name, side) == ("Mesquite Street", "south"):   # much asphalt has been laid on this street; its low side
        return {"height": 0.07, "stated": True}
    return {}


# No strip: the walk lies at the curb.
WALK_AT_CURB = {("Kiln Street", "north", 1), ("Cistern Street", "east", 0), ("Sorrel Street", "south", 3)}


def build_blocks():
    r = RETURN_RADIUS
    blocks = []

    def face(p, q, street, side, index, **more):
        spec = dict(curb_of(street, side, index))
        if (street, side, index) in WALK_AT_CURB:
            spec["walk"] = 0.0
        spec.update(more)
        return Face(p, q, street, side, **spec)

    def box(i, j, i2):
        return X[i] + HALF_X[i], Y[j] + HALF_Y[j], X[i2] - HALF_X[i2], Y[j + 1] - HALF_Y[j + 1]

    for j in range(4):
        for i in range(4):
            if (i, j) == (2, 2):
                continue
            i2 = 3 if (i, j) == (1, 2) else i + 1
            w, s, e, n = box(i, j, i2)
            south = [face((w + r, s), (e - r, s), ROWS[j], "north", i)]
            if i2 == i + 2:
                left, right = X[2] - HALF_X[2], X[2] + HALF_X[2]
                foot = math.sqrt(BULB_RADIUS ** 2 - HALF_X[2] ** 2)
                open_angle = math.atan2(-foot, -HALF_X[2])
                south = [face((w + r, s), (left - r, s), ROWS[j], "north", 1),
                         face((left, s + r), (left, BULB_Y - foot), COLUMNS[2], "west", 2),
                         Bulb((X[2], BULB_Y), BULB_RADIUS, open_angle, open_angle - (2 * math.pi - 2 * (math.pi / 2 - math.atan2(foot, HALF_X[2]))),
                              COLUMNS[2], "north"),
                         face((right, BULB_Y - foot), (right, s + r), COLUMNS[2], "east", 2),
                         face((right + r, s), (e - r, s), ROWS[j], "north", 2)]
            faces = south + [face((e, s + r), (e, n - r), COLUMNS[i2], "west", j)]
            faces += [face((e - r, n), (w + r, n), ROWS[j + 1], "south", i), face((w, n - r), (w, s + r), COLUMNS[i], "east", j)]
            block = Block(f"block-{i + 1}{j + 1}", faces)
            for ai, aj, ay, toward in ALLEYS:
                if (ai, aj) == (i, j):
                    block.alley = (ay, toward, w, e)
            blocks.append(block)
    west, east = X[0] - HALF_X[0], X[4] + HALF_X[4]
    south, north = Y[0] - HALF_Y[0], Y[4] + HALF_Y[4]
    stub_n, left, right = Y[0] + HALF_Y[0], X[2] - HALF_X[2], X[2] + HALF_X[2]
    o1 = [face((0.0, stub_n), (west - r, stub_n), ROWS[0], "north", -1),
          face((west, stub_n + r), (west, 190.0), COLUMNS[0], "west", 0),
          face((west, 190.0), (west, 290.0), COLUMNS[0], "west", 1, kind="none"),
          face((west, 290.0), (west, Y[4] - HALF_Y[4] - r), COLUMNS[0], "west", 2),
          face((X[0] + HALF_X[0] + r, north), (X[4] - HALF_X[4] - r, north), ROWS[4], "north", 0),
          face((east, Y[4] - HALF_Y[4] - r), (east, Y[0] + HALF_Y[0] + r), COLUMNS[4], "east", 0),
          face((X[4] - HALF_X[4] - r, south), (right + r, south), ROWS[0], "south", 2, fall=True),
          face((right, south - r), (right, 0.0), COLUMNS[2], "east", -1)]
    o2 = [face((left, 0.0), (left, south - r), COLUMNS[2], "west", -1),
          face((left - r, south), (0.0, south), ROWS[0], "south", 0, fall=True)]
    blocks.append(Block("outside-1", o1, True, [(WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT)]))
    blocks.append(Block("outside-2", o2, True, [(0.0, 0.0)]))
    return blocks


def ring_points(block, turns):
    """(points, face index of each) of a block's curb: faces joined by corner returns, split in their middle."""
    pts, owner = [], []
    faces = block.faces
    count = len(faces)
    joints = count if not block.outside else count - 1
    by_name = {t.name: t for t in turns}
    for k, f in enumerate(faces):
        steps = max(1, int(round(f.length / 0.5)))
        line = [f.at(f.length * i / steps) for i in range(steps + 1)]
        pts += line
        owner += [k] * len(line)
        if k >= joints:
            continue
        g = faces[(k + 1) % count]
        end, start = f.at(f.length), g.at(0.0)
        if math.dist(end, start) < 1e-6:
            pts.pop()
            owner.pop()
            continue
        if isinstance(f, Bulb) or isinstance(g, Bulb):
            continue
        curve = None
        for t in by_name.values():
            if block.outside and math.dist(end, t.centre) < 17.0 and math.dist(start, t.centre) < 17.0:
                angles = np.linspace(0.0, math.pi / 2, 24)
                curve = [(t.centre[0] + t.toward[0] * outer_radius(t, a) * math.cos(a),
                          t.centre[1] + t.toward[1] * outer_radius(t, a) * math.sin(a)) for a in angles]
                if math.dist(curve[0], end) > math.dist(curve[-1], end):
                    curve.reverse()
        if curve is None:
            along = f.p[1] == f.q[1]
            corner = (start[0], end[1]) if along else (end[0], start[1])
            curve = fillet(end, corner, start, RETURN_RADIUS)
        half = len(curve) // 2
        inner = curve[1:-1]
        pts += inner
        owner += [k if i + 1 <= half else (k + 1) % count for i in range(len(inner))]
    return pts, owner


def inside_ring(ring, x, y):
    hit = np.zeros(x.shape, dtype=bool)
    closed = ring + [ring[0]]
    for (x1, y1), (x2, y2) in zip(closed[:-1], closed[1:]):
        if y1 == y2:
            continue
        lo, hi = min(y1, y2), max(y1, y2)
        rows = np.nonzero((y[:, 0] > lo) & (y[:, 0] <= hi))[0] if y.ndim == 2 else None
        if rows is not None:
            if len(rows) == 0:
                continue
            a, b = rows[0], rows[-1] + 1
            hit[a:b] ^= x[a:b] < (x2 - x1) * (y[a:b] - y1) / (y2 - y1) + x1
        else:
            hit ^= ((y1 > y) != (y2 > y)) & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
    return hit


def rise_behind(face, outside, d):
    if face.fall:
        return -0.03 * d
    if outside:
        return 0.02 * np.minimum(d, 25.0) - 0.03 * np.maximum(d - 25.0, 0.0)
    return 0.02 * np.minimum(d, 3.0) + 0.014 * np.maximum(np.minimum(d, 60.0) - 3.0, 0.0)


def alley_low_line(block, streets):
    """x and level along the low line of the block's alley."""
    ay, toward, w, e = block.alley
    at = lambda px: float(street_level(streets, np.array([px]), np.array([ay]))[0])
    west, east = at(w - 0.05), at(e + 0.05)
    if toward == "west":
        return [w, w + 1.5, e - 6.0, e], [west + LIP, west + LIP + 0.03, east + 0.20, east + 0.10]
    return [w, w + 6.0, e - 1.5, e], [west + 0.10, west + 0.20, east + LIP + 0.03, east + LIP]


def block_level(block, streets, x, y):
    """Ground of the lots: the curbs' tops around, carried inwards by distance, and a rise behind each curb."""
    total, weights = np.zeros_like(x), np.zeros_like(x)
    driveways = []
    for f in block.faces:
        n = max(2, int(f.length / 0.5) + 1)
        s = np.linspace(0.0, f.length, n)
        p = np.array([f.at(v, -0.01) for v in s])
        g = street_level(streets, p[:, 0], p[:, 1])
        good = ~np.isnan(g)
        s_at, d = f.project(x, y)
        gutter = np.interp(s_at, s[good], g[good])
        d = np.maximum(d, 0.05)
        weight = d ** -2.0
        total += weight * (gutter + f.height + rise_behind(f, block.outside, d))
        weights += weight
        for a, b, what in f.gaps:
            if what == "driveway":
                driveways.append((s_at, d, gutter, a, b))
    if block.alley:
        ay, _, w, e = block.alley
        xs, zs = alley_low_line(block, streets)
        d = np.maximum(np.abs(y - ay) - ALLEY_HALF, 0.05)
        low = np.interp(x, xs, zs)
        weight = d ** -2.0
        total += weight * (low + ALLEY_SLOPE * ALLEY_HALF + 0.012 * np.minimum(d, 60.0))
        weights += weight
    z = total / weights
    if block.alley:
        z = np.where(np.abs(y - ay) <= ALLEY_HALF, low + ALLEY_SLOPE * np.abs(y - ay), z)
    for s_at, d, gutter, a, b in driveways:
        side = 1.0 - smooth((np.maximum(a - s_at, s_at - b)) / 0.6)
        ramp = 1.0 - smooth(d / 3.0)
        near = (d < 3.0) & (s_at > a - 0.6) & (s_at < b + 0.6)
        low = gutter + LIP + 0.02 * d
        z = np.where(near, z + side * ramp * np.minimum(low - z, 0.0), z)
    return z
