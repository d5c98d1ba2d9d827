#!/usr/bin/python3
"""Makes sample-rasters/four-blocks: four blocks of an invented dryland town, Arroyo Bend, at 0.5 m.

Seeded: the same bytes in the numbers on each run. Needs Debian's python3-numpy and python3-gdal.
Usage: scripts/make_four_blocks.py [OUT_FOLDER]

Streets (centre lines, metres from the south-west corner of the raster; all 10 m from curb to curb, crown 2 %):
  east-west   Sorrel Street y=195 (0.5 %, a sag between Lantern and Cistern) · Kiln Street y=115 (1 %)
              · Mesquite Street y=35 (2 %; lots on its south side fall away)
  north-south Adobe Lane x=25 · Lantern Street x=135 · Cistern Street x=245
A valley gutter crosses the mouth of Kiln Street at Adobe Lane. Water leaves by Mesquite Street at the west edge.
The coordinates are made up: the place does not exist.
"""
import math
import os
import sys

import numpy as np
from osgeo import gdal, ogr, osr

gdal.UseExceptions()
ogr.UseExceptions()

SEED = 20260117
CELL = 0.5
WIDTH, HEIGHT = 270.0, 220.0
WEST, SOUTH = 431000.0, 3702000.0  # EPSG:32612
BASE = 780.0
HALF = 5.0          # half of a street, curb to curb
CROWN = 0.02
CURB = 0.15
RETURN_RADIUS = 4.0
XS = {"Adobe Lane": 25.0, "Lantern Street": 135.0, "Cistern Street": 245.0}
YS = {"Sorrel Street": 195.0, "Kiln Street": 115.0, "Mesquite Street": 35.0}
X_LINES = [25.0, 135.0, 245.0]
Y_LINES = [35.0, 115.0, 195.0]
# Gutter level at the nine crossings, metres above BASE: rows south to north, columns west to east.
CROSSINGS = np.array([[-2.80, -0.60, 1.60],   # Mesquite Street, 2 %
                      [0.00, 1.10, 2.20],     # Kiln Street, 1 %
                      [1.35, 1.90, 2.45]])    # Sorrel Street, 0.5 %
SAG_X, SAG_LEVEL = 190.0, 1.74                # on Sorrel Street


def along_x(row, x):
    """Gutter level on an east-west street."""
    xs, zs = list(X_LINES), list(CROSSINGS[row])
    if row == 2:
        xs.insert(2, SAG_X)
        zs.insert(2, SAG_LEVEL)
    z = np.interp(x, xs, zs)
    if row == 0:  # Mesquite Street runs on to the west edge
        z = np.where(x < xs[0], zs[0] + (x - xs[0]) * 0.02, z)
    return z


def along_y(col, y):
    return np.interp(y, Y_LINES, CROSSINGS[:, col])


def fade(d):
    """0 inside a crossing, 1 from 8 m outside it."""
    t = np.clip((np.abs(d) - HALF) / 8.0, 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def nearest(lines, v):
    return np.abs(v[..., None] - np.array(lines)).argmin(axis=-1)


def gutter_field(x, y):
    """Gutter level carried over street, corner and the edge of the blocks."""
    z = np.zeros_like(x)
    col, row = nearest(X_LINES, x), nearest(Y_LINES, y)
    for r in range(3):
        for c in range(3):
            here = (col == c) & (row == r)
            dx, dy = x[here] - X_LINES[c], y[here] - Y_LINES[r]
            z0 = CROSSINGS[r, c]
            a, b = 1.0 - fade(dy), 1.0 - fade(dx)
            z[here] = z0 + a * (along_x(r, x[here]) - z0) + b * (along_y(c, y[here]) - z0)
    return z


def street_level(x, y):
    z = gutter_field(x, y)
    for line in Y_LINES:
        d = np.abs(y - line)
        near = np.min(np.abs(x[..., None] - np.array(X_LINES)), axis=-1)
        z = z + np.where(d < HALF, CROWN * (HALF - d) * fade(near), 0.0)
    for line in X_LINES:
        d = np.abs(x - line)
        near = np.min(np.abs(y[..., None] - np.array(Y_LINES)), axis=-1)
        z = z + np.where(d < HALF, CROWN * (HALF - d) * fade(near), 0.0)
    # Valley gutter over the mouth of Kiln Street, in line with the east gutter of Adobe Lane.
    across = np.abs(x - (X_LINES[0] + HALF - 0.6))
    reach = np.abs(y - Y_LINES[1]) < HALF + RETURN_RADIUS
    z = z - np.where(reach, 0.05 * np.clip(1.0 - across / 0.9, 0.0, 1.0), 0.0)
    return z


def blocks():
    """(name, west, south, east, north) of each block, curb face to curb face."""
    out = []
    for name, c, r in (("north-west", 0, 1), ("north-east", 1, 1), ("south-west", 0, 0), ("south-east", 1, 0)):
        out.append((name, X_LINES[c] + HALF, Y_LINES[r] + HALF, X_LINES[c + 1] - HALF, Y_LINES[r + 1] - HALF))
    return out


def arc(cx, cy, start_deg, end_deg, steps=8):
    angles = np.radians(np.linspace(start_deg, end_deg, steps + 1))
    return [(cx + RETURN_RADIUS * math.cos(a), cy + RETURN_RADIUS * math.sin(a)) for a in angles]


def block_ring(box):
    _, w, s, e, n = box
    r = RETURN_RADIUS
    ring = arc(w + r, s + r, 180, 270) + arc(e - r, s + r, 270, 360)
    ring += arc(e - r, n - r, 0, 90) + arc(w + r, n - r, 90, 180)
    return ring + [ring[0]]


def inside_ring(ring, x, y):
    hit = np.zeros(x.shape, dtype=bool)
    for (x1, y1), (x2, y2) in zip(ring[:-1], ring[1:]):
        if y1 == y2:
            continue
        cross = ((y1 > y) != (y2 > y)) & (x < (x2 - x1) * (y - y1) / (y2 - y1) + x1)
        hit ^= cross
    return hit


def block_level(box, x, y):
    _, w, s, e, n = box
    edges = [(x - w, np.full_like(x, w), y), (e - x, np.full_like(x, e), y),
             (y - s, x, np.full_like(y, s)), (n - y, x, np.full_like(y, n))]
    total, weights, least = np.zeros_like(x), np.zeros_like(x), np.full_like(x, np.inf)
    for d, px, py in edges:
        d = np.maximum(d, 0.05)
        wt = d ** -2.0
        total += wt * (gutter_field(px, py) + CURB)
        weights += wt
        least = np.minimum(least, d)
    return total / weights + 0.02 * np.minimum(least, 3.0) + 0.014 * np.maximum(least - 3.0, 0.0)


def outside_level(x, y):
    """Beyond the outer curbs: rises to a ridge 12 m behind the curb, then falls away; south of Mesquite it falls at once."""
    w, e = X_LINES[0] - HALF, X_LINES[2] + HALF
    s, n = Y_LINES[0] - HALF, Y_LINES[2] + HALF
    total, weights = np.zeros_like(x), np.zeros_like(x)
    # the street square, and the stub of Mesquite Street west of Adobe Lane
    for west, east, south, north in ((w, e, s, n), (0.0, w, s, Y_LINES[0] + HALF)):
        px, py = np.clip(x, west, east), np.clip(y, south, north)
        d = np.maximum(np.hypot(x - px, y - py), 0.05)
        rise = 0.02 * np.minimum(d, 12.0) - 0.03 * np.maximum(d - 12.0, 0.0)
        turn = np.arctan2(s - y, np.maximum(x - e, 0.0)) / (math.pi / 2)  # 1 south of the street, 0 east of it
        turn = np.clip(turn, 0.0, 1.0)
        turn = turn * turn * (3.0 - 2.0 * turn)
        level = gutter_field(px, py) + CURB + (1.0 - turn) * rise - turn * 0.03 * d
        total += level * d ** -2.0
        weights += d ** -2.0
    return total / weights


def correlated_noise(rng, shape, reach_cells, sigma):
    white = rng.standard_normal(shape)
    fy, fx = np.fft.fftfreq(shape[0])[:, None], np.fft.fftfreq(shape[1])[None, :]
    smooth = np.fft.ifft2(np.fft.fft2(white) * np.exp(-2.0 * (math.pi * reach_cells / 2.0) ** 2 * (fx ** 2 + fy ** 2))).real
    return sigma * smooth / smooth.std()


def make_ground():
    sub = 2  # each cell is the mean of 2 × 2 samples: a curb is blunted as in a surveyed model
    cols, rows = int(WIDTH / CELL), int(HEIGHT / CELL)
    xs = (np.arange(cols * sub) + 0.5) * CELL / sub
    ys = HEIGHT - (np.arange(rows * sub) + 0.5) * CELL / sub
    x, y = np.meshgrid(xs, ys)
    z = outside_level(x, y)
    w, e = X_LINES[0] - HALF, X_LINES[2] + HALF
    s, n = Y_LINES[0] - HALF, Y_LINES[2] + HALF
    on_street = ((x >= w) & (x <= e) & (y >= s) & (y <= n)) | ((x < w) & (np.abs(y - Y_LINES[0]) <= HALF))
    z = np.where(on_street, street_level(x, y), z)
    for box in blocks():
        here = inside_ring(block_ring(box), x, y)
        z[here] = block_level(box, x[here], y[here])
    z = z.reshape(rows, sub, cols, sub).mean(axis=(1, 3))
    rng = np.random.default_rng(SEED)
    z += correlated_noise(rng, z.shape, 10, 0.010) + rng.normal(0.0, 0.005, z.shape)
    return np.round(BASE + z, 3).astype(np.float32)


# ---- layers -------------------------------------------------------------------------------------------------------

DRIVEWAY = 3.6
LOT = 25.0


def side_pieces(ring_side, gaps):
    """Cuts one side of a block (start corner's middle to end corner's middle) into vertical and gap pieces."""
    line = ring_side
    lengths = [0.0]
    for p, q in zip(line[:-1], line[1:]):
        lengths.append(lengths[-1] + math.dist(p, q))
    def at(t):
        for i in range(1, len(line)):
            if t <= lengths[i] or i == len(line) - 1:
                u = (t - lengths[i - 1]) / (lengths[i] - lengths[i - 1])
                p, q = line[i - 1], line[i]
                return (p[0] + u * (q[0] - p[0]), p[1] + u * (q[1] - p[1]))
    pieces, start = [], 0.0
    marks = sorted(gaps) + [(lengths[-1], None)]
    for a, b in marks:
        pts = [at(start)] + [line[i] for i in range(len(line)) if start < lengths[i] < a] + [at(a)]
        pieces.append(("vertical", pts))
        if b is not None:
            pieces.append(("gap", [at(a), at(b)]))
            start = b
    return pieces


def block_sides(box):
    """Curb of a block, counter-clockwise, as four sides that meet in the middle of the corner returns."""
    _, w, s, e, n = box
    r = RETURN_RADIUS
    sw, se = arc(w + r, s + r, 180, 270), arc(e - r, s + r, 270, 360)
    ne, nw = arc(e - r, n - r, 0, 90), arc(w + r, n - r, 90, 180)
    half = len(sw) // 2
    return {"south": sw[half:] + se[:half + 1], "east": se[half:] + ne[:half + 1],
            "north": ne[half:] + nw[:half + 1], "west": nw[half:] + sw[:half + 1]}


SIDE_OF_STREET = {"south": "north", "north": "south", "east": "west", "west": "east"}


def street_beside(box, side):
    _, w, s, e, n = box
    if side in ("south", "north"):
        y = s - HALF if side == "south" else n + HALF
        return next(k for k, v in YS.items() if v == y)
    x = w - HALF if side == "west" else e + HALF
    return next(k for k, v in XS.items() if v == x)


def curb_features():
    out = []
    for box in blocks():
        for side, line in block_sides(box).items():
            length = sum(math.dist(p, q) for p, q in zip(line[:-1], line[1:]))
            gaps = []
            if side in ("south", "north"):
                for k in range(4):
                    middle = (k + 0.75) * LOT if side == "south" else length - (k + 0.75) * LOT
                    gaps.append((middle - DRIVEWAY / 2, middle + DRIVEWAY / 2))
            for kind, pts in side_pieces(line, gaps):
                out.append((kind, street_beside(box, side), SIDE_OF_STREET[side], pts))
    w, e = X_LINES[0] - HALF, X_LINES[2] + HALF
    s, n = Y_LINES[0] - HALF, Y_LINES[2] + HALF
    m = Y_LINES[0] + HALF
    out.append(("vertical", "Mesquite Street", "north", [(0.0, m), (w, m)]))
    out.append(("vertical", "Adobe Lane", "west", [(w, m), (w, n)]))
    out.append(("vertical", "Sorrel Street", "north", [(w, n), (e, n)]))
    out.append(("vertical", "Cistern Street", "east", [(e, n), (e, s)]))
    out.append(("vertical", "Mesquite Street", "south", [(e, s), (0.0, s)]))
    return out


def polygon(points):
    ring = ogr.Geometry(ogr.wkbLinearRing)
    for px, py in points:
        ring.AddPoint_2D(WEST + px, SOUTH + py)
    ring.CloseRings()
    out = ogr.Geometry(ogr.wkbPolygon)
    out.AddGeometry(ring)
    return out


def rectangle(w, s, e, n):
    return polygon([(w, s), (e, s), (e, n), (w, n)])


def pavement():
    w, e = X_LINES[0] - HALF, X_LINES[2] + HALF
    s, n = Y_LINES[0] - HALF, Y_LINES[2] + HALF
    area = rectangle(w, s, e, n).Union(rectangle(0.0, Y_LINES[0] - HALF, w, Y_LINES[0] + HALF))
    for box in blocks():
        area = area.Difference(polygon(block_ring(box)))
    return area


def lots_and_more():
    """Lots, buildings and surfaces: four lots on the north and four on the south half of each block."""
    rng = np.random.default_rng(SEED + 1)
    lots, buildings, surfaces = [], [], []
    number = 100
    for name, w, s, e, n in blocks():
        middle = (s + n) / 2.0
        surfaces.append(("walk", polygon_ring_band(w, s, e, n, 2.0, 3.5)))
        for half in ("south", "north"):
            for k in range(4):
                x0, x1 = w + k * LOT, w + (k + 1) * LOT
                if k == 3:
                    x1 = e
                street_y = s if half == "south" else n
                inward = 1.0 if half == "south" else -1.0
                front, back = street_y + 3.5 * inward, middle
                lots.append((str(number), rectangle(x0, min(front, back), x1, max(front, back))))
                hx = x0 + 3.0 + rng.uniform(0.0, 2.0)
                hy = street_y + (10.0 + rng.uniform(0.0, 3.0)) * inward
                wide, deep = 11.0 + rng.uniform(0.0, 3.0), 9.0 + rng.uniform(0.0, 3.0)
                buildings.append((str(number), rectangle(hx, min(hy, hy + deep * inward), hx + wide, max(hy, hy + deep * inward))))
                cover = ("gravel", "yard_desert", "grass_fair", "yard_desert")[int(rng.integers(0, 4))]
                if cover != "yard_desert":
                    surfaces.append((cover, rectangle(x0, min(front, back), x1, max(front, back))))
                dx = w + (k + 0.75) * LOT if half == "south" else w + (k + 0.75) * LOT
                apron = street_y, street_y + 10.0 * inward
                surfaces.append(("yard_paving", rectangle(dx - DRIVEWAY / 2, min(apron), dx + DRIVEWAY / 2, max(apron))))
                number += 2
    return lots, buildings, surfaces


def polygon_ring_band(w, s, e, n, inner, outer):
    return rectangle(w + inner, s + inner, e - inner, n - inner).Difference(
        rectangle(w + outer, s + outer, e - outer, n - outer))


# id, local x, y of a point near the curb, and what differs from the study's basin.
CUTS = [
    ("kiln-n-1", 222.0, 120.3, {}), ("kiln-n-2", 176.0, 120.3, {}), ("kiln-n-3", 92.0, 120.3, {}),
    ("kiln-n-4", 56.0, 120.3, {"opening_in": 24}), ("kiln-s-1", 214.0, 109.8, {}), ("kiln-s-2", 166.0, 109.8, {}),
    ("kiln-s-3", 66.0, 109.8, {"basin_length_ft": 16}), ("mesquite-n-1", 190.0, 40.3, {}),
    ("mesquite-n-2", 86.0, 40.3, {}), ("mesquite-s-1", 200.0, 29.7, {}), ("sorrel-s-1", 108.0, 189.7, {}),
    ("adobe-e-1", 30.4, 92.0, {}),
]
INLETS = [("sag-inlet-south", SAG_X, 190.1, 3.0, 0.1), ("sag-inlet-north", SAG_X, 199.9, 3.0, 0.1),
          ("kiln-inlet", 78.0, 110.1, 1.5, 0.1)]
OUTFALLS = [("west-north", 3.0, 39.8), ("west-south", 3.0, 30.2)]


def new_layer(source, name, kind, fields, srs):
    layer = source.CreateLayer(name, srs, kind)
    for field, field_type in fields:
        layer.CreateField(ogr.FieldDefn(field, field_type))
    return layer


def add(layer, geometry, **values):
    feature = ogr.Feature(layer.GetLayerDefn())
    for key, value in values.items():
        feature.SetField(key, value)
    feature.SetGeometry(geometry)
    layer.CreateFeature(feature)


def line(points):
    out = ogr.Geometry(ogr.wkbLineString)
    for px, py in points:
        out.AddPoint_2D(WEST + px, SOUTH + py)
    return out


def point(px, py):
    out = ogr.Geometry(ogr.wkbPoint)
    out.AddPoint_2D(WEST + px, SOUTH + py)
    return out


def package(path):
    if os.path.exists(path):
        os.remove(path)
    return ogr.GetDriverByName("GPKG").CreateDataSource(path, options=["VERSION=1.3"])


def write_layers(folder, srs):
    text, real = ogr.OFTString, ogr.OFTReal
    street = package(os.path.join(folder, "street.gpkg"))
    curbs = new_layer(street, "curbs", ogr.wkbLineString, [("id", text), ("kind", text), ("street", text), ("side", text)], srs)
    for i, (kind, name, side, pts) in enumerate(curb_features(), 1):
        add(curbs, line(pts), id=f"curb-{i:03d}", kind=kind, street=name, side=side)
    paved = new_layer(street, "pavement", ogr.wkbPolygon, [("id", text)], srs)
    area = pavement()
    for i in range(area.GetGeometryCount()) if area.GetGeometryType() == ogr.wkbMultiPolygon else [None]:
        add(paved, area if i is None else area.GetGeometryRef(i), id=f"pavement-{(i or 0) + 1}")
    inlets = new_layer(street, "inlets", ogr.wkbPoint, [("id", text), ("length_m", real), ("clogging", real)], srs)
    for name, px, py, length, clogging in INLETS:
        add(inlets, point(px, py), id=name, length_m=length, clogging=clogging)
    outfalls = new_layer(street, "outfalls", ogr.wkbPoint, [("id", text)], srs)
    for name, px, py in OUTFALLS:
        add(outfalls, point(px, py), id=name)
    lots, buildings, surfaces = lots_and_more()
    ground = package(os.path.join(folder, "lots.gpkg"))
    layer = new_layer(ground, "lots", ogr.wkbPolygon, [("number", text)], srs)
    for number, shape in lots:
        add(layer, shape, number=number)
    layer = new_layer(ground, "buildings", ogr.wkbPolygon, [("number", text)], srs)
    for number, shape in buildings:
        add(layer, shape, number=number)
    layer = new_layer(ground, "surfaces", ogr.wkbPolygon, [("cover", text)], srs)
    for cover, shape in surfaces:
        add(layer, shape, cover=cover)
    layer = new_layer(ground, "soils", ogr.wkbPolygon, [("soil_group", text)], srs)
    add(layer, rectangle(0.0, 0.0, 150.0, HEIGHT), soil_group="B")
    add(layer, rectangle(150.0, 0.0, WIDTH, HEIGHT), soil_group="C")
    with open(os.path.join(folder, "cuts.csv"), "w", encoding="utf-8", newline="") as out:
        out.write("id,x,y,opening_in,basin_length_ft\r\n")
        for name, px, py, more in CUTS:
            out.write(f"{name},{WEST + px:.2f},{SOUTH + py:.2f},{more.get('opening_in', '')},{more.get('basin_length_ft', '')}\r\n")


def write_ground(folder, srs):
    z = make_ground()
    memory = gdal.GetDriverByName("MEM").Create("", z.shape[1], z.shape[0], 1, gdal.GDT_Float32)
    memory.SetGeoTransform((WEST, CELL, 0.0, SOUTH + HEIGHT, 0.0, -CELL))
    memory.SetProjection(srs.ExportToWkt())
    band = memory.GetRasterBand(1)
    band.SetNoDataValue(-9999.0)
    band.SetUnitType("m")
    band.WriteArray(z)
    gdal.GetDriverByName("GTiff").CreateCopy(os.path.join(folder, "ground.tif"), memory,
                                             options=["COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=9", "TILED=YES"])


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else os.path.join(os.path.dirname(__file__), "..", "sample-rasters", "four-blocks")
    os.makedirs(folder, exist_ok=True)
    os.environ["OGR_CURRENT_DATE"] = "2026-01-01T00:00:00Z"
    gdal.SetConfigOption("OGR_CURRENT_DATE", "2026-01-01T00:00:00Z")
    srs = osr.SpatialReference()
    srs.ImportFromEPSG(32612)
    srs.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
    write_ground(folder, srs)
    write_layers(folder, srs)


if __name__ == "__main__":
    main()
