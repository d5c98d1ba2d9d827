"""Where the water of the drawn quarter goes: an independent, simple tracer for the planted truth.

Nothing here knows curbshed. Drops start at the middle of every square metre of the drawn ground (no noise, 0.25 m) and
run down its slope in steps of 0.25 m: over the lots, freely over a curb into the street, over the pavement to the curb
or to a planned flow line. From there the gutter is one-dimensional: stations every 0.5 m along the curbs, each handing
on to its lower neighbour; where a gutter ends at a side street the planned corner says where its water goes on.
"""
import math

import numpy as np

import quarter_ground as q

FINE = 0.25
CATCH = 0.35   # a drop this near to the curb that comes no farther from it is in the gutter


class Drawn:
    """The noiseless ground at 0.25 m, by rows from the north, and what region each sample lies in (-1: pavement)."""

    def __init__(self, streets, blocks, rings):
        cols, rows = int(q.WIDTH / FINE), int(q.HEIGHT / FINE)
        x, y = np.meshgrid((np.arange(cols) + 0.5) * FINE, q.HEIGHT - (np.arange(rows) + 0.5) * FINE)
        self.region = np.full(x.shape, -1, dtype=np.int8)
        self.z = np.full(x.shape, np.nan)
        for k, (block, ring) in enumerate(zip(blocks, rings)):
            here = q.inside_ring(ring + block.closing, x, y)
            self.region[here] = k
            self.z[here] = q.block_level(block, streets, x[here], y[here])
        street = self.region < 0
        self.z[street] = q.street_level(streets, x[street], y[street])
        self.x, self.y = x, y

    def slopes(self):
        """Fall per metre east and north; neighbours across a curb do not count."""
        out = []
        for axis, sign in ((1, 1.0), (0, -1.0)):
            z, region = self.z, self.region
            ahead = np.roll(z, -1, axis) - z
            behind = z - np.roll(z, 1, axis)
            same_ahead = np.roll(region, -1, axis) == region
            same_behind = np.roll(region, 1, axis) == region
            edge = [slice(None), slice(None)]
            edge[axis] = -1
            same_ahead[tuple(edge)] = False
            edge[axis] = 0
            same_behind[tuple(edge)] = False
            count = same_ahead.astype(float) + same_behind
            g = (np.where(same_ahead, ahead, 0.0) + np.where(same_behind, behind, 0.0)) / np.maximum(count, 1.0) / FINE
            out.append((-sign * g).astype(np.float32))
        return out


class Gutters:
    """Stations along all curbs and along the planned flow lines over side streets."""

    def __init__(self, streets, blocks, rings, owners, corners):
        self.x, self.y, self.ring, self.face = [], [], [], []
        self.follow = []                     # neighbours along the curb
        self.first = []
        for k, (ring, owner) in enumerate(zip(rings, owners)):
            base, n = len(self.x), len(ring)
            self.first.append(base)
            closed = not blocks[k].outside
            for i, (px, py) in enumerate(ring):
                a, b = ring[(i - 1) % n if closed else max(i - 1, 0)], ring[(i + 1) % n if closed else min(i + 1, n - 1)]
                dx, dy = b[0] - a[0], b[1] - a[1]
                length = math.hypot(dx, dy)
                self.x.append(px + 0.3 * dy / length)
                self.y.append(py - 0.3 * dx / length)
                self.ring.append(k)
                self.face.append(owner[i])
                near = [(i - 1) % n, (i + 1) % n] if closed else [j for j in (i - 1, i + 1) if 0 <= j < n]
                self.follow.append([base + j for j in near])
        self.on_curb = len(self.x)
        self.line_of = {}
        for c in corners:
            if c.kind not in ("cross", "valley"):
                continue
            n = int(math.dist(c.start, c.end) / FINE)
            self.line_of[c.name] = (len(self.x), len(self.x) + n)
            for i in range(n):
                self.x.append(c.start[0] + (c.end[0] - c.start[0]) * i / n)
                self.y.append(c.start[1] + (c.end[1] - c.start[1]) * i / n)
                self.ring.append(-1)
                self.face.append(-1)
                self.follow.append([])
        self.x, self.y = np.array(self.x), np.array(self.y)
        self.streets = streets
        self.level = q.street_level(streets, self.x, self.y)
        self.corners = corners

    def nearest_on_curb(self, p):
        return int(np.hypot(self.x[:self.on_curb] - p[0], self.y[:self.on_curb] - p[1]).argmin())

    def connect(self, closed=()):
        """next station of each (-1: stops there), why gutters stop, and the corner whose line a station feeds.

        `closed`: names of corners whose valley gutter is left out (the water turns into the side street instead).
        """
        n = len(self.x)
        following = np.full(n, -1, dtype=np.int64)
        stops = []
        for i in range(self.on_curb):
            low = min(self.follow[i], key=lambda j: self.level[j])
            if self.level[low] < self.level[i]:
                following[i] = low
            else:
                stops.append(i)
        why = {}
        for c in self.corners:
            if c.name not in self.line_of:
                continue
            a, b = self.line_of[c.name]
            end = self.nearest_on_curb(c.end)
            following[a:b] = np.append(np.arange(a + 1, b), end)
            best = None
            for i in stops:
                d = math.hypot(self.x[i] - c.start[0], self.y[i] - c.start[1])
                if d < 6.0 and (best is None or d < best[0]):
                    best = (d, i)
            if best is not None:
                following[best[1]] = self.into_side_street(best[1], c) if c.name in closed else a
                why[best[1]] = c.name
        self.hollows = {}
        for i in stops:
            if i in why:
                continue
            if min(self.x[i], q.WIDTH - self.x[i], self.y[i], q.HEIGHT - self.y[i]) < 5.0:
                why[i] = "leaves"
                continue
            following[i], depth = self.over_the_lower_rim(i)
            why[i] = "sag" if depth > 0.05 else "dip"
            if why[i] == "sag":
                self.hollows[i] = depth
        self.spill_over_crowns(following)
        return following, why

    def walk(self, i, step):
        """Stations along the curb from i in one sense until it ends."""
        seen, last = [i], i
        at = self.follow[i][0 if step < 0 or len(self.follow[i]) == 1 else 1]
        while at not in (i, -1) and len(seen) < 4000:
            seen.append(at)
            ahead = [j for j in self.follow[at] if j != last]
            last = at
            at = ahead[0] if ahead else -1
        return seen

    def over_the_lower_rim(self, i):
        """Where water goes that fills the hollow at station i, and how deep it is: along the curb over the lower of the
        two rises, to the first place lower than the hollow."""
        best = None
        for step in (-1, 1):
            way = self.walk(i, step)
            lower = next((k for k, j in enumerate(way) if self.level[j] < self.level[i]), None)
            if lower is None:
                continue
            rim = max(self.level[j] for j in way[:lower])
            if best is None or rim < best[0]:
                best = (rim, way[lower])
        return (best[1], best[0] - self.level[i]) if best else (-1, math.inf)

    def spill_over_crowns(self, following):
        """A sag whose crown is lower than its rims joins or feeds the gutter on the other side."""
        along = dict(self.hollows)
        for i in along:
            near = np.hypot(self.x[:self.on_curb] - self.x[i], self.y[:self.on_curb] - self.y[i])
            near[np.array(self.ring[:self.on_curb]) == self.ring[i]] = math.inf
            other = int(near.argmin())
            part = np.linspace(0.0, 1.0, 60)
            over = q.street_level(self.streets, self.x[i] + part * (self.x[other] - self.x[i]),
                                  self.y[i] + part * (self.y[other] - self.y[i])).max() - self.level[i]
            if over >= along[i]:
                continue
            twin = next((j for j in along if self.ring[j] != self.ring[i]
                         and math.hypot(self.x[j] - self.x[i], self.y[j] - self.y[i]) < 14.0), None)
            if twin is None:
                following[i], self.hollows[i] = other, over
            elif along[twin] < along[i] or (along[twin] == along[i] and twin < i):
                following[i], self.hollows[i] = twin, along[twin]

    def into_side_street(self, i, corner):
        """Past the valley gutter's lip, along the curb into the side street."""
        dx, dy = corner.end[0] - corner.start[0], corner.end[1] - corner.start[1]
        for step in (-1, 1):
            way = self.walk(i, step)
            far = [j for j in way if math.hypot(self.x[j] - corner.start[0], self.y[j] - corner.start[1]) > 14.0]
            j = far[0]
            along = abs((self.x[j] - corner.start[0]) * dx + (self.y[j] - corner.start[1]) * dy) / math.hypot(dx, dy)
            if along < 8.0:
                return j
        return -1


def nearest_station(gutters, shape):
    """For cells within 1.2 m of a station: which, and how far."""
    which = np.full(shape, -1, dtype=np.int32)
    far = np.full(shape, 9.0, dtype=np.float32)
    reach = int(1.2 / FINE) + 1
    # On the curb itself: a station's place is 0.3 m from the curb, so the distance below is taken along the pavement.
    row = ((q.HEIGHT - gutters.y) / FINE).astype(int)
    col = (gutters.x / FINE).astype(int)
    order = np.arange(len(row))
    for dr in range(-reach, reach + 1):
        for dc in range(-reach, reach + 1):
            r, c = row + dr, col + dc
            ok = (r >= 0) & (r < shape[0]) & (c >= 0) & (c < shape[1])
            r, c, who = r[ok], c[ok], order[ok]
            px, py = (c + 0.5) * FINE, q.HEIGHT - (r + 0.5) * FINE
            d = np.hypot(px - gutters.x[who], py - gutters.y[who]).astype(np.float32)
            # stations sharing a cell: the nearest wins, then the lower number
            rank = np.lexsort((who, d))[::-1]
            r, c, who, d = r[rank], c[rank], who[rank], d[rank]
            better = d < far[r, c]
            far[r[better], c[better]] = d[better]
            which[r[better], c[better]] = who[better]
    return which, far


def run_drops(drawn, gutters, spacing=1.0):
    """Station that each drop reaches (-1: off the data, -2: stopped on the way), with where it started."""
    fall_x, fall_y = drawn.slopes()
    which, far = nearest_station(gutters, drawn.z.shape)
    xs, ys = np.meshgrid(np.arange(spacing / 2, q.WIDTH, spacing), np.arange(spacing / 2, q.HEIGHT, spacing))
    x0, y0 = xs.ravel() + 0.01, ys.ravel() + 0.01
    end = np.full(x0.size, -2, dtype=np.int64)
    live = np.arange(x0.size)
    x, y = x0.copy(), y0.copy()
    mark_x, mark_y = x.copy(), y.copy()
    rows, cols = drawn.z.shape
    row, col = ((q.HEIGHT - y) / FINE).astype(int), (x / FINE).astype(int)
    for step in range(4000):
        if live.size == 0:
            break
        gx, gy = fall_x[row, col], fall_y[row, col]
        size = np.maximum(np.hypot(gx, gy), 1e-9)
        nx, ny = x + FINE * gx / size, y + FINE * gy / size
        out = (nx <= 0) | (nx >= q.WIDTH) | (ny <= 0) | (ny >= q.HEIGHT)
        nrow = np.clip(((q.HEIGHT - ny) / FINE).astype(int), 0, rows - 1)
        ncol = np.clip((nx / FINE).astype(int), 0, cols - 1)
        was, now = drawn.region[row, col], drawn.region[nrow, ncol]
        station, d_new, d_old = which[nrow, ncol], far[nrow, ncol], far[row, col]
        caught = (was < 0) & (now < 0) & (d_new < CATCH) & (d_new <= d_old + 1e-3)
        pushed = (was < 0) & (now >= 0)          # pressed against the curb
        station = np.where(pushed, which[row, col], station)
        done = out | ((caught | pushed) & (station >= 0))
        end[live[done]] = np.where(out[done], -1, station[done])
        keep = ~done
        if step % 60 == 59:
            still = np.hypot(nx - mark_x[live], ny - mark_y[live]) < 1.0
            near = still & keep & (now < 0) & (station >= 0) & (d_new < 1.2)
            end[live[near]] = station[near]
            keep &= ~still
            mark_x[live], mark_y[live] = nx, ny
        live, x, y, row, col = live[keep], nx[keep], ny[keep], nrow[keep], ncol[keep]
    return x0, y0, end


def gather(gutters, following, own, places):
    """Area past each station, and for each place (station): all that comes by, and what no place above it meets first."""
    n = len(following)
    into = np.zeros(n, dtype=int)
    for j in following[following >= 0]:
        into[j] += 1
    total, first = own.copy(), own.copy()
    ready = [i for i in range(n) if into[i] == 0]
    stop = set(places)
    count = 0
    while ready:
        i = ready.pop()
        count += 1
        j = following[i]
        if j < 0:
            continue
        total[j] += total[i]
        if i not in stop:
            first[j] += first[i]
        into[j] -= 1
        if into[j] == 0:
            ready.append(j)
    assert count == n, f"{n - count} stations hand their water round in a circle"
    return total, first
