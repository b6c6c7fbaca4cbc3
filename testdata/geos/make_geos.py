#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Writes geos_margins.csv and geos_segments.csv by the GEOS geometry library
(Debian python3-shapely).

geos_margins.csv: a set of feet, a point, and its static margin: the distance
to the boundary of the convex hull of the feet, positive inside; minus the
distance to the hull where the hull is a line or a point.
geos_segments.csv: two segments of the plane and their distance.
Run it in this folder; the seed is fixed.
"""
import csv
import math
import random

from shapely.geometry import LineString, MultiPoint, Point

rnd = random.Random(20240301)


def u(a=0.25):
    return rnd.uniform(-a, a)


def margin(feet, p):
    hull = MultiPoint(feet).convex_hull
    at = Point(p)
    if hull.geom_type != "Polygon":
        return -hull.distance(at)
    m = hull.exterior.distance(at)
    return m if hull.contains(at) else -m


def on_line(n, a, b):
    """n points on the line a-b, both ends among them."""
    ts = [0.0, 1.0] + [rnd.random() for _ in range(n - 2)]
    return [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in ts]


def sets():
    """Yields a kind, feet and points to try."""
    for n in range(3, 13):
        for _ in range(40):
            feet = [(u(), u()) for _ in range(n)]
            yield "random", feet, (u(0.3), u(0.3))
            if rnd.random() < 0.3:
                c = MultiPoint(feet).convex_hull.centroid
                yield "random", feet, (c.x, c.y)
    for n in range(3, 13):
        for _ in range(6):
            feet = [(u(), u()) for _ in range(n)]
            hull = MultiPoint(feet).convex_hull
            ring = list(hull.exterior.coords)
            k = rnd.randrange(len(ring) - 1)
            (ax, ay), (bx, by) = ring[k], ring[k + 1]
            t = rnd.random()
            yield "edge", feet, (ax + t * (bx - ax), ay + t * (by - ay))
            yield "vertex", feet, ring[k]
            # Beside a corner the corner is the nearest.
            cx, cy = hull.centroid.x, hull.centroid.y
            yield "corner", feet, (ax + (ax - cx) * 0.5, ay + (ay - cy) * 0.5)
    for _ in range(15):
        a, b = (u(), u()), (u(), u())
        yield "one", [a], (u(), u())
        yield "one", [a], a
        yield "one", [a] * 4, (u(), u())
        yield "two", [a, b], (u(0.4), u(0.4))
        yield "two", [a, b, a, b, b], (u(0.4), u(0.4))
        yield "two", [a, b], ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    for n in range(3, 9):
        for _ in range(8):
            a = (round(u(), 3), round(u(), 3))
            # Exact lines along the axes; oblique ones are so to rounding.
            yield "line", on_line(n, a, (a[0] + 0.25, a[1])), (u(0.4), u(0.4))
            yield "line", on_line(n, a, (a[0], a[1] + 0.25)), (u(0.4), u(0.4))
            yield "oblique", on_line(n, a, (u(), u())), (u(0.4), u(0.4))
            # Upright to rounding, the heights in any order.
            feet = [(a[0] + rnd.choice((-1, 0, 1)) * 10.0 ** rnd.randint(-17, -10), u())
                    for _ in range(n)]
            yield "upright", feet, (u(0.4), u(0.4))
            # A hair off a line: 1e-3 m and far less.
            for off in (1e-3, 1e-6, 1e-9):
                h = rnd.uniform(0, math.pi)
                feet = []
                for _ in range(n):
                    s, o = u(), rnd.uniform(-off, off)
                    feet.append((s * math.cos(h) - o * math.sin(h),
                                 s * math.sin(h) + o * math.cos(h)))
                yield f"near{off:g}", feet, (u(0.4), u(0.4))
                s = u(0.1)
                yield f"near{off:g}", feet, (s * math.cos(h), s * math.sin(h))
    for n in range(3, 7):
        for _ in range(8):
            feet = [(u(), u()) for _ in range(n)]
            yield "twice", feet + feet, (u(0.3), u(0.3))


def segments():
    for k in range(400):
        a, b, c, d = [(u(), u()) for _ in range(4)]
        kind = ("random", "parallel", "nearly", "point", "touch", "line")[k % 6]
        if kind == "parallel":
            o = (u(), u())
            s = rnd.choice((1, -1)) * rnd.uniform(0.1, 2)
            c = o
            d = (o[0] + s * (b[0] - a[0]), o[1] + s * (b[1] - a[1]))
        elif kind == "nearly":
            e = 10.0 ** rnd.randint(-12, -3)
            c = (a[0] + u(), a[1] + u(1e-3))
            d = (c[0] + b[0] - a[0] + e * u(), c[1] + b[1] - a[1] + e * u())
        elif kind == "point":
            d = c
        elif kind == "touch":
            t = rnd.random()
            c = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
        elif kind == "line":
            s, t = rnd.uniform(-2, 2), rnd.uniform(-2, 2)
            c = (a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]))
            d = (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
        p = Point(a) if a == b else LineString([a, b])
        q = Point(c) if c == d else LineString([c, d])
        yield [kind, *map(repr, [*a, *b, *c, *d, p.distance(q)])]


def main():
    rows = []
    for kind, feet, p in sets():
        flat = [v for f in feet for v in f] + [""] * (24 - 2 * len(feet))
        rows.append([kind, *(v if v == "" else repr(float(v))
                             for v in [p[0], p[1], margin(feet, p), *flat])])
    with open("geos_margins.csv", "w", newline="") as out:
        w = csv.writer(out, lineterminator="\n")
        w.writerow(["kind", "x_m", "y_m", "margin_m"] +
                   [f"foot{i}_{c}_m" for i in range(1, 13) for c in "xy"])
        w.writerows(rows)
    segs = list(segments())
    with open("geos_segments.csv", "w", newline="") as out:
        w = csv.writer(out, lineterminator="\n")
        w.writerow(["kind", "ax_m", "ay_m", "bx_m", "by_m", "cx_m", "cy_m",
                    "dx_m", "dy_m", "distance_m"])
        w.writerows(segs)
    print(len(rows), "margins,", len(segs), "segment pairs")


main()
