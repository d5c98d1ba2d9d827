#!/usr/bin/python3
"""Makes tests/data/reconstruction_reference.txt: grounds and their filled levels by another program's algorithm.

Without walls, the level to which water stands is the morphological reconstruction by erosion of the ground from its
border (8 neighbours). scikit-image computes that by its own method; the test compares ours with it, cell by cell.
Heights are whole millimetres, so nothing is rounded on the way.

usage: scripts/make_reconstruction_reference.py      (Debian packages python3-skimage, python3-numpy; no network)
"""
import pathlib

import numpy
import skimage
from skimage.morphology import reconstruction

OUT = pathlib.Path(__file__).resolve().parent.parent / "tests/data/reconstruction_reference.txt"


def rough(rng, rows, cols):
    """Blocks of chance at several sizes, added up."""
    ground = numpy.zeros((rows, cols))
    for size, height in ((24, 900), (12, 500), (6, 240), (3, 120), (1, 40)):
        blocks = rng.integers(0, height + 1, (rows // size + 2, cols // size + 2))
        ground += numpy.kron(blocks, numpy.ones((size, size)))[:rows, :cols]
    return ground.astype(int)


def bowls(rng, rows, cols):
    """Nested bowls on a slope."""
    r, c = numpy.mgrid[0:rows, 0:cols]
    ground = 20 * c + 4000
    for _ in range(12):
        at_r, at_c, radius = rng.integers(0, rows), rng.integers(0, cols), rng.integers(3, 15)
        distance = numpy.hypot(r - at_r, c - at_c)
        ground = ground - (numpy.clip(radius - distance, 0, None) * 90).astype(int)
    return ground


def main():
    rng = numpy.random.Generator(numpy.random.PCG64(20240217))
    grounds = {
        "white_noise": rng.integers(0, 2000, (40, 50)),
        "many_ties": rng.integers(0, 6, (37, 53)),
        "rough": rough(rng, 64, 48),
        "nested_bowls": bowls(rng, 48, 64),
        "one_row": rng.integers(0, 9, (1, 30)),
        "two_rows": rng.integers(0, 9, (2, 30)),
    }
    lines = [
        "# SOURCE made by scripts/make_reconstruction_reference.py: skimage.morphology.reconstruction, method 'erosion',",
        f"# SOURCE footprint 3 x 3, border as seed; scikit-image {skimage.__version__}, numpy {numpy.__version__}.",
        "# `raster NAME ROWS COLS`, then the ground and the filled levels, row by row, in millimetres.",
    ]
    for name, ground in grounds.items():
        seed = numpy.full(ground.shape, ground.max())
        border = numpy.ones(ground.shape, bool)
        border[1:-1, 1:-1] = False
        seed[border] = ground[border]
        filled = reconstruction(seed, ground, method="erosion", footprint=numpy.ones((3, 3)))
        lines.append(f"raster {name} {ground.shape[0]} {ground.shape[1]}")
        for grid in (ground, filled):
            lines += [" ".join(str(int(v)) for v in row) for row in grid]
    OUT.write_text("\n".join(lines) + "\n", encoding="ascii")
    print(f"{OUT.name}: {len(grounds)} rasters, {OUT.stat().st_size} bytes")


if __name__ == "__main__":
    main()
