"""RRT-Connect of a public planning library on route files, beside the certified solver: `sampling_planner.py CAP RUNS FILE...`.

Prints one JSON object a file and line: the seconds of every run (CAP where it found nothing by then), how many
collision checks were made, and the share of the time they took. Collisions are tested by shapely's prepared geometry
(compiled code). A sampling planner can find a way; it can never prove that there is none.
"""

import json
import math
import sys
import time

import shapely
from ompl import base as ob
from ompl import geometric as og
from ompl import util as ou
from shapely.geometry import Polygon

# Poses between two sampled ones are tested this far apart, in inches of the middle: half the closest clearance asked.
STEP = 0.25


def corners(x, y, heading, length, width):
    cosine, sine = math.cos(heading), math.sin(heading)
    half = ((length, width), (-length, width), (-length, -width), (length, -width))
    return [(x + 0.5 * (cosine * a - sine * b), y + 0.5 * (sine * a + cosine * b)) for a, b in half]


class Yard:
    """What stands in the way, and a count of the checks against it."""

    def __init__(self, scene):
        carried = scene.get("carry_z")
        meets = lambda thing: not carried or "z" not in thing or (thing["z"][0] <= carried[1] and thing["z"][1] >= carried[0])
        solid = [Polygon(thing["poly"]) for thing in scene["obstacles"] if meets(thing)]
        self.solid = shapely.union_all(solid)
        shapely.prepare(self.solid)
        self.unit = (scene["unit"]["L"], scene["unit"]["W"])
        spots = [point for thing in scene["obstacles"] for point in thing["poly"]] + [scene["start"][:2], scene["goal"][:2]]
        low = [min(spot[axis] for spot in spots) for axis in (0, 1)]
        high = [max(spot[axis] for spot in spots) for axis in (0, 1)]
        self.bounds = scene.get("bounds") or [*low, *high]
        self.inside = "bounds" in scene
        self.checks = 0
        self.seconds = 0.0

    def free(self, state):
        began = time.perf_counter()
        self.checks += 1
        outline = corners(state.getX(), state.getY(), state.getYaw(), *self.unit)
        x0, y0, x1, y1 = self.bounds
        within = not self.inside or all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in outline)
        answer = within and not self.solid.intersects(Polygon(outline))
        self.seconds += time.perf_counter() - began
        return bool(answer)


def run(scene, cap):
    yard = Yard(scene)
    space = ob.SE2StateSpace()
    box = ob.RealVectorBounds(2)
    for axis in (0, 1):
        box.setLow(axis, yard.bounds[axis])
        box.setHigh(axis, yard.bounds[axis + 2])
    space.setBounds(box)
    setup = og.SimpleSetup(space)
    setup.setStateValidityChecker(yard.free)
    information = setup.getSpaceInformation()
    information.setStateValidityCheckingResolution(STEP / space.getMaximumExtent())

    def pose(key, turned=0.0):
        state = space.allocState()
        x, y, heading = scene[key]
        state.setX(float(x))
        state.setY(float(y))
        state.setYaw(math.remainder(math.radians(heading) + turned, math.tau))
        return state

    setup.setStartState(pose("start"))
    goals = ob.GoalStates(information)
    goals.addState(pose("goal"))
    if scene.get("goal_symmetric"):
        goals.addState(pose("goal", math.pi))
    setup.setGoal(goals)
    setup.setPlanner(og.RRTConnect(information))
    began = time.perf_counter()
    setup.solve(cap)
    seconds = time.perf_counter() - began
    solved = setup.haveExactSolutionPath()
    return {"seconds": seconds if solved else cap, "solved": solved, "checks": yard.checks, "checking": yard.seconds}


def main():
    ou.setLogLevel(ou.LogLevel.LOG_ERROR)
    ou.RNG.setSeed(1)
    cap, runs, files = float(sys.argv[1]), int(sys.argv[2]), sys.argv[3:]
    for name in files:
        with open(name, encoding="utf-8") as file:
            scene = json.load(file)
        print(json.dumps({"file": name, "runs": [run(scene, cap) for _ in range(runs)]}), flush=True)


if __name__ == "__main__":
    main()
