/* A controller for holdbench that tests the brake downwards where the axis stands.
 *
 *     cc -o press_down sim/remote/clients/press_down.c
 *     holdbench run healthy-down --controller ./press_down
 *
 * It shows the protocol (holdbench help controller) and is no brake test for a machine: no
 * permissives, no guard, no stop, no travel to a support after a failure. Names are looked for in
 * the line as text, which the order and the spelling of holdbench's lines allow. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { READY, CLOSE, PRESS, ASK, VERDICT, CARRY, OPEN, PASSED, FAILED };
static const char *name[] = {"ready", "close", "press", "ask", "verdict", "carry", "open", "passed", "failed"};
static char line[65536];

static const char *value(const char *key) { /* what follows "key": */
    static char quoted[64];
    snprintf(quoted, sizeof quoted, "\"%s\":", key);
    const char *at = strstr(line, quoted);
    return at ? at + strlen(quoted) : "";
}
static double number(const char *key) { return atof(value(key)); }
static int on(const char *key) { return strncmp(value(key), "true", 4) == 0; }

static int step(int state, double since, double load, double required) {
    if (state >= PASSED) return state;
    if (state != READY && (on("judge_failed") || on("safe_stop") || since > 6)) return FAILED;
    int done[] = {on("trigger"), on("brake_closed") && since > 0.3, number("torque_nm") <= required, on("judge_busy"),
        on("proof") && !on("judge_busy"), number("torque_nm") >= 0.95 * load, !on("brake_closed") && since > 0.3};
    return done[state] ? state + 1 : state;
}

int main(void) {
    int state = READY;
    double entered = 0, load = 0, required = 0, press = 0, rate = 0, current = 0;
    while (fgets(line, sizeof line, stdin)) {
        const char *type = value("type");
        if (!strncmp(type, "\"hello\"", 7)) {
            puts("{\"name\":\"press-down\",\"states\":[{\"name\":\"ready\"},{\"name\":\"close\"},{\"name\":\"press\"},"
                 "{\"name\":\"ask\"},{\"name\":\"verdict\"},{\"name\":\"carry\"},{\"name\":\"open\"},"
                 "{\"name\":\"passed\",\"end\":\"pass\"},{\"name\":\"failed\",\"end\":\"fail\"}]}");
        } else if (!strncmp(type, "\"scan\"", 6)) {
            double t = number("t_s");
            int next = step(state, t - entered, load, required);
            if (next != state) state = next, entered = t;
            int pressing = state >= PRESS && state <= CARRY, open = state == READY || state == OPEN || state == PASSED;
            printf("{\"n\":%ld,\"state\":\"%s\",\"outputs\":{\"drive\":\"%s\",\"press_torque_nm\":%.17g,\"press_rate_nm_s\":%.17g,"
                   "\"required_current_a\":%.17g,\"brake\":\"%s\",\"ask\":\"%s\",\"operation\":\"%s\"}}\n",
                   atol(value("n")), name[state], pressing ? "press" : "hold", state == CARRY ? load : press, rate, current,
                   open ? "open" : "closed", state == ASK || state == VERDICT ? "down" : "none",
                   state == READY || state == PASSED ? "allowed" : "inhibited");
        } else { /* reset: a new run; power_up: untested, and the load stays on drive and brake */
            if (!strncmp(type, "\"reset\"", 7)) {
                load = number("load_torque_nm"), required = number("required_down_nm"), press = number("press_down_nm");
                rate = number("press_rate_nm_s"), current = number("required_down_a");
            }
            state = strncmp(type, "\"reset\"", 7) ? FAILED : READY, entered = 0;
            puts("{}");
        }
        fflush(stdout);
    }
    return 0;
}
