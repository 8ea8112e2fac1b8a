#!/usr/bin/env python3
"""Write recordings of driven axes, solved by axis.py, for the tests of plant/identify.

    recordings.py                       write recordings.json beside this file
    recordings.py --out FILE            write it elsewhere
    recordings.py --compare OLD NEW     compare two; exit 1 if a value differs by more than a few steps

The axis is driven open loop by torque: the script knows the values and works out the torque for each
manoeuvre. What it writes are angle and current at fixed times without noise, the moments of commands and of
the switch of the brake, and, apart, the values that a fit must find.
"""

import argparse
import json
import math
import pathlib
import sys

import numpy as np
import scipy

from axis import HERE, REFERENCE, Axis, Run, read_cases

PERIOD = 0.002  # s, between samples
OFF_GRID = 0.0007  # s, of commands after a sample

# Values that are unlike those from which the fits start.
AXES = [
    {
        "name": "screw",
        "rig": {
            "load.mass_kg": 143.7, "load.start_mm": 200.0, "transmission.feed_constant_mm_per_turn": 10.0,
            "guide.sliding_nm": 0.113, "guide.breakaway_nm": 0.157, "guide.viscous_nm_s": 0.00071, "guide.wind_up_deg": 0.08,
            "motor.inertia_kg_m2": 0.00137, "motor.torque_constant_nm_per_rms_a": 1.1,
            "brake.static_nm": 9.0, "brake.sliding_nm": 6.83, "brake.wind_up_deg": 0.127, "brake.play_deg": 0.146,
            "brake.response_delay": "17.3ms", "brake.rise_time": "13.6ms",
        },
        "speeds": [80.0, 30.0], "acceleration": 320.0, "press": 4.4,
    },
    {
        "name": "gate",
        "rig": {
            "load.mass_kg": 388.0, "load.counterbalance_kg": 240.0, "load.start_mm": 900.0,
            "transmission.feed_constant_mm_per_turn": 240.0, "transmission.gear_ratio": 12.0, "transmission.efficiency": 0.95,
            "guide.sliding_nm": 0.212, "guide.breakaway_nm": 0.268, "guide.viscous_nm_s": 0.0013, "guide.wind_up_deg": 0.12,
            "motor.inertia_kg_m2": 0.0041, "motor.torque_constant_nm_per_rms_a": 1.45,
            "brake.static_nm": 18.0, "brake.sliding_nm": 13.9, "brake.wind_up_deg": 0.171, "brake.play_deg": 0.0,
            "brake.response_delay": "28.4ms", "brake.rise_time": "21.7ms",
        },
        "speeds": [70.0, 25.0], "acceleration": 150.0, "press": 7.6,
    },
]


class Script:
    """The command lines of one run and where its time is."""

    def __init__(self, axis):
        self.axis, self.t, self.lines = axis, 0.0, []
        self.load = -axis.load(0.0)
        self.friction = axis.guide.sliding

    def line(self, torque, rate, brake="open", drive="press"):
        at = self.t + (OFF_GRID if self.t > 0 else 0.0)
        self.lines.append({"at": f"{at:.6f}s", "drive": drive, "press_torque_nm": torque, "press_rate_nm_s": rate, "brake": brake})

    def wait(self, time):
        self.t = round((self.t + time) / PERIOD) * PERIOD

    def start(self, speed, acceleration):
        """From rest to a speed, and on at that speed."""
        way = math.copysign(1.0, speed)
        running = self.load + way * self.friction
        time = abs(speed) / acceleration
        middle = self.axis.viscous * speed / 2
        self.line(running + middle + way * self.axis.inertia * acceleration, 400.0)
        self.wait(time)
        self.line(running + self.axis.viscous * speed, 400.0)

    def travel(self, speed, acceleration, time):
        """From rest to rest."""
        self.start(speed, acceleration)
        self.wait(time)
        way = math.copysign(1.0, speed)
        self.line(self.load + way * (self.friction - self.axis.inertia * acceleration) + self.axis.viscous * speed / 2, 400.0)
        self.wait(abs(speed) / acceleration - 0.004)
        self.line(self.load, 400.0)
        self.wait(0.2)

    def press(self, size):
        self.line(self.load, 400.0, "closed")
        self.wait(0.3)
        rate = size * 2.5
        for torque, time in ((self.load - size, 0.9), (self.load + size, 1.3), (self.load, 0.6)):
            self.line(torque, rate, "closed")
            self.wait(time)
        self.line(self.load, 400.0, "open")
        self.wait(0.2)

    def stop(self, speed, acceleration):
        self.start(speed, acceleration)
        self.wait(0.25)
        self.line(0.0, 1e6, "closed", "off")
        self.wait(0.4)
        self.line(self.load, 1e6, "closed")
        self.wait(0.1)
        self.line(self.load, 400.0, "open")
        self.wait(0.2)


class Recorder(Run):
    """A run that keeps angle and current at the times of a recorder."""

    def record(self):
        self.times = np.arange(0.0, self.end, PERIOD)
        self.recorded = np.full((len(self.times), 2), np.nan)
        self.recorded[0] = self.y[0], self.y[2]
        self.solve()
        return self

    def interval(self, t, border):
        self.low = t
        super().interval(t, border)

    def watch(self, path, until):
        first, last = np.searchsorted(self.times, [self.low, until], side="right")
        for n in range(first, last):
            y = path(self.times[n])
            self.recorded[n] = y[0], y[2]
        self.low = until


def switch(run):
    """Times at which the switch senses a closed brake, and an open one: engagement 0.9 and 0.5."""
    found, closed, dt = [], False, 1e-5
    for t in np.arange(0.0, run.end, dt):
        e = run.engagement.at(t)
        if (e >= 0.9 - 1e-9) if not closed else (e <= 0.5 + 1e-9):
            closed = not closed
            found.append(round(float(t), 5))
    return found


def deltas(values, step, times):
    """Whole numbers of a step; as often as times each is written less the one before it."""
    whole = np.round(np.asarray(values) / step).astype(np.int64)
    for _ in range(times):
        whole = np.diff(whole, prepend=0)
    return whole.tolist()


def record(spec, common):
    rig = {**common, **spec["rig"]}
    script = Script(Axis(rig))
    script.line(script.load, 400.0)
    script.wait(0.3)
    for speed in spec["speeds"]:
        script.travel(speed, spec["acceleration"], 0.7)
        script.travel(-speed, spec["acceleration"], 0.7)
    script.press(spec["press"])
    script.stop(spec["speeds"][0], spec["acceleration"])
    script.stop(-spec["speeds"][0], spec["acceleration"])
    case = {"name": spec["name"], "rig": rig, "script": script.lines, "end": f"{script.t:.6f}s"}
    run = Recorder(case, 250e-6, 1, REFERENCE).record()
    assert not np.isnan(run.recorded).any()
    brake, closed = [], False
    for line in script.lines:
        if (line["brake"] == "closed") != closed:
            closed = not closed
            brake.append(float(line["at"][:-1]))
    a = run.axis
    print(f"{spec['name']}: {len(run.times)} samples, fastest {np.abs(np.diff(run.recorded[:, 0])).max() / PERIOD:.3g} rad/s", flush=True)
    return {
        "name": spec["name"], "period_s": PERIOD,
        "brake_changes_s": brake, "switch_changes_s": switch(run),
        "angle_step_rad": 1e-7, "angle_second_differences": deltas(run.recorded[:, 0], 1e-7, 2),
        "current_step_a": 1e-6, "current_differences": deltas(run.recorded[:, 1], 1e-6, 1),
        "truth": {
            **spec["rig"], "inertia_kg_m2": a.inertia, "load_torque_nm": script.load, "friction_nm": a.guide.sliding,
            "brake_stiffness_nm_per_rad": a.brake.stiffness,
        },
    }


def compare(old, new):
    """A different SciPy may round otherwise; ten steps are 1 microradian and 10 microamperes."""
    bad = 0
    for a, b in zip(*(json.loads(pathlib.Path(p).read_text(encoding="utf-8"))["recordings"] for p in (old, new)), strict=True):
        for key, times in (("angle_second_differences", 2), ("current_differences", 1)):
            x, y = np.array(a[key]), np.array(b[key])
            for _ in range(times):
                x, y = np.cumsum(x), np.cumsum(y)
            largest = np.abs(x - y).max() if x.shape == y.shape else np.inf
            print(f"{a['name']}: {key} differs by {largest} steps at most")
            bad += largest > 10
    return 1 if bad else 0


def main():
    parser = argparse.ArgumentParser(description="Write recordings of driven axes.")
    parser.add_argument("--out", default=HERE / "recordings.json", help="where to write them")
    parser.add_argument("--compare", nargs=2, metavar=("OLD", "NEW"), help="compare two instead")
    given = parser.parse_args()
    if given.compare:
        return compare(*given.compare)
    common = read_cases(HERE / "cases.json")["rig"]
    text = {"numpy": np.__version__, "scipy": scipy.__version__, "recordings": [record(spec, common) for spec in AXES]}
    pathlib.Path(given.out).write_text(json.dumps(text, separators=(",", ":")) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
