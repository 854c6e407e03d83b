"""Re-checks ways through yards with shapely: the least distance between the moving unit and what stands in its way.

Request: a list of {path, unit, obstacles, bounds, step}. Answer, for each: the least clearance over poses at most
`step` apart; 0 where something is touched, however deep.
"""

import math

import shapely
from shapely import affinity
from wire import answer


def unit_at(unit, pose):
    half_l, half_w = unit["L"] / 2, unit["W"] / 2
    body = shapely.box(-half_l, -half_w, half_l, half_w)
    turned = affinity.rotate(body, pose[2], origin=(0, 0))
    return affinity.translate(turned, pose[0], pose[1])


def poses(path, radius, step):
    for a, b in zip(path, path[1:]):
        far = math.hypot(b[0] - a[0], b[1] - a[1]) + radius * math.radians(abs(b[2] - a[2]))
        count = max(1, math.ceil(far / step))
        for k in range(count + 1):
            yield [a[i] + (b[i] - a[i]) * k / count for i in range(3)]


def least(case):
    unit = case["unit"]
    radius = math.hypot(unit["L"], unit["W"]) / 2
    solids = [shapely.Polygon(ring) for ring in case["obstacles"]]
    if case["bounds"]:
        x0, y0, x1, y1 = case["bounds"]
        far = 10 * radius
        around = shapely.box(x0 - far, y0 - far, x1 + far, y1 + far)
        solids.append(around.difference(shapely.box(x0, y0, x1, y1)))
    everything = shapely.union_all(solids)
    shapely.prepare(everything)
    bodies = [unit_at(unit, pose) for pose in poses(case["path"], radius, case["step"])]
    return float(shapely.distance(everything, bodies).min())


if __name__ == "__main__":
    answer(lambda cases: [least(case) for case in cases])
