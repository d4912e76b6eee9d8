"""Figures of hole-like outlines by general libraries (OpenCV, scikit-image, SciPy), for the tests of core/src/geometry.

Run with Debian's python3-opencv and python3-skimage:  /usr/bin/python3 reference/geometry/make.py
Outlines are drawn by closed formulas, so the same file comes every time. Units: pixels.
"""
import json
import math
import os

import cv2
import numpy as np
import skimage
from scipy import __version__ as scipy_version
from scipy.optimize import least_squares
from skimage.measure import label, regionprops


def outline(radius, ratio, waves, burrs, count=720):
    points = []
    for i in range(count):
        t = 2 * math.pi * i / count
        r = radius * (1 + sum(a * math.cos(k * t + p) for k, a, p in waves))
        for at, height, width in burrs:
            away = math.atan2(math.sin(t - at), math.cos(t - at))
            r -= height * math.exp(-0.5 * (away * radius / width) ** 2)
        points.append((r * math.cos(t) * math.sqrt(ratio) + 0.37, r * math.sin(t) / math.sqrt(ratio) - 0.21))
    return np.array(points)


SHAPES = {
    "round": outline(50, 1, [], []),
    "oval": outline(61.5, 0.86, [], []),
    "three lobes": outline(44, 1, [(3, 0.03, 0.4)], []),
    "lobed": outline(72, 0.97, [(2, 0.01, 1.1), (3, 0.02, 2.0), (5, 0.008, 0.3), (9, 0.004, 5.0)], []),
    "one burr": outline(40, 1, [(4, 0.003, 1.0)], [(0.7, 9.0, 4.0)]),
    "four burrs": outline(46, 1, [(2, 0.002, 0.0)], [(2.3, 9.0, 7.0), (0.45, 8.7, 7.5), (5.4, 5.5, 6.5), (3.8, 8.5, 4.0)]),
    "chip": outline(33, 1, [(3, 0.004, 2.0)], [(4.0, -4.0, 3.0)]),
    "small": outline(3.6, 0.95, [(3, 0.02, 0.2)], []),
}

SCALE = 16


def mask_figures(points):
    """Mask at SCALE times the size, pixel centres inside the polygon; figures back in pixels."""
    low = points.min(axis=0) - 2
    size = np.ceil((points.max(axis=0) + 2 - low) * SCALE).astype(int)
    mask = np.zeros((size[1], size[0]), np.uint8)
    fixed = np.round((points - low) * SCALE * 256).astype(np.int32)
    cv2.fillPoly(mask, [fixed.reshape(-1, 1, 2)], 1, shift=8)
    (region,) = regionprops(label(mask))
    inside = cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return {
        "equivalentDiameter": float(region.equivalent_diameter) / SCALE,
        "feretMax": float(region.feret_diameter_max) / SCALE,
        "inscribedDiameter": 2 * float(inside.max()) / SCALE,
    }


def figures(points):
    contour = points.astype(np.float32).reshape(-1, 1, 2)
    _, enclosing = cv2.minEnclosingCircle(contour)
    fit = least_squares(
        lambda p: np.hypot(points[:, 0] - p[0], points[:, 1] - p[1]) - p[2],
        [points[:, 0].mean(), points[:, 1].mean(), np.hypot(*(points - points.mean(axis=0)).T).mean()],
        xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )
    hull = cv2.convexHull(contour).reshape(-1, 2).astype(float)
    angles = np.deg2rad(np.arange(0, 180, 0.005))
    widths = [np.ptp(hull @ np.array([math.cos(a), math.sin(a)])) for a in angles]
    return {
        "area": float(cv2.contourArea(contour)),
        "perimeter": float(cv2.arcLength(contour, True)),
        "circumscribedDiameter": 2 * float(enclosing),
        "leastSquares": {"x": fit.x[0], "y": fit.x[1], "diameter": 2 * fit.x[2]},
        "feretMin": float(min(widths)),
        "feretMaxByWidths": float(max(widths)),
        "mask": mask_figures(points),
    }


data = {
    "source": f"OpenCV {cv2.__version__} (contourArea, arcLength, minEnclosingCircle, convexHull, distanceTransform), "
    f"scikit-image {skimage.__version__} (regionprops on a mask), SciPy {scipy_version} (least_squares)",
    "conditions": f"720 points on each outline by the formula in make.py; masks drawn {SCALE} times as large",
    "units": "px; px^2",
    "made": "by reference/geometry/make.py",
    "rows": [
        {"name": name, "points": [[round(x, 12), round(y, 12)] for x, y in points], **figures(points)}
        for name, points in SHAPES.items()
    ],
}
with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "data.json"), "w") as out:
    json.dump(data, out)
    out.write("\n")
for row in data["rows"]:
    print(row["name"], {k: v for k, v in row.items() if k != "points"})
