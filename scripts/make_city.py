#!/usr/bin/python3
"""Makes a city-size study for trying out speed and memory: a street grid of an invented dryland town at 0.5 m.

Seeded: the same numbers on each run. Needs Debian's python3-numpy and python3-gdal.
Usage: scripts/make_city.py OUT_FOLDER [--cells 10000] [--lots 20000] [--cuts 5000] [--broken-curbs 0.01]

Streets every 135 m (north-south) and 105 m (east-west), 10 m from curb to curb, crown 2 %, curbs 15 cm, corner
returns of 4 m. Crossings lie on a plane (1.2 % to the south-west) with fractal relief; streets run straight from
crossing to crossing, blocks rise toward their middle. Fractal roughness and 1 cm of noise on top. Fewer cells give
fewer streets; lots and cuts are cut down to what fits. The coordinates are made up: the place does not exist.
"""
import argparse
import math
import os
import struct

import numpy as np
from osgeo import gdal, ogr, osr

gdal.UseExceptions()
ogr.UseExceptions()

SEED = 20260301
CELL = 0.5
WEST, NORTH = 431000.0, 3702000.0  # EPSG:32612
PITCH_X, PITCH_Y = 135.0, 105.0
HALF, CROWN, CURB, RADIUS = 5.0, 0.02, 0.15, 4.0
DRIVEWAY = 3.6
LOTS_A_SIDE = 6
BLOCK_X, BLOCK_Y = PITCH_X - 2 * HALF, PITCH_Y - 2 * HALF
LOT = BLOCK_X / LOTS_A_SIDE
ROWS_AT_ONCE = 250
FULL_CITY = 10000


def fractal(rng, size, first, octaves):
    """Smooth random field on `size` points a side: bilinear octaves from `first` waves, halving; about ±1."""
    out = np.zeros((size, size), np.float32)
    for k in range(octaves):
        waves = first << k
        grid = rng.standard_normal((waves + 2, waves + 2)).astype(np.float32)
        at = np.linspace(0.0, waves, size, dtype=np.float32)
        low = np.minimum(at.astype(np.int32), waves)
        t = at - low
        t = t * t * (3.0 - 2.0 * t)
        rows = grid[low] * (1.0 - t)[:, None] + grid[low + 1] * t[:, None]
        out += 0.5 ** k * (rows[:, low] * (1.0 - t) + rows[:, low + 1] * t)
    return out


class City:
    """Local metres: x east, y north of the south-west corner; crossing (i, j) at ((i + 0.5) pitch, (j + 0.5) pitch)."""

    def __init__(self, cells):
        self.cells = cells
        self.side = cells * CELL
        self.nx = max(1, int(self.side / PITCH_X + 0.5))
        self.ny = max(1, int(self.side / PITCH_Y + 0.5))
        rng = np.random.default_rng(SEED)
        relief = fractal(rng, 128, 4, 5)
        i, j = np.meshgrid(np.arange(-1, self.nx + 1), np.arange(-1, self.ny + 1))
        px, py = (i + 0.5) * PITCH_X, (j + 0.5) * PITCH_Y
        # Relief over 5 km; smaller cities are a corner of it.
        u = np.clip(px / 5200.0 * 127, 0, 127).astype(int)
        v = np.clip(py / 5200.0 * 127, 0, 127).astype(int)
        self.level = (700.0 + 0.010 * px + 0.007 * py + 6.0 * relief[v, u]
                      + 0.15 * rng.standard_normal(px.shape)).astype(np.float64)

    def x_of(self, i):
        return (i + 0.5) * PITCH_X

    def y_of(self, j):
        return (j + 0.5) * PITCH_Y

    def blocks(self):
        """(i, j, west, south) of the blocks that lie wholly inside, curb face to curb face."""
        for j in range(self.ny - 1):
            for i in range(self.nx - 1):
                if self.x_of(i + 1) + HALF < self.side and self.y_of(j + 1) + HALF < self.side:
                    yield i, j, self.x_of(i) + HALF, self.y_of(j) + HALF

    def rows_of_ground(self, first, rows, rough, rng):
        x = (np.arange(self.cells) + 0.5) * CELL
        y = self.side - (np.arange(first, first + rows) + 0.5) * CELL
        u, v = x / PITCH_X + 0.5, y / PITCH_Y + 0.5  # crossings at whole numbers, counted from −1 at 0
        i, j = u.astype(int), v.astype(int)
        fu, fv = (u - i)[None, :], (v - j)[:, None]
        top = min(self.level.shape[1] - 2, i.max())
        i, j = np.minimum(i, top), np.minimum(j, self.level.shape[0] - 2)
        lower, upper = self.level[j], self.level[j + 1]
        z = ((lower[:, i] * (1 - fu) + lower[:, i + 1] * fu) * (1 - fv)
             + (upper[:, i] * (1 - fu) + upper[:, i + 1] * fu) * fv)
        dx = np.abs((u + 0.5) % 1.0 - 0.5)[None, :] * PITCH_X  # from the nearest centre line
        dy = np.abs((v + 0.5) % 1.0 - 0.5)[:, None] * PITCH_Y
        fade_x = np.clip((dx - HALF) / 8.0, 0.0, 1.0)
        fade_y = np.clip((dy - HALF) / 8.0, 0.0, 1.0)
        crown = (CROWN * np.maximum(HALF - dx, 0.0)) * fade_y + (CROWN * np.maximum(HALF - dy, 0.0)) * fade_x
        # How deep inside the rounded block: positive behind the curb.
        qx, qy = HALF + RADIUS - dx, HALF + RADIUS - dy
        inside = RADIUS - np.where((qx > 0) & (qy > 0), np.hypot(qx, qy), np.maximum(qx, qy))
        behind = np.clip(inside / CELL + 0.5, 0.0, 1.0)  # a curb is blunted to one cell, as in a survey
        inside = np.maximum(inside, 0.0)
        lot = CURB + 0.02 * np.minimum(inside, 3.0) + 0.014 * np.maximum(inside - 3.0, 0.0)
        z += crown * (1.0 - behind) + lot * behind
        spread = len(rough)
        z += 0.04 * rough[(np.arange(first, first + rows) % spread)[:, None], (np.arange(self.cells) % spread)[None, :]] * behind
        z += 0.01 * rng.standard_normal(z.shape, dtype=np.float32)
        return np.round(z, 3).astype(np.float32)


def write_ground(city, path, srs):
    options = ["COMPRESS=DEFLATE", "PREDICTOR=3", "ZLEVEL=3", "TILED=YES", "BLOCKXSIZE=512", "BLOCKYSIZE=512",
               "NUM_THREADS=2", "BIGTIFF=IF_SAFER"]
    raster = gdal.GetDriverByName("GTiff").Create(path, city.cells, city.cells, 1, gdal.GDT_Float32, options=options)
    raster.SetGeoTransform((WEST, CELL, 0.0, NORTH, 0.0, -CELL))
    raster.SetProjection(srs.ExportToWkt())
    band = raster.GetRasterBand(1)
    band.SetNoDataValue(-9999.0)
    band.SetUnitType("m")
    rough = fractal(np.random.default_rng(SEED + 1), 1024, 64, 4)
    rng = np.random.default_rng(SEED + 2)
    for first in range(0, city.cells, ROWS_AT_ONCE):
        rows = min(ROWS_AT_ONCE, city.cells - first)
        band.WriteArray(city.rows_of_ground(first, rows, rough, rng), 0, first)
    raster = None


# ---- layers -------------------------------------------------------------------------------------------------------

class Layer:
    def __init__(self, source, name, kind, fields, srs, city):
        self.layer = source.CreateLayer(name, srs, kind)
        self.south = NORTH - city.side
        for field, field_type in fields:
            self.layer.CreateField(ogr.FieldDefn(field, field_type))

    def packed(self, points):
        flat = [v for x, y in points for v in (WEST + x, self.south + y)]
        return struct.pack("<I%dd" % len(flat), len(points), *flat)

    def add(self, wkb, *values):
        feature = ogr.Feature(self.layer.GetLayerDefn())
        for k, value in enumerate(values):
            feature.SetField(k, value)
        feature.SetGeometryDirectly(ogr.CreateGeometryFromWkb(wkb))
        self.layer.CreateFeature(feature)

    def line(self, points, *values):
        self.add(struct.pack("<BI", 1, 2) + self.packed(points), *values)

    def polygon(self, points, *values):
        self.add(struct.pack("<BII", 1, 3, 1) + self.packed(list(points) + [points[0]]), *values)

    def point(self, x, y, *values):
        self.add(struct.pack("<BIdd", 1, 1, WEST + x, self.south + y), *values)

    def box(self, w, s, e, n, *values):
        self.polygon([(w, s), (e, s), (e, n), (w, n)], *values)


def arc(cx, cy, start_deg, end_deg, steps=8):
    angles = np.radians(np.linspace(start_deg, end_deg, steps + 1))
    return [(cx + RADIUS * math.cos(a), cy + RADIUS * math.sin(a)) for a in angles]


def block_sides(w, s, e, n):
    """Curb of a block, counter-clockwise, as four sides that meet in the middle of the corner returns."""
    r = RADIUS
    sw, se = arc(w + r, s + r, 180, 270), arc(e - r, s + r, 270, 360)
    ne, nw = arc(e - r, n - r, 0, 90), arc(w + r, n - r, 90, 180)
    half = len(sw) // 2
    return {"south": sw[half:] + se[:half + 1], "east": se[half:] + ne[:half + 1],
            "north": ne[half:] + nw[:half + 1], "west": nw[half:] + sw[:half + 1]}


def clipped(points, side):
    """Pieces of a line inside the raster, 0.5 m from its edge."""
    low, high = 0.5, side - 0.5
    if all(low <= x <= high and low <= y <= high for x, y in points):
        return [points]
    box = ogr.Geometry(ogr.wkbPolygon)
    ring = ogr.Geometry(ogr.wkbLinearRing)
    for x, y in ((low, low), (high, low), (high, high), (low, high), (low, low)):
        ring.AddPoint_2D(x, y)
    box.AddGeometry(ring)
    line = ogr.Geometry(ogr.wkbLineString)
    for x, y in points:
        line.AddPoint_2D(x, y)
    cut = line.Intersection(box)
    parts = [cut] if cut.GetGeometryName() == "LINESTRING" else [cut.GetGeometryRef(k) for k in range(cut.GetGeometryCount())]
    return [[p[:2] for p in part.GetPoints()] for part in parts if part.GetPointCount() > 1]


def driveways(w, side):
    """Along x, from the west corner of the block: (begin, end) of each driveway of the south or north side."""
    return [(w + (k + 0.75) * LOT - DRIVEWAY / 2, w + (k + 0.75) * LOT + DRIVEWAY / 2) for k in range(LOTS_A_SIDE)]


def curb_pieces(city):
    """kind, street, side, points; blocks at the edge are cut by it and have no driveways."""
    for j in range(-1, city.ny):
        for i in range(-1, city.nx):
            w, s = city.x_of(i) + HALF, city.y_of(j) + HALF
            e, n = w + BLOCK_X, s + BLOCK_Y
            whole = i >= 0 and j >= 0 and e < city.side - 2.0 and n < city.side - 2.0
            for side, points in block_sides(w, s, e, n).items():
                street = {"south": f"Row {j + 1}", "north": f"Row {j + 2}", "west": f"Line {i + 1}", "east": f"Line {i + 2}"}[side]
                of_street = {"south": "north", "north": "south", "east": "west", "west": "east"}[side]
                if not whole or side in ("east", "west"):
                    for piece in clipped(points, city.side):
                        yield "vertical", street, of_street, piece
                    continue
                y = points[len(points) // 2][1]
                gaps = driveways(w, side)
                if side == "north":
                    gaps = [(b, a) for a, b in reversed(gaps)]
                corner = len(points) // 2
                start = points[:corner]
                for a, b in gaps:
                    yield "vertical", street, of_street, start + [(a, y)]
                    yield "gap", street, of_street, [(a, y), (b, y)]
                    start = [(b, y)]
                yield "vertical", street, of_street, start + points[corner:]


def break_curbs(pieces, share, rng):
    """Some curbs as bad data has them: of no known kind, of no height that a curb has, far away, of no length."""
    pieces = list(pieces)
    bad = rng.random(len(pieces)) < share
    ways = rng.choice(4, len(pieces), p=(0.4, 0.3, 0.2, 0.1))
    for k, (kind, street, side, points) in enumerate(pieces):
        height = None
        if bad[k]:
            way = ways[k]
            kind = "kerbstone" if way == 0 else kind
            height = -3.0 if way == 1 else None
            points = [(x + 2e6, y) for x, y in points] if way == 2 else [points[0], points[0]] if way == 3 else points
        yield kind, street, side, points, height


def pavement_pieces(city):
    for j in range(city.ny):
        for i in range(city.nx):
            x, y = city.x_of(i), city.y_of(j)
            a, b = HALF + RADIUS, HALF
            ring = []
            for cx, cy, start in ((a, a, 270), (-a, a, 0), (-a, -a, 90), (a, -a, 180)):
                ring += [(px + x, py + y) for px, py in reversed(arc(cx, cy, start - 90, start))]
            yield ring
            yield [(x + a, y - b), (x - a + PITCH_X, y - b), (x - a + PITCH_X, y + b), (x + a, y + b)]
            yield [(x - b, y + a), (x + b, y + a), (x + b, y - a + PITCH_Y), (x - b, y - a + PITCH_Y)]
    for j in range(city.ny):
        y = city.y_of(j)
        yield [(-1.0, y - HALF), (city.x_of(0) - HALF - RADIUS, y - HALF), (city.x_of(0) - HALF - RADIUS, y + HALF), (-1.0, y + HALF)]
    for i in range(city.nx):
        x = city.x_of(i)
        yield [(x - HALF, -1.0), (x + HALF, -1.0), (x + HALF, city.y_of(0) - HALF - RADIUS), (x - HALF, city.y_of(0) - HALF - RADIUS)]


def package(path):
    if os.path.exists(path):
        os.remove(path)
    return ogr.GetDriverByName("GPKG").CreateDataSource(path, options=["VERSION=1.3"])


def write_street(city, folder, srs, broken):
    text, real = ogr.OFTString, ogr.OFTReal
    rng = np.random.default_rng(SEED + 3)
    source = package(os.path.join(folder, "street.gpkg"))
    source.StartTransaction()
    layer = Layer(source, "curbs", ogr.wkbLineString,
                  [("id", text), ("kind", text), ("street", text), ("side", text), ("height_m", real)], srs, city)
    for k, (kind, street, side, points, height) in enumerate(break_curbs(curb_pieces(city), broken, rng), 1):
        layer.line(points, f"curb-{k}", kind, street, side, height)
    layer = Layer(source, "pavement", ogr.wkbPolygon, [("id", text)], srs, city)
    for k, ring in enumerate(pavement_pieces(city), 1):
        layer.polygon(ring, f"pavement-{k}")
    layer = Layer(source, "inlets", ogr.wkbPoint, [("id", text), ("length_m", real)], srs, city)
    none_yet = True
    for j in range(city.ny):
        for i in range(city.nx):
            here = city.level[j + 1, i + 1]
            around = (city.level[j, i + 1], city.level[j + 2, i + 1] if j + 1 < city.ny else 1e9,
                      city.level[j + 1, i], city.level[j + 1, i + 2] if i + 1 < city.nx else 1e9)
            low = here < min(around)
            x, y = city.x_of(i) + HALF + RADIUS + 2.0, city.y_of(j) + HALF + 0.2
            # A layer without a feature would be refused: the first corner gets one in any case.
            if (low or rng.random() < 0.2 or none_yet) and x < city.side - 20.0 and y < city.side - 20.0:
                layer.point(x, y, f"inlet-{j + 1}-{i + 1}", 3.0 if low else 1.5)
                none_yet = False
    layer = Layer(source, "outfalls", ogr.wkbPoint, [("id", text)], srs, city)
    for j in range(city.ny):
        for name, off in (("south", -HALF - 0.2), ("north", HALF + 0.2)):
            if city.y_of(j) + HALF + 2.0 < city.side:
                layer.point(3.0, city.y_of(j) + off, f"row-{j + 1}-{name}")
    for i in range(city.nx):
        for name, off in (("west", -HALF - 0.2), ("east", HALF + 0.2)):
            if city.x_of(i) + HALF + 2.0 < city.side:
                layer.point(city.x_of(i) + off, 3.0, f"line-{i + 1}-{name}")
    source.CommitTransaction()


def write_lots(city, folder, srs, most):
    text = ogr.OFTString
    rng = np.random.default_rng(SEED + 4)
    source = package(os.path.join(folder, "lots.gpkg"))
    source.StartTransaction()
    lots = Layer(source, "lots", ogr.wkbPolygon, [("number", text)], srs, city)
    buildings = Layer(source, "buildings", ogr.wkbPolygon, [("number", text)], srs, city)
    surfaces = Layer(source, "surfaces", ogr.wkbPolygon, [("cover", text)], srs, city)
    soils = Layer(source, "soils", ogr.wkbPolygon, [("soil_group", text)], srs, city)
    number = 0
    for _, _, w, s in city.blocks():
        n = s + BLOCK_Y
        surfaces.box(w + 2.0, s + 2.0, w + BLOCK_X - 2.0, s + 3.5, "walk")
        surfaces.box(w + 2.0, n - 3.5, w + BLOCK_X - 2.0, n - 2.0, "walk")
        for inward, street_y in ((1.0, s), (-1.0, n)):
            for k in range(LOTS_A_SIDE):
                if number >= most:
                    continue
                number += 1
                x0, x1 = w + k * LOT, w + (k + 1) * LOT
                front, back = street_y + 3.5 * inward, (s + n) / 2.0
                lots.box(x0, min(front, back), x1, max(front, back), str(number))
                hx = x0 + 2.0 + rng.uniform(0.0, 2.0)
                near = street_y + (10.0 + rng.uniform(0.0, 3.0)) * inward
                far = near + rng.uniform(9.0, 12.0) * inward
                buildings.box(hx, min(near, far), hx + rng.uniform(10.0, 14.0), max(near, far), str(number))
                cover = ("gravel", "yard_desert", "grass_fair", "yard_desert")[int(rng.integers(0, 4))]
                if cover != "yard_desert":
                    surfaces.box(x0, min(front, back), x1, max(front, back), cover)
                drive = w + (k + 0.75) * LOT
                ends = (street_y, street_y + 10.0 * inward)
                surfaces.box(drive - DRIVEWAY / 2, min(ends), drive + DRIVEWAY / 2, max(ends), "yard_paving")
    for k, group in enumerate("BC"):
        soils.box(k * city.side / 2, 0.0, (k + 1) * city.side / 2, city.side, group)
    source.CommitTransaction()
    return number


def write_cuts(city, folder, most):
    """On the east-west sides of the whole blocks, between driveways."""
    rng = np.random.default_rng(SEED + 5)
    south = NORTH - city.side
    places = [(j, i, side, k, x)
              for i, j, w, s in city.blocks() for side in ("n", "s") for k in range(1, LOTS_A_SIDE)
              for x in [w + (k + 0.25 + 0.2 * rng.random()) * LOT]]
    chosen = sorted(rng.permutation(len(places))[:most])
    with open(os.path.join(folder, "cuts.csv"), "w", encoding="utf-8", newline="") as out:
        out.write("id,x,y,opening_in\r\n")
        for c in chosen:
            j, i, side, k, x = places[c]
            y = city.y_of(j) + HALF + 0.3 if side == "s" else city.y_of(j + 1) - HALF - 0.3
            out.write(f"row{j + 1}-line{i + 1}-{side}{k},{WEST + x:.2f},{south + y:.2f},{24 if c % 5 == 0 else ''}\r\n")
    return len(chosen)


STUDY = """# A made city for speed and memory; see scripts/make_city.py.
format = 1
title = "City grid"

[ground]
elevation = "ground.tif"
elevation_error = "2 cm"

[street.curbs]
file = "street.gpkg"
layer = "curbs"
fields = { id = "id", kind = "kind", street = "street", side = "side", height = { field = "height_m", unit = "m" } }

[street.pavement]
file = "street.gpkg"
layer = "pavement"

[street.cuts]
file = "cuts.csv"
fields = { id = "id", x = "x", y = "y", opening = { field = "opening_in", unit = "in" } }

[street.inlets]
file = "street.gpkg"
layer = "inlets"
fields = { id = "id", length = { field = "length_m", unit = "m" } }

[street.outfalls]
file = "street.gpkg"
layer = "outfalls"
fields = { id = "id" }

[lots.lots]
file = "lots.gpkg"
layer = "lots"
fields = { id = "number" }

[lots.buildings]
file = "lots.gpkg"
layer = "buildings"
fields = { id = "number" }

[lots.surfaces]
file = "lots.gpkg"
layer = "surfaces"
fields = { surface = "cover" }

[soil.groups]
file = "lots.gpkg"
layer = "soils"
fields = { group = "soil_group" }

[rain]
two_year_1h = "22 mm"
ten_year_1h = "36 mm"

[basin]
opening = "18 in"
length = "10 ft"
width = "5 ft"
side_slope = 2.0
ponding = "6 in"
setback = "1 ft"
infiltration = "1 in/h"
infiltration_origin = "study"
"""


def main():
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("folder")
    words.add_argument("--cells", type=int, default=FULL_CITY, help="cells a side, 0.5 m each")
    words.add_argument("--lots", type=int, default=20000)
    words.add_argument("--cuts", type=int, default=5000)
    words.add_argument("--broken-curbs", type=float, default=0.0, metavar="SHARE")
    asked = words.parse_args()
    share = (asked.cells / FULL_CITY) ** 2
    os.makedirs(asked.folder, exist_ok=True)
    gdal.SetConfigOption("OGR_CURRENT_DATE", "2026-01-01T00:00:00Z")
    srs = osr.SpatialReference()
    srs.ImportFromEPSG(32612)
    srs.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
    city = City(asked.cells)
    write_ground(city, os.path.join(asked.folder, "ground.tif"), srs)
    write_street(city, asked.folder, srs, asked.broken_curbs)
    lots = write_lots(city, asked.folder, srs, asked.lots)
    cuts = write_cuts(city, asked.folder, max(1, round(asked.cuts * share)))
    with open(os.path.join(asked.folder, "study.toml"), "w", encoding="utf-8") as out:
        out.write(STUDY)
    print(f"{asked.cells} x {asked.cells} cells, {city.nx} x {city.ny} crossings, {lots} lots, {cuts} cuts")


if __name__ == "__main__":
    main()
