#!/usr/bin/env python3
"""Solve the axis of cases.json with SciPy's general-purpose solvers.

The equations stand here a second time, written from the table in plant's package comment and not from
the plant: this file reads cases.json and nothing else. Motor-shaft coordinates, SI,
positive raises the load.

    axis.py                             write results.json beside this file
    axis.py --out FILE                  write it elsewhere
    axis.py --compare OLD NEW           compare two results; exit 1 if they differ

Kinks and jumps of the right-hand side (break-away, contact, commands, the corners of
the engagement) are events or borders of an interval of integration, so that the
solver always works on a smooth piece.
"""

import argparse
import bisect
import hashlib
import json
import math
import pathlib
import platform
import sys

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize_scalar

HERE = pathlib.Path(__file__).resolve().parent

# The reference, the same method 100 times looser, and a method of another family: an
# implicit Runge-Kutta method of order 5 and an explicit one of order 8.
REFERENCE = {"method": "DOP853", "rtol": 1e-11}
LOOSER = {"method": "DOP853", "rtol": 1e-9}
OTHER = {"method": "Radau", "rtol": 1e-9}
# Absolute tolerance over relative tolerance; the states are named in Y.
SCALE = np.array([1e-2, 1.0, 1.0, 1e-4, 1e-4, 1e-2, 1e-2, 1e-2, 1.0])
SCALE_2 = np.array([1e-4, 1e-2, 1e-2])  # of the states of a second brake
Y = ["angle", "speed", "current", "brake give", "guide give", "slip", "slip work", "brake impulse", "brake temperature"]
Y_2 = ["brake 2 give", "brake 2 slip", "brake 2 slip work"]

SCALARS = ["sag_rad", "slip_rad", "slip_work_j", "stopping_time_s", "peak_speed_rad_s", "final_angle_rad", "warmed_k"]
SCALARS_2 = ["slip_2_rad", "slip_work_2_j"]
COLUMNS = ["angle_rad", "speed_rad_s", "brake_torque_nm"]


def seconds(text):
    """A duration as documents write it: 250us, 30ms, 1.5s."""
    for unit, size in (("us", 1e-6), ("ms", 1e-3), ("s", 1.0)):
        if text.endswith(unit):
            return float(text[: -len(unit)]) * size
    raise ValueError(f"{text!r} is no duration")


def dead_zone_damper(stiffness, damping, depth, rate):
    """One-sided spring and damper in contact; it pushes and never pulls."""
    return max(0.0, stiffness * depth + damping * rate)


class Slider:
    """Slider of capacity C in series with a spring s0 and a parallel damper s1.

    Inside, tau = s0 z + s1 v and dz/dt = v. Outside, the slip speed s = v - dz/dt has
    the sign of tau and solves s0 z + s1 (v - s) = C(s), with

        C(s) = e k (Tk + (Ts - Tk) exp(-(s/vs)^2)).

    The solution is unique when s1 s + C(s) grows with s, which check() makes sure of:
    the steepest fall of C is 0.858 e k (Ts - Tk)/vs, at s = vs/sqrt(2). Against a motion down C is larger by
    the torque of down, which is below 0 where it is smaller.
    """

    def __init__(self, static, sliding, stribeck, stiffness, damping, factor=1.0, down=0.0):
        self.down = down
        self.static, self.sliding, self.stribeck = static * factor, sliding * factor, stribeck
        self.stiffness, self.damping = stiffness, damping
        self.check()

    def check(self):
        steepest = math.sqrt(2 / math.e) * (self.static - self.sliding) / self.stribeck
        if self.static > 0 and steepest >= self.damping:
            raise ValueError("slip speed is not unique: the capacity falls faster than the damper grows")

    def slip(self, load, engagement):
        """Slip speed for the size of s0 z + s1 v; 0 while it sticks."""
        static, sliding = engagement * self.static, engagement * self.sliding
        if load <= static:
            return 0.0
        if static == sliding:
            return (load - static) / self.damping
        rest = lambda s: self.damping * s + sliding + (static - sliding) * math.exp(-((s / self.stribeck) ** 2)) - load
        low, high = sorted(((load - static) / self.damping, (load - sliding) / self.damping))
        if rest(low) * rest(high) >= 0:  # equal but for rounding
            return low if abs(rest(low)) < abs(rest(high)) else high
        return brentq(rest, low, high, xtol=1e-300, rtol=4 * np.finfo(float).eps)

    def solve(self, depth, speed, engagement):
        """Torque against v, dz/dt and slip speed, for a spring deflected by depth."""
        load = self.stiffness * depth + self.damping * speed
        more = self.down if load < 0 else 0.0
        slip = math.copysign(self.slip(abs(load) - more, engagement), load)
        return load - self.damping * slip, speed - slip, slip


class Axis:
    """One axis, its constants computed from the rig's values."""

    def __init__(self, rig):
        self.rig = rig
        per_rad = rig["transmission.feed_constant_mm_per_turn"] / 1000 / (2 * math.pi * rig["transmission.gear_ratio"])
        self.per_rad = per_rad
        mass = rig["load.mass_kg"] + rig["load.payload_kg"]
        weight = mass * math.sin(math.radians(rig["load.incline_deg"])) - rig["load.counterbalance_kg"]
        force = rig["load.counterbalance_n"] - rig["load.counterbalance_n_per_mm"] * rig["load.counterbalance_at_mm"]
        self.gravity = (force - weight * rig["load.gravity_m_s2"]) * per_rad  # at zero travel
        self.spring = rig["load.counterbalance_n_per_mm"] * 1000 * per_rad**2  # N·m a radian, of the force
        self.inertia = rig["motor.inertia_kg_m2"] + (mass + rig["load.counterbalance_kg"]) * per_rad**2
        self.inertia += rig["load.inertia_kg_m2"] / rig["transmission.gear_ratio"] ** 2
        self.kt = rig["motor.torque_constant_nm_per_rms_a"]
        self.lag = seconds(rig["drive.current_lag"])
        self.peak = max(rig["drive.peak_current_rms_a"], rig["drive.current_limit_rms_a"])
        self.poles = rig["motor.pole_pairs"] if rig["motor.commutation"] == "encoder" else 0
        self.viscous = rig["guide.viscous_nm_s"]
        self.stops = {"low": rig["stops.low_mm"] / 1000 / per_rad, "high": rig["stops.high_mm"] / 1000 / per_rad}
        self.make_sliders()
        self.stop_stiffness = rig["stops.stiffness_n_per_mm"] * 1000 * per_rad**2
        self.stop_damping = self.damper(rig["stops.damping_ratio"], self.stop_stiffness)
        self.support = rig["support.at_mm"] / 1000 / per_rad
        self.support_stiffness = rig["support.stiffness_n_per_mm"] * 1000 * per_rad**2
        self.support_damping = self.damper(rig["support.damping_ratio"], self.support_stiffness)

    def load(self, angle):
        """Torque of load and counterbalance."""
        return self.gravity + self.spring * angle

    def damper(self, ratio, stiffness):
        """Damping ratio of the shaft on one spring: 1 is critical."""
        return 2 * ratio * math.sqrt(stiffness * self.inertia)

    def make_sliders(self):
        rig = self.rig
        speed = lambda rpm: rpm * 2 * math.pi / 60
        # a transmission that needs 1/efficiency of the load torque to lift it, and gives back a share of it
        # when the load drives it; the largest load torque is at an end of the travel
        load = max(self.load(self.stops["low"]), self.load(self.stops["high"]), key=abs)
        up = abs(load) * (1 / rig["transmission.efficiency"] - 1)
        back = rig["transmission.efficiency_lowering"]
        down = abs(load) * (1 - back) if back > 0 else up
        if load > 0:
            up, down = down, up
        static, sliding = rig["guide.breakaway_nm"] + up, rig["guide.sliding_nm"] + up
        self.guide = None
        if max(static, static + down - up) > 0:
            stiffness = max(static, static + down - up) / math.radians(rig["guide.wind_up_deg"])
            self.guide = Slider(
                static, sliding, speed(rig["guide.stribeck_rpm"]), stiffness, self.damper(rig["guide.damping_ratio"], stiffness), down=down - up
            )
        stiffness = rig["brake.static_nm"] / math.radians(rig["brake.wind_up_deg"])
        self.brake = Slider(
            rig["brake.static_nm"], rig["brake.sliding_nm"], speed(rig["brake.stribeck_rpm"]),
            stiffness, self.damper(rig["brake.damping_ratio"], stiffness), rig["brake.condition"],
        )
        self.half_play = math.radians(rig["brake.play_deg"]) / 2
        self.second = None
        if rig["brake_2.static_nm"] > 0:
            # behind a gear of ratio n: 1/n of the torque, n times the angle and n times the speed
            n = rig["transmission.gear_ratio"] if rig["brake_2.place"] == "load" else 1
            stiffness = rig["brake_2.static_nm"] / n / (math.radians(rig["brake_2.wind_up_deg"]) * n)
            self.second = Slider(
                rig["brake_2.static_nm"] / n, rig["brake_2.sliding_nm"] / n, speed(rig["brake_2.stribeck_rpm"]) * n,
                stiffness, self.damper(rig["brake_2.damping_ratio"], stiffness), rig["brake_2.condition"],
            )


class Engagement:
    """e of the brake in time, straight pieces (from, value, slope).

    It begins to rise t11 after the command and is at 0.9 another t12 later; it begins to
    fall t21 after the command and is at 0.1 at t2. t11 and t21 grow with the air gap.
    """

    def __init__(self, rig, script, brake):
        t11, t12, t2, t21 = (seconds(rig[brake + "." + k]) for k in ("response_delay", "rise_time", "release_time", "release_delay"))
        rise, fall = t12 / 0.9, (t2 - t21) / 0.9
        gap = rig[brake + ".gap_mm"] / rig[brake + ".new_gap_mm"]
        opens, closes = rig[brake + ".opens_to"], rig[brake + ".closes_to"]
        self.pieces = [(-1.0, opens, 0.0)]
        closing = False
        for line in script:
            wanted = line.get(brake, "open") == "closed"
            if wanted == closing:
                continue
            closing, at = wanted, seconds(line["at"])
            e = self.at(at)
            self.pieces = [p for p in self.pieces if p[0] < at] + [(at, e, 0.0)]
            goal, start, time = (closes, at + t11 * gap, rise) if closing else (opens, at + t21 * gap, fall)
            time *= abs(goal - e)
            if time > 0:
                self.pieces.append((start, e, (goal - e) / time))
            self.pieces.append((start + time, goal, 0.0))

    def piece(self, t):
        return [p for p in self.pieces if p[0] <= t][-1]

    def at(self, t):
        start, value, slope = self.piece(t)
        return value + slope * (t - start)


class Run:
    """One integration of one case."""

    def __init__(self, case, tick, samples, solver):
        self.axis, self.case, self.tick, self.solver = Axis(case["rig"]), case, tick, solver
        self.engagement = Engagement(case["rig"], case["script"], "brake")
        self.engagement_2 = Engagement(case["rig"], case["script"], "brake_2") if self.axis.second else None
        self.end = seconds(case["end"])
        ticks = round(self.end / tick)
        self.samples = [round(ticks * (n + 1) / samples) * tick for n in range(samples)]
        a = self.axis
        self.scale = np.concatenate([SCALE, SCALE_2]) if a.second else SCALE
        self.y = np.zeros(len(self.scale))
        self.y[0] = case["rig"]["load.start_mm"] / 1000 / a.per_rad
        self.y[1] = case["rig"]["load.start_speed_mm_s"] / 1000 / a.per_rad
        self.y[2], self.y[4] = self.steady()
        self.y[8] = case["rig"]["brake.ambient_c"]
        self.start_angle = self.y[0]
        self.ramp = None  # (time, from, to, rate) of the motor torque in N·m
        self.contact = {"low": False, "high": False, "support": False, "upper": False, "lower": False}
        self.sliding = {"brake": False, "guide": False, "second": False}
        self.saturated = {"peak": False}
        rig = case["rig"]  # a transducer that is frozen keeps its first reading
        self.gain, self.offset = rig["drive.current_gain"], rig["drive.current_offset_rms_a"]
        if rig["drive.current_frozen"]:
            self.gain, self.offset = 0.0, self.gain * self.y[2] + self.offset
        self.peak, self.lowest = (abs(self.y[1]), 0.0), (self.y[0], 0.0)
        self.reversals, self.rows = [], {}

    def steady(self):
        """Current and deflection of the guide at rest or in steady motion.

        The drive carries the load; in motion the guide slides at the speed of the shaft,
        its spring bears the friction, and the drive carries that as well.
        """
        a, speed = self.axis, self.y[1]
        torque, give = -a.load(self.y[0]) + a.viscous * speed, 0.0
        if a.guide and speed != 0:
            g = a.guide
            friction = g.sliding + (g.static - g.sliding) * math.exp(-((speed / g.stribeck) ** 2))
            friction = friction if speed > 0 else -max(0.0, friction + g.down)
            torque, give = torque + friction, friction / g.stiffness
        return torque / a.kt, give

    # --- the known functions of time

    def setpoint(self, t):
        """Motor torque asked for, on the unsampled ramp."""
        if self.ramp is None:
            return 0.0
        at, start, goal, rate = self.ramp
        return start + math.copysign(min(abs(goal - start), rate * max(0.0, t - at)), goal - start)

    def command(self, t):
        """i_cmd. The drive is sampled: its stairs are the ramp half a tick ahead."""
        limit = self.case["rig"]["drive.current_limit_rms_a"]
        return max(-limit, min(limit, self.setpoint(t + self.tick / 2) / self.axis.kt)) if self.ramp else 0.0

    def obey(self, line, t):
        if line["drive"] == "off":
            self.ramp = None
            return
        start = self.setpoint(t) if self.ramp else (self.gain * self.y[2] + self.offset) * self.axis.kt
        goal, rate = line["press_torque_nm"], line["press_rate_nm_s"]
        self.ramp = (t, start, goal, rate)
        bisect.insort(self.borders, t + max(0.0, abs(goal - start) / rate - self.tick / 2))

    def current_slope(self, t, current):
        """The transducer is inside the loop; without the power stage nothing is measured."""
        if self.ramp is None:
            return -current / self.axis.lag
        slope = (self.command(t) - self.gain * current - self.offset) / self.axis.lag
        return 0.0 if self.saturated["peak"] and slope * current > 0 else slope

    def field(self, t, angle):
        """Share of the current that forms torque, with a field angle from a wrong encoder."""
        rig = self.case["rig"]
        wrong = math.radians(rig["encoder.drift_deg_per_s"]) * t
        if rig["encoder.frozen"]:
            wrong = self.start_angle - angle
        return math.cos(self.axis.poles * wrong)

    # --- the right-hand side

    def brake_torque(self, t, z, speed):
        """Torque against v, dz/dt and slip speed of the brake."""
        a = self.axis
        if not self.engaged:
            return 0.0, 0.0, 0.0
        e = self.engagement_now(t)
        if a.half_play == 0:
            return a.brake.solve(z, speed, e)
        for side, name in ((1.0, "upper"), (-1.0, "lower")):
            depth, rate = side * z - a.half_play, side * speed
            if self.contact[name] and a.brake.stiffness * depth + a.brake.damping * rate > 0:
                torque, give, slip = a.brake.solve(depth, rate, e)
                return side * torque, side * give, side * slip
        return 0.0, speed, 0.0

    def slope(self, t, y):
        a = self.axis
        angle, speed, current, brake_give, guide_give = y[:5]
        brake, brake_rate, slip = self.brake_torque(t, brake_give, speed)
        guide, guide_rate, _ = a.guide.solve(guide_give, speed, 1.0) if a.guide else (0.0, 0.0, 0.0)
        second, second_rate, second_slip = self.second_torque(t, y, speed)
        total = a.kt * current * self.field(t, angle) + a.load(angle) - a.viscous * speed - guide - brake - second
        if self.contact["low"]:
            total += dead_zone_damper(a.stop_stiffness, a.stop_damping, a.stops["low"] - angle, -speed)
        if self.contact["support"]:
            total += dead_zone_damper(a.support_stiffness, a.support_damping, a.support - angle, -speed)
        if self.contact["high"]:
            total -= dead_zone_damper(a.stop_stiffness, a.stop_damping, angle - a.stops["high"], speed)
        power = abs(brake * slip)
        rig = a.rig
        cooling = (y[8] - rig["brake.ambient_c"]) / rig["brake.thermal_resistance_k_per_w"]
        return [
            speed, total / a.inertia, self.current_slope(t, current), brake_rate, guide_rate,
            abs(slip), power, -brake, (power - cooling) / rig["brake.heat_capacity_j_per_k"],
            *([second_rate, abs(second_slip), abs(second * second_slip)] if a.second else []),
        ]

    def second_torque(self, t, y, speed):
        """Torque against v, dz/dt and slip speed of the second brake; it has no play."""
        if not (self.axis.second and self.engaged_2):
            return 0.0, 0.0, 0.0
        return self.axis.second.solve(y[9], speed, self.engagement_2_now(t))

    # --- events: functions that go through zero where the right-hand side has a kink

    def gap(self, name, y):
        a = self.axis
        return {
            "low": lambda: a.stops["low"] - y[0], "high": lambda: y[0] - a.stops["high"],
            "support": lambda: a.support - y[0],
            "upper": lambda: y[3] - a.half_play, "lower": lambda: -y[3] - a.half_play,
        }[name]()

    def excess(self, name, t, y):
        """How far an element's load is above what it holds at rest."""
        a = self.axis
        if name == "guide":
            load = a.guide.stiffness * y[4] + a.guide.damping * y[1]
            return abs(load) - a.guide.static - (a.guide.down if load < 0 else 0.0)
        if name == "second":
            return abs(a.second.stiffness * y[9] + a.second.damping * y[1]) - a.second.static * self.engagement_2_now(t)
        held = a.brake.static * self.engagement_now(t)
        if a.half_play == 0:
            return abs(a.brake.stiffness * y[3] + a.brake.damping * y[1]) - held
        for side, name in ((1.0, "upper"), (-1.0, "lower")):
            if self.contact[name]:
                return a.brake.stiffness * (side * y[3] - a.half_play) + a.brake.damping * side * y[1] - held
        return -held

    def events(self):
        found = []

        def add(kind, name, function, flag):
            function.terminal, function.direction, function.flips = True, -1 if flag else 1, (kind, name)
            found.append(function)

        play = ("upper", "lower") if self.engaged and self.axis.half_play > 0 else ()
        support = ("support",) if self.axis.support_stiffness > 0 else ()
        for name in ("low", "high") + support + play:
            add(self.contact, name, lambda t, y, name=name: self.gap(name, y), self.contact[name])
        elements = (("guide",) if self.axis.guide else ()) + (("brake",) if self.engaged else ()) + (("second",) if self.engaged_2 else ())
        for name in elements:
            add(self.sliding, name, lambda t, y, name=name: self.excess(name, t, y), self.sliding[name])
        if not self.saturated["peak"]:
            add(self.saturated, "peak", lambda t, y: abs(y[2]) - self.axis.peak, False)
        return found

    def settle_flags(self, t):
        """Flags at a border, where capacity or command may have jumped."""
        self.saturated["peak"] = abs(self.y[2]) >= self.axis.peak * (1 - 1e-12)
        for name in self.sliding:
            if (name == "guide" and self.axis.guide) or (name == "brake" and self.engaged) or (name == "second" and self.engaged_2):
                self.sliding[name] = self.excess(name, t, self.y) > 0

    # --- integration

    def solve(self):
        script = {seconds(line["at"]): line for line in self.case["script"]}
        wanted = [t for s in self.samples for t in (s - self.tick, s)]
        self.borders = sorted({0.0, self.end, *script, *wanted, *(p[0] for p in self.engagement.pieces if p[0] > 0)})
        if self.engagement_2:
            self.borders = sorted({*self.borders, *(p[0] for p in self.engagement_2.pieces if p[0] > 0)})
        impulse, t = {}, 0.0
        while True:
            if t in script:
                self.obey(script.pop(t), t)
            impulse[t] = self.y[7]
            if t in self.samples:
                self.rows[t] = [t, self.y[0], self.y[1], (self.y[7] - impulse[wanted[wanted.index(t) - 1]]) / self.tick]
            if t >= self.end:
                return self
            following = self.borders[bisect.bisect_right(self.borders, t)]
            self.interval(t, min(following, self.end))
            t = min(following, self.end)

    def interval(self, t, border):
        start, value, slope = self.engagement.piece((t + border) / 2)
        self.engagement_now = lambda t: max(0.0, value + slope * (t - start))
        self.engaged = self.engagement_now((t + border) / 2) > 0
        if not self.engaged:  # open: no torque, the give is gone
            self.y[3] = 0.0
            self.contact["upper"] = self.contact["lower"] = False
        self.engaged_2 = False
        if self.engagement_2:
            from_2, value_2, slope_2 = self.engagement_2.piece((t + border) / 2)
            self.engagement_2_now = lambda t: max(0.0, value_2 + slope_2 * (t - from_2))
            self.engaged_2 = self.engagement_2_now((t + border) / 2) > 0
            if not self.engaged_2:
                self.y[9] = 0.0
        self.settle_flags(t)
        while t < border:
            events = self.events()
            s = solve_ivp(
                self.slope, (t, border), self.y, events=events, dense_output=True,
                atol=self.solver["rtol"] * self.scale, **self.solver,
            )
            if s.status < 0:
                raise RuntimeError(f"{self.case['name']} at {t} s: {s.message}")
            self.watch(s.sol, s.t[-1])
            self.y, t = s.y[:, -1].copy(), s.t[-1]
            if s.status == 0:
                return
            for event, times in zip(events, s.t_events):
                if len(times):
                    kind, name = event.flips
                    kind[name] = not kind[name]

    def watch(self, path, until):
        """Peak speed, lowest angle, and where the speed goes through zero."""
        for step in path.interpolants:
            low, high = step.t_old, min(step.t, until)  # the last step may reach beyond an event
            if high <= low:
                continue
            grid = np.linspace(low, high, 33)
            values = step(grid)
            size = np.abs(values[1])
            if size.max() > self.peak[0]:
                self.peak = self.refine(lambda t: -abs(step(t)[1]), grid, int(size.argmax()))
            if values[0].min() < self.lowest[0]:
                found, at = self.refine(lambda t: step(t)[0], grid, int(values[0].argmin()))
                self.lowest = (-found, at)
            for n in np.nonzero(values[1][:-1] * values[1][1:] < 0)[0]:
                self.reversals.append(brentq(lambda t: step(t)[1], grid[n], grid[n + 1], xtol=1e-16))

    @staticmethod
    def refine(function, grid, n):
        low, high = grid[max(0, n - 1)], grid[min(len(grid) - 1, n + 1)]
        s = minimize_scalar(function, bounds=(low, high), method="bounded", options={"xatol": 1e-12})
        t = min((float(s.x), low, high, grid[n]), key=function)
        return -function(t), t

    def result(self):
        stop = None
        if self.case.get("stops"):
            stop = next(t for t in self.reversals if t > self.peak[1])
        rows = [self.rows[t] for t in self.samples]
        values = [self.start_angle - self.lowest[0], self.y[5], self.y[6], stop, self.peak[0], self.y[0], self.y[8] - self.case["rig"]["brake.ambient_c"]]
        return {
            **{k: None if v is None else short(v) for k, v in zip(SCALARS, values)},
            **({k: short(v) for k, v in zip(SCALARS_2, self.y[10:])} if self.axis.second else {}),
            "t_s": [short(r[0]) for r in rows],
            **{k: [short(r[n + 1]) for r in rows] for n, k in enumerate(COLUMNS)},
        }


def short(value):
    return float(f"{value:.12g}")


def difference(a, b):
    """Largest difference of two results, each quantity over its own largest size.

    A number below 1e-3 rad, rad/s, J, s or K says that nothing happened, and is
    measured against that.
    """
    found = {}
    for key in SCALARS + [k for k in SCALARS_2 if k in a]:
        if a[key] is not None and b[key] is not None:
            found[key] = abs(a[key] - b[key]) / max(abs(a[key]), abs(b[key]), 1e-3)
        elif a[key] != b[key]:
            found[key] = math.inf
    for key in COLUMNS:
        x, y = np.array(a[key]), np.array(b[key])
        size = max(np.abs(x).max(), np.abs(y).max())
        found[key] = 0.0 if size == 0 else float(np.abs(x - y).max() / size)
    return found


def read_cases(path):
    document = json.loads(path.read_text(encoding="utf-8"))
    for case in document["cases"]:
        unknown = set(case["rig"]) - set(document["rig"])
        if unknown:
            raise KeyError(f"{case['name']}: {sorted(unknown)} not among the values of the common rig")
        case["rig"] = {**document["rig"], **case["rig"]}
    return document


def write(out):
    path = HERE / "cases.json"
    document = read_cases(path)
    tick, samples = seconds(document["tick"]), document["samples"]
    results = {
        "cases_sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        "python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__,
        "solver": REFERENCE, "atol_over_rtol": dict(zip(Y + Y_2, [*SCALE.tolist(), *SCALE_2.tolist()])), "checked_by": [LOOSER, OTHER],
        "own_error": "largest relative difference to the runs of checked_by, each over the largest size in the case",
        "cases": {},
    }
    for case in document["cases"]:
        runs = [Run(case, tick, samples, solver).solve().result() for solver in (REFERENCE, LOOSER, OTHER)]
        errors = [difference(runs[0], other) for other in runs[1:]]
        own = {k: float(f"{max(e[k] for e in errors):.2g}") for k in errors[0]}
        results["cases"][case["name"]] = {**runs[0], "own_error": own}
        print(f"{case['name']}: own error {max(own.values()):.1e} in {max(own, key=own.get)}", flush=True)
    text = json.dumps(results, indent=1)
    pathlib.Path(out).write_text(text + "\n", encoding="utf-8")


def compare(old, new, tolerance):
    a, b = (json.loads(pathlib.Path(p).read_text(encoding="utf-8")) for p in (old, new))
    if a["cases_sha256"] != b["cases_sha256"] or a["cases"].keys() != b["cases"].keys():
        print("the results are not of the same cases.json")
        return 1
    bad = 0
    for name in a["cases"]:
        for key, size in difference(a["cases"][name], b["cases"][name]).items():
            if size > tolerance:
                bad += 1
                print(f"{name}: {key} differs by {size:.1e}, tolerance {tolerance:.0e}")
    print(f"{len(a['cases'])} cases compared, {bad} quantities beyond {tolerance:.0e}; "
          f"SciPy {a['scipy']} and {b['scipy']}")
    return 1 if bad else 0


def main():
    parser = argparse.ArgumentParser(description="Solve the axis of cases.json with SciPy.")
    parser.add_argument("--out", default=HERE / "results.json", help="where to write the results")
    parser.add_argument("--compare", nargs=2, metavar=("OLD", "NEW"), help="compare two results instead")
    parser.add_argument("--tolerance", type=float, default=1e-6, help="relative, for --compare")
    given = parser.parse_args()
    if given.compare:
        return compare(*given.compare, given.tolerance)
    write(given.out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
