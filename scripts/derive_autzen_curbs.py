#!/usr/bin/python3
"""Finds the curbs and the crown of the arterial in the street-block elevation model from its relief alone.

    scripts/derive_autzen_curbs.py ELEVATION.tif OUT.geojson [PICTURE.png]

Three lines are followed from west to east, one row a column, by dynamic programming: the path that collects the most of a
measure inside a corridor about a straight guess, moving at most one row a column.
  curbs: the rise of the ground going out of the street, over two cells to each side, averaged over 5 columns (along the
    north edge beyond the junction: rise or fall);
  crown: the height, averaged over 20 m along the street, less the highest in the corridor of the same column.
The guesses were read off the hillshade once (see GUESS). No chance is used; the same raster gives the same bytes.
Needs Debian's python3-gdal and python3-numpy (python3-matplotlib for the picture).
"""
import json
import sys

import numpy as np
from osgeo import gdal

FIRST, LAST = 66, 1046  # columns between the side streets at both ends
SLOPE = -0.0485         # rows a column: the street's direction
JUNCTION = 540          # column of the side street to the north; beyond it the north edge falls to a swale
CHANGE = 0.01           # price in metres of moving one row
# name: (row at FIRST, row at LAST, half width of the corridor in rows west and east of the junction)
GUESS = {
    "north curb": (500.0, 451.0, 9, 7),
    "south curb": (535.0, 488.5, 10, 10),
    "crown": (515.0, 471.0, 6, 6),
}
EVERY = 4     # columns between the points that are kept
SMOOTH = 9    # columns of the running mean over the path


def along_mean(a, columns):
    """Mean over `columns` columns along the street's direction."""
    half = columns // 2
    rows = np.arange(a.shape[0])
    total = np.zeros_like(a)
    for d in range(-half, half + 1):
        source = np.clip(np.arange(a.shape[1]) + d, 0, a.shape[1] - 1)
        shift = SLOPE * d
        low = int(np.floor(shift))
        part = shift - low
        r0 = np.clip(rows + low, 0, a.shape[0] - 1)
        r1 = np.clip(rows + low + 1, 0, a.shape[0] - 1)
        total += (1.0 - part) * a[np.ix_(r0, source)] + part * a[np.ix_(r1, source)]
    return total / (2 * half + 1)


def best_path(gain, guess, halves):
    """Rows of the path with the largest sum of gain[row, column], within the corridor about the guess."""
    columns = np.arange(FIRST, LAST + 1)
    centre = np.rint(np.interp(columns, [FIRST, LAST], guess)).astype(int)
    half = max(halves)
    width = 2 * half + 1
    reach = np.where(columns < JUNCTION, halves[0], halves[1])
    score = np.full((len(columns), width), -np.inf)
    back = np.zeros((len(columns), width), int)
    for i, c in enumerate(columns):
        own = gain[centre[i] - half:centre[i] + half + 1, c].copy()
        own[np.abs(np.arange(width) - half) > reach[i]] = -1.0
        if i == 0:
            score[0] = own
            continue
        shift = centre[i] - centre[i - 1]
        for k in range(width):
            before = [j for j in (k + shift - 1, k + shift, k + shift + 1) if 0 <= j < width]
            best = max(before, key=lambda j: score[i - 1, j] - CHANGE * abs(j - k - shift))
            score[i, k] = own[k] + score[i - 1, best] - CHANGE * abs(best - k - shift)
            back[i, k] = best
    k = int(np.argmax(score[-1]))
    path = []
    for i in range(len(columns) - 1, -1, -1):
        path.append(centre[i] - half + k)
        k = back[i, k]
    return columns, np.array(path[::-1], float)


def main():
    if len(sys.argv) not in (3, 4):
        sys.exit(__doc__)
    gdal.UseExceptions()
    gdal.SetConfigOption("GDAL_PAM_ENABLED", "NO")
    raster = gdal.Open(sys.argv[1])
    west, cell, _, north, _, _ = raster.GetGeoTransform()
    z = raster.ReadAsArray().astype(float)
    down = np.zeros_like(z)  # rise toward the south across the lower edge of each row
    down[1:-2] = 0.5 * (z[2:-1] + z[3:] - z[1:-2] - z[:-3])
    rise = along_mean(down, 5)
    height = along_mean(z, 41)
    lines = {}
    for name, (a, b, half, half_east) in GUESS.items():
        if name == "crown":
            gain = height.copy()
            for c in range(FIRST, LAST + 1):
                middle = int(round(np.interp(c, [FIRST, LAST], (a, b))))
                gain[:, c] -= gain[middle - half:middle + half + 1, c].max()
            at = 0.5
        else:
            gain = rise.copy() if name == "south curb" else -rise
            if name == "north curb":
                gain[:, JUNCTION:] = np.abs(gain[:, JUNCTION:])
            at = 1.0
        columns, rows = best_path(gain, (a, b), (half, half_east))
        padded = np.pad(rows, SMOOTH // 2, mode="edge")
        rows = np.convolve(padded, np.ones(SMOOTH) / SMOOTH, mode="valid")
        keep = list(range(0, len(columns), EVERY))
        if keep[-1] != len(columns) - 1:
            keep.append(len(columns) - 1)
        lines[name] = [[round(west + (columns[i] + 0.5) * cell, 2), round(north - (rows[i] + at) * cell, 2)] for i in keep]
    document = {
        "type": "FeatureCollection",
        "name": "arterial",
        "crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26910"}},
        "features": [
            {"type": "Feature",
             "properties": {"id": name, "made": "by scripts/derive_autzen_curbs.py from the relief of the 0.5 m street-block "
                                                "elevation model; not surveyed"},
             "geometry": {"type": "LineString", "coordinates": points}} for name, points in lines.items()],
    }
    with open(sys.argv[2], "w", encoding="utf-8") as out:
        json.dump(document, out, separators=(",", ":"))
        out.write("\n")
    if len(sys.argv) == 4:
        draw(z, lines, west, north, cell, sys.argv[3])


def draw(z, lines, west, north, cell, path):
    import matplotlib
    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    south, east = np.gradient(z, cell)
    shade = np.clip(0.5 + 2.8 * (south + east), 0.0, 1.0)
    figure, axes = plt.subplots(3, 1, figsize=(18, 17))
    for axis, first in zip(axes, (0, 360, 720)):
        axis.imshow(shade[430:560, first:first + 360], cmap="gray", extent=(first, first + 360, 560, 430))
        for name, colour in (("north curb", "tab:red"), ("south curb", "tab:orange"), ("crown", "tab:blue")):
            x = [(p[0] - west) / cell for p in lines[name]]
            y = [(north - p[1]) / cell for p in lines[name]]
            axis.plot(x, y, color=colour, linewidth=1.0, label=name)
        axis.set_xlim(first, first + 360)
        axis.set_ylim(560, 430)
    axes[0].legend()
    figure.savefig(path, dpi=70, bbox_inches="tight")


if __name__ == "__main__":
    main()
