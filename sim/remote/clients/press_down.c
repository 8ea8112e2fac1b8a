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
static int is(const char *key, const char *word) { /* words are in quotes */
    const char *at = value(key);
    return *at == '"' && !strncmp(at + 1, word, strlen(word)) && at[1 + strlen(word)] == '"';
}

/* A verdict is one of this ask only if the judge's counter differs from that before the ask: an old
 * proof or failure may still be there (holdbench help judge). */
static int step(int state, double since, double load, double required, double before) {
    int fresh = (state == ASK || state == VERDICT) && number("test_count") != before;
    if (state >= PASSED) return state;
    if (state != READY && (on("safe_stop") || since > 6)) return FAILED;
    if (fresh && on("judge_failed") && is("tested", "none")) return FAILED;
    int done[] = {on("trigger"), on("brake_closed") && since > 0.3, number("torque_nm") <= required, on("judge_busy"),
        fresh && !on("judge_busy") && is("tested", "down"), number("torque_nm") >= 0.95 * load, !on("brake_closed") && since > 0.3};
    return done[state] ? state + 1 : state;
}

int main(void) {
    int state = READY;
    double entered = 0, before = 0, load = 0, required = 0, press = 0, rate = 0, current = 0;
    while (fgets(line, sizeof line, stdin)) {
        if (is("type", "hello")) {
            puts("{\"version\":1,\"name\":\"press-down\",\"states\":[{\"name\":\"ready\"},{\"name\":\"close\"},{\"name\":\"press\"},"
                 "{\"name\":\"ask\"},{\"name\":\"verdict\"},{\"name\":\"carry\"},{\"name\":\"open\"},"
                 "{\"name\":\"passed\",\"end\":\"pass\"},{\"name\":\"failed\",\"end\":\"fail\"}]}");
        } else if (is("type", "scan")) {
            double t = number("t_s");
            int next = step(state, t - entered, load, required, before);
            if (next == ASK && state != ASK) before = number("test_count");
            if (next != state) state = next, entered = t;
            int pressing = state >= PRESS && state <= CARRY, open = state == READY || state == OPEN || state == PASSED;
            printf("{\"n\":%ld,\"state\":\"%s\",\"outputs\":{\"drive\":\"%s\",\"press_torque_nm\":%.17g,\"press_rate_nm_s\":%.17g,"
                   "\"required_current_a\":%.17g,\"brake\":\"%s\",\"ask\":\"%s\",\"operation\":\"%s\"}}\n",
                   atol(value("n")), name[state], pressing ? "press" : "hold", state == CARRY ? load : press, rate, current,
                   open ? "open" : "closed", state == ASK || state == VERDICT ? "down" : "none",
                   state == READY || state == PASSED ? "allowed" : "inhibited");
        } else { /* reset: a new run; power_up: untested, and the load stays on drive and brake */
            if (is("type", "reset")) {
                load = number("load_torque_nm"), required = number("required_down_nm"), press = number("press_down_nm");
                rate = number("press_rate_nm_s"), current = number("required_down_a");
            }
            state = is("type", "reset") ? READY : FAILED, entered = 0;
            puts("{}");
        }
        fflush(stdout);
    }
    return 0;
}
