#!/usr/bin/env python3
"""Makes data.json: how much of the hole film points see through a front stack, by routes other than the core's.

- "chords": the hole is cut into 300 000 upright chords; on each the stretch left open by all layers is found
  directly (no arcs are intersected, no areas in closed form). Good to about 1e-10 for smooth openings.
- "rays": a million rays are traced from the film point through the hole; for an opening with an inward corner each ray's
  way through the layer is tested against every wall. Good to about 5e-4.

Needs Python 3 with numpy: python3 make.py. With a word behind it only the cases with that word in their name are made anew.
"""
import json, math, os, sys
import random
import numpy as np

N = 300_000


def sections(layer):
    near, far = layer["zMm"]
    bevel = layer.get("bevel")
    cuts = [(near, 0.0), (far, 0.0)]
    if bevel:
        g = bevel["depthMm"] * math.tan(math.radians(bevel["angleDeg"]))
        s = 1 if far >= near else -1
        if bevel["face"] == "near":
            cuts = [(near, g), (near + s * bevel["depthMm"], 0.0), (far, 0.0)]
        else:
            cuts = [(near, 0.0), (far - s * bevel["depthMm"], 0.0), (far, g)]
    return cuts


def offset_polygon(pts, g):
    """Every side moved outwards by g: neighbouring lines met anew."""
    n = len(pts)
    area = sum(pts[i - 1][0] * pts[i][1] - pts[i][0] * pts[i - 1][1] for i in range(n))
    if area < 0:
        pts = pts[::-1]
    lines = []
    for i in range(n):
        (x0, y0), (x1, y1) = pts[i], pts[(i + 1) % n]
        l = math.hypot(x1 - x0, y1 - y0)
        nx, ny = (y1 - y0) / l, -(x1 - x0) / l
        lines.append((nx, ny, nx * x0 + ny * y0 + g))
    out = []
    for i in range(n):
        a, b, c = lines[i - 1]
        d, e, f = lines[i]
        det = a * e - b * d
        out.append(((c * e - b * f) / det, (a * f - c * d) / det))
    return out


def moved(layer, x, y):
    r = math.radians(layer.get("rotationDeg") or 0)
    sx, sy = layer.get("shiftMm") or (0, 0)
    return sx + x * math.cos(r) - y * math.sin(r), sy + x * math.sin(r) + y * math.cos(r)


def shape_at(layer, g):
    """('round', circles, hull segments) or ('polygon', points), in the plane of the section."""
    o = layer["opening"]
    if o["shape"] == "circle":
        return "round", [(*moved(layer, 0, 0), o["diameterMm"] / 2 + g)], []
    if o["shape"] == "rectangle":
        r = o.get("cornerRadiusMm") or 0
        w, h = o["widthMm"] / 2 + g, o["heightMm"] / 2 + g
        if r == 0:
            return "polygon", [moved(layer, *p) for p in [(w, h), (-w, h), (-w, -h), (w, -h)]]
        r += g
        mids = [moved(layer, *p) for p in [(w - r, h - r), (r - w, h - r), (r - w, r - h), (w - r, r - h)]]
        segs = []
        for (x0, y0), (x1, y1) in [((w, h - r), (w, r - h)), ((-w, h - r), (-w, r - h)), ((w - r, h), (r - w, h)), ((w - r, -h), (r - w, -h))]:
            segs.append((moved(layer, x0, y0), moved(layer, x1, y1)))
        return "round", [(*m, r) for m in mids], segs
    pts = [tuple(p) for p in o["pointsMm"]]
    pts = offset_polygon(pts, g) if g else pts
    return "polygon", [moved(layer, *p) for p in pts]


def project(q, z, p, f):
    return ((q[0] + p[0] * z / f) / (1 + z / f), (q[1] + p[1] * z / f) / (1 + z / f))


def convex(pts):
    n = len(pts)
    s = [(pts[(i + 1) % n][0] - pts[i][0]) * (pts[(i + 2) % n][1] - pts[i][1]) - (pts[(i + 1) % n][1] - pts[i][1]) * (pts[(i + 2) % n][0] - pts[i][0]) for i in range(n)]
    return all(v >= 0 for v in s) or all(v <= 0 for v in s)


def interval(shape, z, p, f, x):
    """Lowest and highest y of a convex opening on each chord."""
    lo = np.full_like(x, np.inf)
    hi = np.full_like(x, -np.inf)
    k = 1 / (1 + z / f)
    segs = []
    if shape[0] == "round":
        for cx, cy, r in shape[1]:
            cx, cy = project((cx, cy), z, p, f)
            d = (r * k) ** 2 - (x - cx) ** 2
            ok = d >= 0
            h = np.sqrt(np.where(ok, d, 0))
            lo = np.where(ok, np.minimum(lo, cy - h), lo)
            hi = np.where(ok, np.maximum(hi, cy + h), hi)
        segs = shape[2]
    else:
        n = len(shape[1])
        segs = [(shape[1][i], shape[1][(i + 1) % n]) for i in range(n)]
    for a, b in segs:
        (x0, y0), (x1, y1) = project(a, z, p, f), project(b, z, p, f)
        if x0 == x1:
            continue
        t = (x - x0) / (x1 - x0)
        ok = (t >= 0) & (t <= 1)
        y = y0 + t * (y1 - y0)
        lo = np.where(ok, np.minimum(lo, y), lo)
        hi = np.where(ok, np.maximum(hi, y), hi)
    return lo, hi


def hole_loops(hole):
    o = hole["outlineMm"]
    return o if isinstance(o[0][0], list) else [o]


def signed(loop):
    return sum(loop[i - 1][0] * loop[i][1] - loop[i][0] * loop[i - 1][1] for i in range(len(loop))) / 2


def chords(stack, p, f, lines=N):
    hole = stack["hole"]
    polys = []      # openings that are not convex, thin: they cut the chord into pieces
    convexes = []
    breaks = []
    for layer in stack["layers"]:
        for z, g in sections(layer):
            shape = shape_at(layer, g)
            if shape[0] == "polygon":
                breaks += [project(q, z, p, f)[0] for q in shape[1]]
            if shape[0] == "polygon" and not convex(shape[1]):
                assert len(sections(layer)) == 2 and layer["zMm"][0] == layer["zMm"][1]
                polys.append([project(q, z, p, f) for q in shape[1]])
                break
            convexes.append((shape, z))
            if shape[0] == "round":
                for a, b in shape[2]:
                    breaks += [project(a, z, p, f)[0], project(b, z, p, f)[0]]
                for cx, cy, r in shape[1]:
                    px = project((cx, cy), z, p, f)[0]
                    breaks += [px - r / (1 + z / f), px + r / (1 + z / f)]
    if "diameterMm" in hole:
        a = hole["diameterMm"] / 2
        x_lo, x_hi = -a, a
        area = math.pi * a * a
    else:
        loops = hole_loops(hole)
        xs = [q[0] for l in loops for q in l]
        x_lo, x_hi = min(xs), max(xs)
        breaks += xs
        area = abs(sum(signed(l) for l in loops))
    marks = sorted({x_lo, x_hi, *[b for b in breaks if x_lo < b < x_hi]})
    total = 0.0
    for left, right in zip(marks, marks[1:]):
        n = max(lines // 400, int(lines * (right - left) / (x_hi - x_lo)))
        # cosine steps: dense at both ends, where circles begin and end
        t = (np.arange(n) + 0.5) / n
        x = left + (right - left) * (1 - np.cos(math.pi * t)) / 2
        w = np.sin(math.pi * t)
        w *= (right - left) / np.sum(w)
        lo = np.full(n, -np.inf)
        hi = np.full(n, np.inf)
        for shape, z in convexes:
            l, h = interval(shape, z, p, f, x)
            lo, hi = np.maximum(lo, l), np.minimum(hi, h)
        if "diameterMm" in hole:
            half = np.sqrt(np.maximum(0, a * a - x * x))
            lo, hi = np.maximum(lo, -half), np.minimum(hi, half)
            if not polys:
                total += float(np.sum(np.maximum(0, hi - lo) * w))
                continue
            assert len(polys) == 1
            total += float(np.sum(measure(polys, lo, hi, x) * w))
        else:
            assert not polys
            total += float(np.sum(measure(hole_loops(hole), lo, hi, x) * w))
    return total / area


def measure(loops, lo, hi, x):
    """Length on each chord within [lo, hi] and within the loops: signed heights, held within the stretch."""
    open_ = hi > lo
    lo, hi = np.where(open_, lo, 0), np.where(open_, hi, 0)
    total = np.zeros_like(x)
    outer = math.copysign(1, sum(signed(l) for l in loops))
    for loop in loops:
        n = len(loop)
        for i in range(n):
            (x0, y0), (x1, y1) = loop[i], loop[(i + 1) % n]
            if x0 == x1:
                continue
            t = (x - x0) / (x1 - x0)
            ok = (t > 0) & (t < 1)
            y = np.clip(y0 + t * (y1 - y0), lo, hi)
            total += np.where(ok, y if x1 < x0 else -y, 0)
    return total * outer


def inside(poly, x, y):
    r = np.zeros(x.shape, bool)
    n = len(poly)
    for i in range(n):
        (x0, y0), (x1, y1) = poly[i - 1], poly[i]
        if y0 == y1:
            continue
        r ^= ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
    return r


def rays(stack, p, f, n=1000):
    a = stack["hole"]["diameterMm"] / 2
    g = (np.arange(n) + 0.5) / n * 2 - 1
    hx, hy = np.meshgrid(a * g, a * g)
    ok = hx**2 + hy**2 <= a * a
    hx, hy = hx[ok], hy[ok]
    clear = np.ones(hx.shape, bool)
    for layer in stack["layers"]:
        cuts = sections(layer)
        for k, (z, gr) in enumerate(cuts):
            shape = shape_at(layer, gr)
            x, y = hx * (1 + z / f) - p[0] * z / f, hy * (1 + z / f) - p[1] * z / f
            if shape[0] == "round":
                ins = np.zeros(x.shape, bool)
                if shape[2]:
                    core = [m[:2] for m in shape[1]]
                    d = np.full(x.shape, np.inf)
                    for i in range(4):
                        (x0, y0), (x1, y1) = core[i - 1], core[i]
                        l2 = (x1 - x0) ** 2 + (y1 - y0) ** 2
                        t = np.clip(((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / l2, 0, 1) if l2 else 0
                        d = np.minimum(d, np.hypot(x - x0 - t * (x1 - x0), y - y0 - t * (y1 - y0)))
                    ins = inside(core, x, y) | (d <= shape[1][0][2])
                else:
                    cx, cy, r = shape[1][0]
                    ins = np.hypot(x - cx, y - cy) <= r
                clear &= ins
                continue
            clear &= inside(shape[1], x, y)
            if k == 0 or convex(shape[1]):
                continue
            # the way between two sections: the walls' own place moves linearly with z, so test many depths
            z0, g0 = cuts[k - 1]
            for s in np.linspace(0, 1, 61)[1:-1]:
                zz, gg = z0 + s * (z - z0), g0 + s * (gr - g0)
                mid = shape_at(layer, gg)[1]
                clear &= inside(mid, hx * (1 + zz / f) - p[0] * zz / f, hy * (1 + zz / f) - p[1] * zz / f)
    return float(clear.mean())


def ring(n, r, wob, seed):
    q = random.Random(seed)
    return [[(r * (1 + wob * q.uniform(-1, 1))) * math.cos(2 * math.pi * i / n), (r * (1 + wob * q.uniform(-1, 1))) * math.sin(2 * math.pi * i / n)] for i in range(n)]


cases = []
before = {}
if len(sys.argv) > 1 and os.path.exists("data.json"):
    with open("data.json") as file:
        before = {old["name"]: old for old in json.load(file)["cases"]}


def aimed(run, stack, f, direction, target):
    """A film point in this direction from the foot from which about so much of the hole is seen."""
    coarse = 2000 if run is chords else 60
    lo, hi = 0.0, 110.0
    at = lambda r: (r * math.cos(direction), r * math.sin(direction))
    # the first radius on a walk outwards at which less than the target is left
    step = 1.0
    while lo < hi and run(stack, at(lo), f, coarse) > target:
        lo += step
    lo, hi = lo - step, lo
    for _ in range(8):
        mid = (lo + hi) / 2
        lo, hi = (mid, hi) if run(stack, at(mid), f, coarse) > target else (lo, mid)
    return at(round(lo, 3))


def case(name, stack, count, how):
    if name in before and sys.argv[1] not in name:
        cases.append(before[name])
        return
    f = stack["focalLengthMm"]
    sx, sy = stack.get("holeShiftMm", (0, 0))
    run = chords if how == "chords" else rays
    points = []
    for i in range(count):
        x, y = aimed(run, stack, f, 0.31 + 2 * math.pi * i / count, [0.9, 0.5, 0.15, 0.99, 0.03][i % 5])
        points.append([round(x + sx, 2), round(y + sy, 2)])
    values = [run(stack, (x - sx, y - sy), f) for x, y in points]
    stack["pointsMm"] = points
    cases.append({"name": name, "how": how, "stack": stack, "transmission": values})
    print(name, how, [round(v, 6) for v in values], flush=True)


def base(layers, hole=None, f=75, shift=(0, 0)):
    return {"frameMm": [120, 95], "focalLengthMm": f, "holeShiftMm": list(shift), "hole": hole or {"diameterMm": 0.3}, "layers": layers}


def layer(name, z, opening, bevel=None, shift=(0, 0), rot=0):
    return {"name": name, "zMm": list(z), "opening": opening, "bevel": bevel, "shiftMm": list(shift), "rotationDeg": rot}


def circle(d):
    return {"shape": "circle", "diameterMm": d}


def rect(w, h, r=0):
    return {"shape": "rectangle", "widthMm": w, "heightMm": h, "cornerRadiusMm": r}


def poly(pts):
    return {"shape": "polygon", "pointsMm": [list(p) for p in pts]}


case("one thin disc in front, through the penumbra", base([layer("cover", (6, 6), circle(8))]), 8, "chords")
case("one thick disc, shifted", base([layer("board", (3, 9), circle(12), shift=(0.7, -0.4))]), 8, "chords")
case("disc behind the hole", base([layer("board edge", (-2, -14), circle(18), shift=(0.2, 0.1))]), 8, "chords")
case("bevel on the far face", base([layer("front plate", (4, 10), circle(10), {"face": "far", "angleDeg": 35, "depthMm": 5})]), 8, "chords")
case("bevel on the near face", base([layer("board", (2, 9), circle(11), {"face": "near", "angleDeg": 40, "depthMm": 3})]), 8, "chords")
case("two discs shade different sides", base([layer("slide", (2, 3), circle(4.2), shift=(-0.35, 0.2)), layer("plate", (5, 8), circle(14), shift=(1.2, -0.3))]), 8, "chords")
case("rectangle, turned and shifted", base([layer("mask", (5, 5), rect(13, 9), shift=(0.4, 0.3), rot=17)]), 8, "chords")
case("rounded rectangle, thick, turned", base([layer("board", (3, 8), rect(13, 10, 2.5), shift=(-0.3, 0.2), rot=-11)]), 8, "chords")
case("rounded rectangle with a bevel, hole shifted", base([layer("board", (2, 12), rect(11, 9, 1.5), {"face": "far", "angleDeg": 30, "depthMm": 7}, (0.1, 0.2), 5)], shift=(4, 12)), 8, "chords")
case("rectangle with a bevel on the near face, behind the hole", base([layer("baffle", (-10, -16), rect(17, 14), {"face": "near", "angleDeg": 25, "depthMm": 2.5}, (0.3, -0.2))]), 8, "chords")
case("convex polygon, thick, turned", base([layer("hexagon", (3, 7), poly([(6 * math.cos(math.pi / 3 * i + 0.2), 6 * math.sin(math.pi / 3 * i + 0.2)) for i in range(6)]), None, (0.2, 0.1), 8)]), 8, "chords")
case("polygon with a bevel", base([layer("shield", (4, 9), poly([(-5, -4), (6, -3.5), (5, 4.5), (-4, 5)]), {"face": "far", "angleDeg": 20, "depthMm": 3}, (0, 0.3), -4)]), 8, "chords")
case("thin opening with an inward corner", base([layer("notched", (4, 4), poly([(-6, -5), (6, -5), (6, 5), (0.5, 5), (0.2, 1.5), (-0.4, 5), (-6, 5)]), rot=6)]), 8, "chords")
case("outline of 48 points against a disc and a rectangle", base([layer("slide", (2, 3), circle(4.4), shift=(0.2, 0.1)), layer("plate", (6, 10), rect(18, 14, 3), rot=3)], {"outlineMm": ring(48, 0.21, 0.05, 3)}), 8, "chords")
island = ring(12, 0.06, 0.1, 5)[::-1]
case("outline with an island", base([layer("plate", (4, 8), circle(13), shift=(0.3, 0))], {"outlineMm": [ring(36, 0.2, 0.03, 4), [[x + 0.03, y - 0.05] for x, y in island]]}), 8, "chords")
case("five layers, hole shifted", base([
    layer("holder lip", (-60, -66), rect(112, 90)), layer("board", (-3, -12), rect(20, 17, 2), rot=1), layer("slide", (1, 2.6), circle(4.6), shift=(0.3, -0.2)),
    layer("front plate", (3, 9), circle(17), {"face": "far", "angleDeg": 40, "depthMm": 4}, (0.1, 0.3)), layer("filter ring", (10, 14), circle(26))], shift=(0, 8)),
    8, "chords")
case("thick opening with an inward corner, by rays", base([layer("notched", (3, 7), poly([(-7, -6), (7, -6), (7, 6), (0.5, 6), (0.2, 1.5), (-0.4, 6), (-7, 6)]), rot=6)]), 8, "rays")
case("thick bevelled opening with an inward corner, by rays", base([layer("L", (2, 6), poly([(-6, -6), (6, -6), (6, 1), (1, 1), (1, 6), (-6, 6)]), {"face": "far", "angleDeg": 30, "depthMm": 2.5}, (0.2, 0.1))]), 8, "rays")
case("all at once, by rays", base([layer("slide", (1, 3), rect(6, 5, 1), shift=(0.3, 0.1), rot=20), layer("plate", (5, 9), circle(15), {"face": "far", "angleDeg": 30, "depthMm": 2}), layer("lip", (-50, -55), rect(90, 70))]), 8, "rays")

with open("data.json", "w") as out:
    json.dump({
        "source": "computed by make.py beside this file; see README.md",
        "conditions": "geometrical optics, black layers, points on a flat film",
        "units": "mm and degrees as the names say; transmission as a share of the hole's open area",
        "date": "2025-11-25",
        "cases": cases,
    }, out, indent=1)
    out.write("\n")
