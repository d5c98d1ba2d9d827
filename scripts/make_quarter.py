#!/usr/bin/python3
"""Makes sample-rasters/quarter: fifteen blocks of an invented dryland town, Arroyo Bend, at 0.5 m.

Seeded: the same numbers on each run. Needs Debian's python3-numpy and python3-gdal; about a minute.
Usage: scripts/make_quarter.py [OUT_FOLDER]

quarter_ground.py draws the ground, trace_quarter.py finds where its water goes; this file adds the error of measurement
(3 cm, correlated over 5 m), the layers, the candidate cuts and, beside them, truth.csv: what is planted at each of them.
The coordinates are made up: the place does not exist. Rain and climate are invented, too.
"""
import csv
import math
import os
import sys

import numpy as np
from osgeo import gdal, ogr, osr

import quarter_ground as q
import trace_quarter as tq

gdal.UseExceptions()
ogr.UseExceptions()

SEED = 20260301
NOISE, NOISE_RANGE = 0.03, 5.0   # metres; correlation exp(-distance / range)
HEIGHT_STEP = 1.0 / 1024.0       # heights are rounded to 1/1024 m: a millimetre that float32 holds exactly, so files stay small
LOT = 20.0
DRIVEWAY = 3.6
WALK = 1.5
STRIP = 2.2                      # from the back of the curb to the walk
BASIN_LENGTH, BASIN_WIDTH, SETBACK = 3.0, 1.5, 0.3
NO_WATER_M2 = 100.0


def correlated_noise(rng, shape, cell):
    """Gaussian field with correlation exp(-r/range): spectrum (1 + (2 pi f range)^2)^(-3/2) in the plane."""
    rows, cols = shape[0] + 64, shape[1] + 64
    fy, fx = np.fft.fftfreq(rows, cell)[:, None], np.fft.rfftfreq(cols, cell)[None, :]
    gain = (1.0 + (2.0 * math.pi * NOISE_RANGE) ** 2 * (fx ** 2 + fy ** 2)) ** -0.75
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal((rows, cols))) * gain, s=(rows, cols))
    return NOISE * (field / field.std())[:shape[0], :shape[1]]


# ---- what stands on the lots and along the curbs ------------------------------------------------------------------

NO_DRIVEWAYS = {("block-12", "Kiln Street"), ("block-12", "Sorrel Street"), ("block-41", "Mesquite Street")}


class Lot:
    def __init__(self, face, s0, s1, depth):
        self.face, self.s0, self.s1, self.depth = face, s0, s1, depth
        self.number = None


def fronts(blocks):
    """Lots along the faces that lots look to: north and south faces of blocks, and all outer faces."""
    lots = []
    for block in blocks:
        for f in block.faces:
            level = f.street in q.ROWS
            if isinstance(f, q.Bulb) or f.length < 30.0 or (not block.outside and not level):
                continue
            if block.outside and f.length < 60.0:
                continue   # beside the two streets that leave the quarter the corner lots take the room
            depth = 40.0 if block.outside else 50.0
            if block.alley:
                depth = 50.0 - q.ALLEY_HALF
            n = int(round(f.length / LOT))
            wide = f.length / n
            for k in range(n):
                middle = f.at((k + 0.5) * wide)
                by_the_bulb = f.street == "Saltbush Street" and abs(middle[0] - q.X[2]) < 25.0 and f.side == "south"
                lot = Lot(f, k * wide, (k + 1) * wide, 25.0 if by_the_bulb else depth)
                lots.append(lot)
                if (block.name, f.street) not in NO_DRIVEWAYS:
                    middle = lot.s0 + 0.78 * wide
                    f.gaps.append((middle - DRIVEWAY / 2, middle + DRIVEWAY / 2, "driveway"))
        if block.alley:
            ay = block.alley[0]
            for f in block.faces:
                if f.street in q.COLUMNS:
                    s = float(f.project(np.array([f.p[0]]), np.array([ay]))[0][0])
                    f.gaps.append((s - q.ALLEY_HALF, s + q.ALLEY_HALF, "alley"))
    return lots


def number_lots(lots):
    base = {}
    for lot in sorted(lots, key=lambda o: (o.face.street, o.face.side, o.face.at(o.s0))):
        odd = lot.face.side in ("south", "east")
        key = (lot.face.street, lot.face.side)
        base[key] = base.get(key, 101 if odd else 100)
        lot.number = base[key]
        base[key] += 4


def cells(face, s0, s1, off0, off1):
    return [face.at(s0, off0), face.at(s1, off0), face.at(s1, off1), face.at(s0, off1)]


# ---- candidate cuts -----------------------------------------------------------------------------------------------

class Cut:
    def __init__(self, block, face, s):
        self.block, self.face, self.s = block, face, s
        self.at = face.at(s, -0.3)
        self.id, self.reason, self.planted = None, "", ""


# Planted on purpose, by face (street, side, block) and number of the cut on it: what is put beside it.
PLANTED = {
    ("Sorrel Street", "north", "block-13", 0): "beside a hydrant",
    ("Kiln Street", "north", "block-42", 0): "beside a hydrant",
    ("Mesquite Street", "north", "block-11", 0): "beside a hydrant",
    ("Sorrel Street", "south", "block-22", 0): "beside a tree",
    ("Ridge Street", "south", "block-24", 0): "beside a tree",
    ("Saltbush Street", "south", "block-13", 0): "beside a pole",
    ("Kiln Street", "south", "block-21", 0): "beside a pole",
    ("Mesquite Street", "north", "block-31", 0): "over a buried line",  # a service line to the house
    ("Saltbush Street", "north", "block-34", 0): "over a buried line",
}
# Strips with a gas or telecom line in them: street, side, block, kind, distance behind the curb.
LINES_IN_STRIP = [("Kiln Street", "south", "block-31", "gas", 1.1), ("Quarry Street", "west", "block-44", "telecom", 1.3),
                  ("Cistern Street", "west", "block-22", "gas", 1.1), ("Lantern Street", "east", "block-21", "telecom", 1.3),
                  ("Sorrel Street", "north", "block-43", "gas", 1.1)]


# Where a street side begins: hardly any ground drains to these. Street, side, block, metres from the start of the face.
NO_WATER = [("Kiln Street", "north", "block-42", 150.4), ("Ridge Street", "south", "block-44", 1.6)]


def shares(block, f):
    """Where along a face cuts are tried, as shares of its length."""
    if f.street in q.COLUMNS:
        unwanted = f.p[1] < 51.0 and f.q[1] < 51.0 or f.length < 60.0 and f.side == "east"
        return [0.3, 0.75] if f.length > 200.0 else [] if unwanted else [0.55]
    if block.outside:
        return [0.3, 0.75] if not f.fall or f.length > 200.0 and block.name == "outside-2" else [0.75]
    if block.name in ("block-11", "block-31"):
        return [0.33, 0.75]
    return [0.62] if len(f.gaps) % 2 else [0.4]


def choose_cuts(blocks):
    cuts = []
    for block in blocks:
        for f in block.faces:
            if f.length < 40.0 or isinstance(f, q.Bulb):
                continue
            places = [part * f.length for part in shares(block, f) if f.kind != "none"]   # no curb, no cut
            for s in places:
                for a, b, _ in sorted(f.gaps):
                    if a - 3.5 < s < b + 3.5:
                        s = a - 3.6 if s - a < b - s else b + 3.6
                cuts.append(Cut(block, f, s))
            for street, side, name, s in NO_WATER:
                if (street, side, name) == (f.street, f.side, block.name):
                    cuts.append(Cut(block, f, s))
    seen = {}
    for c in cuts:
        key = (c.face.street, c.face.side, c.block.name)
        c.rank = seen.get(key, 0)
        seen[key] = c.rank + 1
        c.planted = PLANTED.get(key + (c.rank,), "")
    count = {}
    for c in sorted(cuts, key=lambda o: (o.face.street, o.face.side, o.at)):
        key = (c.face.street, c.face.side)
        count[key] = count.get(key, 0) + 1
        c.id = f"{c.face.street.split()[0].lower()}-{c.face.side[0]}-{count[key]}"
    return cuts


def basin_box(c, margin=0.0):
    return cells(c.face, c.s - BASIN_LENGTH / 2 - margin, c.s + BASIN_LENGTH / 2 + margin,
                 SETBACK - margin, SETBACK + BASIN_WIDTH + margin)


# ---- geometry helpers ---------------------------------------------------------------------------------------------

def polygon(points, holes=()):
    out = ogr.Geometry(ogr.wkbPolygon)
    for pts in [points, *holes]:
        ring = ogr.Geometry(ogr.wkbLinearRing)
        for px, py in pts:
            ring.AddPoint_2D(round(q.WEST + px, 3), round(q.SOUTH + py, 3))
        ring.CloseRings()
        out.AddGeometry(ring)
    return out


def line(points):
    out = ogr.Geometry(ogr.wkbLineString)
    for px, py in points:
        out.AddPoint_2D(round(q.WEST + px, 3), round(q.SOUTH + py, 3))
    return out


def point(px, py):
    out = ogr.Geometry(ogr.wkbPoint)
    out.AddPoint_2D(round(q.WEST + px, 3), round(q.SOUTH + py, 3))
    return out


def thin(points):
    """Without the points on straight runs."""
    out = [points[0]]
    for a, p, b in zip(points[:-2], points[1:-1], points[2:]):
        if abs((p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0])) > 1e-9:
            out.append(p)
    return out + [points[-1]]


class Package:
    def __init__(self, folder, name, srs):
        path = os.path.join(folder, name)
        if os.path.exists(path):
            os.remove(path)
        self.source = ogr.GetDriverByName("GPKG").CreateDataSource(path, options=["VERSION=1.3"])
        self.srs = srs

    def layer(self, title, shape, rows, /, **fields):
        """`rows`: (geometry, values by field); `fields`: name and 's', 'r' or 'i'."""
        layer = self.source.CreateLayer(title, self.srs, shape)
        for field, form in fields.items():
            layer.CreateField(ogr.FieldDefn(field, {"s": ogr.OFTString, "r": ogr.OFTReal, "i": ogr.OFTInteger}[form]))
        layer.StartTransaction()
        for geometry, values in rows:
            feature = ogr.Feature(layer.GetLayerDefn())
            for key, value in values.items():
                if value is not None:
                    feature.SetField(key, value)
            feature.SetGeometry(geometry)
            layer.CreateFeature(feature)
        layer.CommitTransaction()


# ---- layers -------------------------------------------------------------------------------------------------------

def ring_pieces(block, points, owner):
    """(face, kind, points) of a block's curb, cut at driveways and alleys."""
    out = []
    n = len(points)
    runs, start = [], 0
    first = next(i for i in range(n) if owner[i] != owner[i - 1]) if not block.outside else 0
    order = [(first + i) % n for i in range(n)]
    for i in range(1, n + 1):
        if i == n or owner[order[i]] != owner[order[start]]:
            run = [points[order[k]] for k in range(start, i)]
            following = order[i] if i < n else (order[0] if not block.outside else None)
            if following is not None:
                run.append(points[following])
            runs.append((block.faces[owner[order[start]]], run))
            start = i
    for face, run in runs:
        if isinstance(face, q.Bulb) or not face.gaps:
            out.append((face, face.kind, thin(run)))
            continue
        along = lambda p: (p[0] - face.p[0]) * (face.q[0] - face.p[0]) / face.length + (p[1] - face.p[1]) * (face.q[1] - face.p[1]) / face.length
        lead = [p for p in run if along(p) < 1e-9 and math.dist(p, face.p) > 1e-9 or (along(p) <= 0 and p != face.p)]
        tail = [p for p in run if along(p) > face.length + 1e-9]
        here, at = lead + [face.p], 0.0
        for a, b, _ in sorted(face.gaps):
            out.append((face, face.kind, here + [face.at(a)]))
            out.append((face, "gap", [face.at(a), face.at(b)]))
            here, at = [face.at(b)], b
        out.append((face, face.kind, here + [face.q] + tail))
    return out


def centrelines():
    """One line a street between crossings, as street maps have them."""
    out = []
    for j, name in enumerate(q.ROWS):
        xs = ([0.0] if j == 0 else []) + q.X
        for a, b in zip(xs[:-1], xs[1:]):
            out.append((name, "collector" if j in (0,) else "residential", 2 * q.HALF_Y[j] if j in (0, 2) else None, [(a, q.Y[j]), (b, q.Y[j])]))
    for c, name in enumerate(q.COLUMNS):
        ys = ([0.0] if c == 2 else []) + q.Y
        for a, b in zip(ys[:-1], ys[1:]):
            if (c, a) == (2, q.Y[2]):
                out.append((name, "cul_de_sac", None, [(q.X[c], a), (q.X[c], q.BULB_Y)]))
            else:
                out.append((name, "residential", 2 * q.HALF_X[c] if c == 0 else None, [(q.X[c], a), (q.X[c], b)]))
    for i, j, y, _ in q.ALLEYS:
        out.append((f"alley south of {q.ROWS[j + 1]}", "alley", 2 * q.ALLEY_HALF, [(q.X[i], y), (q.X[i + 1], y)]))
    return out


INLETS = [  # id, x, y, length, clogging, outlet
    ("sorrel-sag-south", 460.0, 295.2, 3.0, 0.10, "pipe-kiln"), ("sorrel-sag-north", 460.0, 304.8, 3.0, 0.10, "pipe-kiln"),
    ("ridge-sag-north", 230.0, 544.3, 2.0, 0.15, "pipe-lantern"), ("kiln-south-grade", 130.0, 175.2, 1.5, 0.10, ""),
    ("quarry-west-grade", 735.2, 215.0, 1.5, 0.10, ""), ("mesquite-north-grade", 300.0, 65.8, 2.4, 0.20, ""),
    ("adobe-kiln", 64.8, 196.0, 3.0, 0.10, ""), ("adobe-sorrel", 64.8, 316.0, 3.0, 0.10, ""),
    ("saltbush-north-grade", 84.0, 424.8, 3.0, 0.10, ""), ("kiln-north-west", 78.0, 184.8, 3.0, 0.10, ""),
    ("kiln-north-lantern", 246.0, 184.8, 3.0, 0.10, ""), ("mesquite-west", 75.0, 65.8, 4.0, 0.10, ""),
]
OUTLETS = [("pipe-kiln", 340.0, 175.2), ("pipe-lantern", 225.2, 500.0)]
OUTFALLS = [("west-north", 3.0, 65.7), ("west-south", 3.0, 54.3), ("south-west", 395.3, 3.0), ("south-east", 404.7, 3.0)]


class Things:
    """What lies around: made once, used by the layers and by the verdict on each cut."""

    def __init__(self, blocks, lots, cuts):
        rng = np.random.default_rng(SEED + 1)
        self.buildings, self.surfaces, self.trees, self.addresses = [], [], [], []
        self.hydrants, self.poles, self.lines = [], [], []
        self.lots = lots
        self._lots(rng, blocks)
        self._strips(rng, blocks, cuts)
        self._lines(blocks, cuts)

    def _lots(self, rng, blocks):
        for block in blocks:
            for f in block.faces:
                if not isinstance(f, q.Bulb):
                    self.surfaces.append(("walk", cells(f, 0.0, f.length, f.walk, f.walk + WALK)))
                for a, b, what in f.gaps:
                    if what == "driveway":
                        self.surfaces.append(("yard_paving", cells(f, a, b, 0.0, 11.0)))
            if block.alley:
                y, _, w, e = block.alley
                h = q.ALLEY_HALF
                self.surfaces.append(("dirt", [(w, y - h), (e, y - h), (e, y + h), (w, y + h)]))
        for lot in self.lots:
            wide = lot.s1 - lot.s0
            front = lot.face.walk + WALK
            long_house = 9.0 + rng.uniform(0.0, 3.0)
            s = lot.s0 + 0.30 * wide - 1.0 + rng.uniform(0.0, 1.0)
            back = front + 7.0 + rng.uniform(0.0, 4.0)
            deep = 9.0 + rng.uniform(0.0, 5.0)
            box = cells(lot.face, s, s + long_house, back, back + deep)
            at = lot.face.at(s + long_house / 2, back)
            if rng.uniform() < 0.93:
                self.buildings.append((lot, box))
                self.addresses.append((lot, at))
            cover = ("gravel", "yard_desert", "yard_desert", "yard_weed_barrier", "grass_fair")[int(rng.integers(0, 5))]
            lot.yard = cover
            if rng.uniform() < 0.6:
                self.trees.append((lot.face.at(s + rng.uniform(-1.0, 6.0), back + deep + rng.uniform(4.0, 12.0)),
                                   round(rng.uniform(3.0, 9.0), 1)))

    def _strips(self, rng, blocks, cuts):
        for c in cuts:
            if c.planted == "beside a hydrant":
                self.hydrants.append(c.face.at(c.s + 2.0, 0.8))
            if c.planted == "beside a pole":
                self.poles.append(c.face.at(c.s - 1.9, 1.0))
            if c.planted == "beside a tree":
                self.trees.append((c.face.at(c.s + 1.0, 1.3), 5.5))
        clear = lambda p, far: all(math.dist(p, c.at) > far for c in cuts)
        for block in blocks:
            for k, f in enumerate(block.faces):
                if isinstance(f, q.Bulb) or f.length < 40.0:
                    continue
                p = f.at(4.0, 0.8)
                if k % 2 == 0 and clear(p, 6.0):
                    self.hydrants.append(p)
                if f.side in ("north", "east"):
                    for s in np.arange(12.0, f.length, 42.0):
                        if clear(f.at(s, 1.0), 6.0) and all(not a - 1.0 < s < b + 1.0 for a, b, _ in f.gaps):
                            self.poles.append(f.at(float(s), 1.0))
                for s in np.arange(9.0, f.length, 31.0):
                    s = float(s + rng.uniform(-3.0, 3.0))
                    if f.walk > 0 and rng.uniform() < 0.35 and clear(f.at(s, 1.2), 8.0) and all(not a - 1.5 < s < b + 1.5 for a, b, _ in f.gaps):
                        self.trees.append((f.at(s, 1.2), round(rng.uniform(3.0, 7.0), 1)))

    def _lines(self, blocks, cuts):
        for name, width, _, pts in [(n, w, c, p) for n, c, w, p in centrelines()]:
            if name.startswith("alley"):
                continue
            (x0, y0), (x1, y1) = pts
            length = math.dist(*pts)
            nx, ny = -(y1 - y0) / length, (x1 - x0) / length
            self.lines.append(("water", [(x0 + 2 * nx, y0 + 2 * ny), (x1 + 2 * nx, y1 + 2 * ny)]))
            self.lines.append(("sewer", [(x0 - nx, y0 - ny), (x1 - nx, y1 - ny)]))
        for street, side, block_name, kind, off in LINES_IN_STRIP:
            f = next(f for b in blocks if b.name == block_name for f in b.faces if (f.street, f.side) == (street, side))
            self.lines.append((kind, [f.at(0.0, off), f.at(f.length, off)]))
        for lot, box in self.buildings:
            s = lot.s0 + 0.12 * (lot.s1 - lot.s0)
            c = next((c for c in cuts if c.face is lot.face and c.planted == "over a buried line" and lot.s0 <= c.s < lot.s1), None)
            s = c.s + 0.5 if c else s
            if any(o.face is lot.face and o is not c and abs(o.s - s) < 2.4 for o in cuts):
                s = lot.s0 + 0.55 * (lot.s1 - lot.s0)   # the plumber went round
            self.lines.append(("water service", [lot.face.at(s, -3.0), lot.face.at(s, lot.face.walk + WALK + 9.0)]))


def verdict(cut, things, blocks):
    """Why a place is plainly bad, without looking at its water; '' if nothing speaks against it."""
    f = cut.face
    box = polygon(basin_box(cut))
    if f.walk < 0.5:
        return "no strip: the walk lies at the curb"
    if (f.street, f.side) == (q.COLUMNS[q.HIGH_SIDE_LEG[0]], "west") and q.Y[3] < cut.at[1] < q.Y[4]:
        return "on the high side of a street that falls to one side"
    if f.kind == "none":
        return "no curb"
    for kind, pts in things.lines:
        if box.Distance(line(pts)) < 0.3:
            return f"over a buried line ({kind})"
    if any(box.Distance(point(*p)) < 1.5 for p in things.hydrants):
        return "beside a hydrant"
    if any(box.Distance(point(*p)) < 1.0 for p in things.poles):
        return "beside a pole"
    if any(box.Distance(point(*p)) < 1.0 for p, _ in things.trees):
        return "beside a tree"
    if f.fall:
        return "the lots fall away behind the curb"
    return ""


# ---- truth --------------------------------------------------------------------------------------------------------

class World:
    def __init__(self):
        rows, columns, legs, turns = q.build_streets()
        self.corners = q.open_mouths(rows, columns, legs)
        self.streets = [rows[0], rows[4], columns[0], columns[4], rows[1], rows[2], rows[3]]
        self.streets += [legs[k] for k in sorted(legs)] + turns
        self.blocks = q.build_blocks()
        self.lots = fronts(self.blocks)
        number_lots(self.lots)
        pairs = [q.ring_points(b, turns) for b in self.blocks]
        self.rings, self.owners = [p for p, _ in pairs], [o for _, o in pairs]
        self.cuts = choose_cuts(self.blocks)
        self.things = Things(self.blocks, self.lots, self.cuts)
        self.drawn = tq.Drawn(self.streets, self.blocks, self.rings)


def gutter_at(world, face, s):
    x, y = face.at(s, -0.01)
    return float(q.street_level(world.streets, np.array([x]), np.array([y]))[0])


def corner_of_stations(world, gutters, following):
    """The last corner that the larger part of a station's water came through."""
    n = len(following)
    label = [""] * n
    for c in world.corners:
        if c.name in gutters.line_of:
            for i in range(*gutters.line_of[c.name]):
                label[i] = c.name
        elif c.kind == "turn":
            label[gutters.nearest_on_curb(c.start)] = c.name
    return label


def carry_labels(following, label, weight):
    n = len(following)
    into = np.zeros(n, dtype=int)
    for j in following[following >= 0]:
        into[j] += 1
    best = [-1.0] * n
    out = list(label)
    ready = [i for i in range(n) if into[i] == 0]
    while ready:
        i = ready.pop()
        j = following[i]
        if j < 0:
            continue
        if not label[j] and weight[i] > best[j]:
            best[j], out[j] = weight[i], out[i]
        into[j] -= 1
        if into[j] == 0:
            ready.append(j)
    return out


def ponds(gutters, following, total, sags):
    """Area that feeds the pond which a station stands in when it is full, by station; twins over a crown are one pond."""
    out = {}
    for i in sags:
        other = following[i] if following[i] in sags else next((j for j in sags if following[j] == i), i)
        area = max(total[i], total[other])
        for step in (-1, 1):
            for j in gutters.walk(i, step):
                if gutters.level[j] > gutters.level[i] + gutters.hollows[i] - 1e-6:
                    break
                out[j] = area
    return out


def truth_rows(world):
    gutters = tq.Gutters(world.streets, world.blocks, world.rings, world.owners, world.corners)
    _, _, end = tq.run_drops(world.drawn, gutters)
    own = np.bincount(end[end >= 0], minlength=len(gutters.x)).astype(float)
    following, why = gutters.connect()
    sags = [i for i, w in why.items() if w == "sag"]
    stations = {c.id: gutters.nearest_on_curb(c.at) for c in world.cuts}
    places = list(stations.values()) + [gutters.nearest_on_curb(i[1:3]) for i in INLETS] + sags
    total, first = tq.gather(gutters, following, own, places)
    label = carry_labels(following, corner_of_stations(world, gutters, following), total)
    under_sag = np.zeros(len(following), dtype=bool)
    for i in sags:
        j = following[i]
        while j >= 0 and not under_sag[j]:
            under_sag[j] = True
            j = following[j]
    pond_of = ponds(gutters, following, total, sags)
    unlined = tuple(c.name for c in world.corners if c.kind == "valley")
    without_lines = tq.gather(gutters, gutters.connect(closed=unlined)[0], own, [])[0]
    gutters.connect()
    rows = []
    kinds = {c.name: c for c in world.corners}
    for c in sorted(world.cuts, key=lambda o: o.id):
        i, f = stations[c.id], c.face
        area = float(pond_of[i] if i in pond_of else total[i])
        reason = verdict(c, world.things, world.blocks) or ("no water" if area < NO_WATER_M2 else "")
        a, b = max(0.0, c.s - 15.0), min(f.length, c.s + 15.0)
        grade = abs(gutter_at(world, f, c.s + 1.0) - gutter_at(world, f, c.s - 1.0)) / 2.0
        grade_30 = abs(gutter_at(world, f, b) - gutter_at(world, f, a)) / (b - a)
        p1, p3 = f.at(c.s, -0.6), f.at(c.s, -3.0)
        z = q.street_level(world.streets, np.array([p1[0], p3[0]]), np.array([p1[1], p3[1]]))
        corner = kinds.get(label[i])
        rows.append({
            "id": c.id, "street": f.street, "side": f.side, "x": f"{q.WEST + c.at[0]:.2f}", "y": f"{q.SOUTH + c.at[1]:.2f}",
            "area_m2": f"{area:.0f}", "own_area_m2": f"{first[i]:.0f}",
            "tolerance": f"{max(0.15, 60.0 / max(area, 1.0)):.2f}",
            "good": "no" if reason else "yes", "reason": reason,
            "grade_percent": f"{100 * grade:.2f}", "grade_30m_percent": f"{100 * grade_30:.2f}",
            "cross_slope_percent": f"{100 * (z[1] - z[0]) / 2.4:.2f}", "curb_height_m": f"{f.height:.2f}",
            "gutter_level_m": f"{q.BASE + gutter_at(world, f, c.s):.3f}",
            "corner": corner.name if corner else "", "corner_kind": corner.kind if corner else "",
            "corner_margin_m": f"{corner.margin:.3f}" if corner else "",
            "area_without_lines_m2": f"{pond_of[i] if i in pond_of else without_lines[i]:.0f}",
            "in_a_sag": "yes" if i in pond_of else "no",
            "below_a_sag": "yes" if under_sag[i] else "no",
        })
    sag_rows = [{"x": f"{q.WEST + gutters.x[i]:.2f}", "y": f"{q.SOUTH + gutters.y[i]:.2f}", "depth_m": f"{gutters.hollows[i]:.3f}",
                 "low_point_m": f"{q.BASE + gutters.level[i]:.3f}", "area_m2": f"{total[i]:.0f}"} for i in sags]
    corner_rows = [{"corner": c.name, "kind": c.kind, "x": f"{q.WEST + c.start[0]:.2f}", "y": f"{q.SOUTH + c.start[1]:.2f}",
                    "margin_m": f"{c.margin:.3f}",
                    "area_m2": f"{total[gutters.line_of[c.name][0]]:.0f}" if c.name in gutters.line_of else ""} for c in world.corners]
    return rows, sag_rows, corner_rows


# ---- files --------------------------------------------------------------------------------------------------------

def write_table(path, rows):
    with open(path, "w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)


def write_raster(path, z, cell, srs, levels=True):
    memory = gdal.GetDriverByName("MEM").Create("", z.shape[1], z.shape[0], 1, gdal.GDT_Float32)
    memory.SetGeoTransform((q.WEST, cell, 0.0, q.SOUTH + q.HEIGHT, 0.0, -cell))
    memory.SetProjection(srs.ExportToWkt())
    band = memory.GetRasterBand(1)
    band.SetNoDataValue(-9999.0)
    band.SetUnitType("m")
    band.WriteArray(z)
    gdal.GetDriverByName("GTiff").CreateCopy(path, memory, options=["COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=9", "TILED=YES"])


def write_ground(folder, world, srs):
    rows, cols = int(q.HEIGHT / q.CELL), int(q.WIDTH / q.CELL)
    z = world.drawn.z.reshape(rows, 2, cols, 2).mean(axis=(1, 3))   # a curb is blunted as in a surveyed model
    z = q.BASE + z + correlated_noise(np.random.default_rng(SEED), z.shape, q.CELL)
    z = np.round(z / HEIGHT_STEP) * HEIGHT_STEP
    write_raster(os.path.join(folder, "ground.tif"), z.astype(np.float32), q.CELL, srs)
    coarse = z.reshape(rows // 2, 2, cols // 2, 2).mean(axis=(1, 3))
    coarse = np.round(coarse / HEIGHT_STEP) * HEIGHT_STEP
    os.makedirs(os.path.join(folder, "little"), exist_ok=True)
    write_raster(os.path.join(folder, "little", "elevation.tif"), coarse.astype(np.float32), 1.0, srs)


def write_street(folder, world, srs):
    package = Package(folder, "street.gpkg", srs)
    curbs = []
    for block, ring, owner in zip(world.blocks, world.rings, world.owners):
        for face, kind, pts in ring_pieces(block, ring, owner):
            height = face.height if face.stated and kind == "vertical" else None
            curbs.append((line(pts), {"id": f"curb-{len(curbs) + 1:03d}", "kind": kind, "height_m": height,
                                      "street": face.street, "side": face.side}))
    package.layer("curbs", ogr.wkbLineString, curbs, id="s", kind="s", height_m="r", street="s", side="s")
    paved = polygon([(0, 0), (q.WIDTH, 0), (q.WIDTH, q.HEIGHT), (0, q.HEIGHT)])
    for block, ring in zip(world.blocks, world.rings):
        paved = paved.Difference(polygon(thin(ring) + block.closing))
    parts = [paved.GetGeometryRef(i).Clone() for i in range(paved.GetGeometryCount())] if paved.GetGeometryType() == ogr.wkbMultiPolygon else [paved]
    package.layer("pavement", ogr.wkbPolygon, [(p, {"id": f"pavement-{i + 1}"}) for i, p in enumerate(parts)], id="s")
    lines = centrelines()
    street_lines = lambda rows: [(line(p), {"id": f"line-{i + 1:02d}", "street": n, "class": c, "width_m": w}) for i, (n, c, w, p) in enumerate(rows)]
    package.layer("centrelines", ogr.wkbLineString, street_lines(lines), id="s", street="s", width_m="r", **{"class": "s"})
    package.layer("inlets", ogr.wkbPoint, [(point(x, y), {"id": i, "length_m": length, "clogging": clog, "outlet": out or None})
                                           for i, x, y, length, clog, out in INLETS], id="s", length_m="r", clogging="r", outlet="s")
    package.layer("outlets", ogr.wkbPoint, [(point(x, y), {"id": i}) for i, x, y in OUTLETS], id="s")
    package.layer("outfalls", ogr.wkbPoint, [(point(x, y), {"id": i}) for i, x, y in OUTFALLS], id="s")
    drawn = [c for c in world.corners if c.kind == "valley" or (c.kind == "cross" and c.margin < 0.03)]
    package.layer("valley_gutters", ogr.wkbLineString, [(line([c.start, c.end]), {"id": f"valley-{i + 1}", "kind": "valley", "corner": c.name})
                                                        for i, c in enumerate(drawn)], id="s", kind="s", corner="s")
    little = Package(os.path.join(folder, "little"), "streets.gpkg", srs)
    little.layer("streets", ogr.wkbLineString, street_lines(lines), id="s", street="s", width_m="r", **{"class": "s"})


def write_lots(folder, world, srs):
    t = world.things
    package = Package(folder, "lots.gpkg", srs)
    package.layer("lots", ogr.wkbPolygon, [(polygon(cells(o.face, o.s0, o.s1, o.face.walk + WALK, o.depth)),
                                            {"id": f"{o.number} {o.face.street}", "yard": o.yard}) for o in t.lots], id="s", yard="s")
    roofs = [(polygon(box), {"id": f"{o.number} {o.face.street}"}) for o, box in t.buildings]
    package.layer("buildings", ogr.wkbPolygon, roofs, id="s")
    package.layer("surfaces", ogr.wkbPolygon, [(polygon(p), {"cover": c}) for c, p in t.surfaces], cover="s")
    package.layer("soils", ogr.wkbPolygon, [(polygon([(0, 0), (320, 0), (320, 600), (0, 600)]), {"soil_group": "B"}),
                                            (polygon([(320, 0), (800, 0), (800, 600), (320, 600)]), {"soil_group": "C"})], soil_group="s")
    package.layer("house_numbers", ogr.wkbPoint, [(point(*p), {"number": str(o.number), "street_name": o.face.street})
                                                  for o, p in t.addresses], number="s", street_name="s")
    little = Package(os.path.join(folder, "little"), "buildings.gpkg", srs)
    little.layer("buildings", ogr.wkbPolygon, [(polygon(box), {}) for _, box in t.buildings])
    package = Package(folder, "things.gpkg", srs)
    package.layer("trees", ogr.wkbPoint, [(point(*p), {"id": f"tree-{i + 1}", "crown_m": w}) for i, (p, w) in enumerate(t.trees)], id="s", crown_m="r")
    package.layer("hydrants", ogr.wkbPoint, [(point(*p), {"id": f"hydrant-{i + 1}"}) for i, p in enumerate(t.hydrants)], id="s")
    package.layer("poles", ogr.wkbPoint, [(point(*p), {"id": f"pole-{i + 1}"}) for i, p in enumerate(t.poles)], id="s")
    package.layer("buried_lines", ogr.wkbLineString, [(line(p), {"id": f"line-{i + 1}", "kind": k}) for i, (k, p) in enumerate(t.lines)], id="s", kind="s")


CLIMATE = [  # wet days, mean depth of a wet day in mm, reference evapotranspiration in mm, by month
    (4.1, 6.2, 68), (4.0, 6.0, 84), (3.6, 5.4, 132), (1.6, 4.2, 178), (1.2, 3.8, 226), (1.4, 5.0, 248),
    (7.2, 7.4, 236), (7.8, 7.8, 206), (3.7, 8.0, 172), (2.6, 8.3, 130), (2.6, 6.6, 86), (4.0, 6.8, 64)]


def write_climate(folder):
    write_table(os.path.join(folder, "climate.csv"),
                [{"month": m, "rain_mm": f"{days * depth:.1f}", "wet_days": days, "mean_wet_day_mm": depth, "reference_et_mm": et}
                 for m, (days, depth, et) in enumerate(CLIMATE, 1)])


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else os.path.join(os.path.dirname(__file__), "..", "sample-rasters", "quarter")
    os.makedirs(os.path.join(folder, "little"), exist_ok=True)
    gdal.SetConfigOption("OGR_CURRENT_DATE", "2026-01-01T00:00:00Z")
    srs = osr.SpatialReference()
    srs.ImportFromEPSG(32612)
    srs.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
    world = World()
    write_ground(folder, world, srs)
    write_street(folder, world, srs)
    write_lots(folder, world, srs)
    write_climate(folder)
    rows, sags, corners = truth_rows(world)
    write_table(os.path.join(folder, "truth.csv"), rows)
    write_table(os.path.join(folder, "truth_sags.csv"), sags)
    write_table(os.path.join(folder, "truth_corners.csv"), corners)
    write_table(os.path.join(folder, "cuts.csv"), [{k: r[k] for k in ("id", "x", "y")} for r in rows])


if __name__ == "__main__":
    main()
