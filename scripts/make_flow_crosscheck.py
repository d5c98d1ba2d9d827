#!/usr/bin/python3
"""Makes tests/data/flow_crosscheck.txt out of a real elevation raster and its filled form by another library.

The terrain tests read no GeoTIFF, so the two rasters are kept as text: all heights, and the cells that filling raised.

usage: scripts/make_flow_crosscheck.py FOLDER        (with dem.tif and filled.tif; Debian package python3-gdal)
"""
import pathlib
import sys

from osgeo import gdal

OUT = pathlib.Path(__file__).resolve().parent.parent / "tests/data/flow_crosscheck.txt"


def heights(path):
    gdal.UseExceptions()
    dataset = gdal.Open(str(path))  # the band lives no longer than this
    band = dataset.GetRasterBand(1)
    grid = band.ReadAsArray()
    if band.GetNoDataValue() is not None and (grid == band.GetNoDataValue()).any():
        sys.exit(f"{path}: has cells without data")
    if (grid != grid.astype(int)).any():
        sys.exit(f"{path}: heights are not whole metres")
    return grid.astype(int)


def main():
    folder = pathlib.Path(sys.argv[1])
    ground = heights(folder / "dem.tif")
    filled = heights(folder / "filled.tif")
    rows, cols = ground.shape
    raised = [(r, c) for r in range(rows) for c in range(cols) if filled[r, c] != ground[r, c]]
    lines = [
        "# SOURCE heights: SRTM 1 arc-second, NASA/USGS, public domain, near 24.34 S 151.00 E, metres; as carried by",
        "# SOURCE github.com/KennethTM/flowdem (MIT), inst/extdata/dem.tif and filled.tif, commit",
        "# SOURCE 98cdb201e98bf4692bfa7f6d69e2bcae29590047. Text made by scripts/make_flow_crosscheck.py.",
        "# `ground ROWS COLS` and the heights row by row; `raised N` and N lines of row, column, filled level.",
        f"ground {rows} {cols}",
    ]
    lines += [" ".join(map(str, row)) for row in ground]
    lines.append(f"raised {len(raised)}")
    lines += [f"{r} {c} {filled[r, c]}" for r, c in raised]
    OUT.write_text("\n".join(lines) + "\n", encoding="ascii")
    print(f"{OUT.name}: {rows} x {cols}, {len(raised)} cells raised by {(filled - ground).sum()} m in all")


if __name__ == "__main__":
    main()
