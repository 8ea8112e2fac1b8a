#!/usr/bin/env python3
"""A controller for holdbench that tests the brake downwards where the axis stands.

    holdbench run healthy-down --controller 'python3 sim/remote/clients/press_down.py'

It shows the protocol (holdbench help controller) and is no brake test for a machine: no
permissives, no guard, no stop, no travel to a support after a failure.
"""
import json
import sys

HELLO = {"version": 1, "name": "press-down", "start": "ready", "states": [
    {"name": "ready"}, {"name": "close"}, {"name": "press"}, {"name": "ask"}, {"name": "verdict"},
    {"name": "carry"}, {"name": "open"}, {"name": "passed", "end": "pass"}, {"name": "failed", "end": "fail"}]}


def outputs(state, p):
    """What a state sets. After a failure the drive holds the load: the brake cannot be trusted."""
    return {
        "drive": "press" if state in ("press", "ask", "verdict", "carry") else "hold",
        "press_torque_nm": p["load_torque_nm"] if state == "carry" else p["press_down_nm"],
        "press_rate_nm_s": p["press_rate_nm_s"], "required_current_a": p["required_down_a"],
        "brake": "open" if state in ("ready", "open", "passed") else "closed",
        "ask": "down" if state in ("ask", "verdict") else "none",
        "operation": "allowed" if state in ("ready", "passed") else "inhibited"}


def step(state, i, p, since, before):
    """The state after a scan; since is the time in the present one, in s.

    A verdict is one of this ask only if the judge's counter differs from that before the ask: an
    old proof or failure may still be there (holdbench help judge)."""
    fresh = state in ("ask", "verdict") and i["test_count"] != before
    if state in ("passed", "failed"):
        return state
    if state != "ready" and (i["safe_stop"] or since > 6):
        return "failed"
    if fresh and i["judge_failed"] and i["tested"] == "none":
        return "failed"
    done = {
        "ready": i["trigger"], "close": i["brake_closed"] and since > 0.3,
        "press": i["torque_nm"] <= p["required_down_nm"], "ask": i["judge_busy"],
        "verdict": fresh and not i["judge_busy"] and i["tested"] == "down",
        "carry": i["torque_nm"] >= 0.95 * p["load_torque_nm"],
        "open": not i["brake_closed"] and since > 0.3}[state]
    names = [s["name"] for s in HELLO["states"]]
    return names[names.index(state) + 1] if done else state


state, since, params, before = "ready", 0.0, {}, 0
for line in sys.stdin:
    message = json.loads(line)
    answer = {"n": message["n"]}
    if message["type"] == "hello":
        answer.update(HELLO)
    elif message["type"] == "reset":
        state, since, params = "ready", 0.0, message["params"]
    elif message["type"] == "power_up":
        state = "failed"  # untested; the load stays on the drive and the closed brake
    else:
        after = step(state, message["inputs"], params, message["t_s"] - since, before)
        if after == "ask" != state:
            before = message["inputs"]["test_count"]
        if after != state:
            state, since = after, message["t_s"]
        answer.update(state=state, outputs=outputs(state, params))
    print(json.dumps(answer), flush=True)
