package probe_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"holdbench/scenarios"
	"holdbench/sim/probe"
)

func TestTry(t *testing.T) {
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{})
	if err != nil {
		t.Fatal(err)
	}
	at := time.Now()
	m, err := probe.Run(context.Background(), c, probe.Options{}, nil)
	fmt.Println(err, time.Since(at))
	n := map[string]int{}
	sum := 0.0
	for _, o := range m.Outcomes {
		k := string(o.Kind)
		if o.Excused() {
			k += " excused"
		}
		n[k]++
		sum += o.DurationS
	}
	fmt.Println(len(m.Outcomes), n, sum, len(m.Faults), m.Misfits, m.Unreached)
	type g struct{ k, f, s, c string }
	gs := map[g]int{}
	ex := map[g]probe.Outcome{}
	for _, o := range m.Outcomes {
		if o.Dangerous() {
			k := g{string(o.Kind), o.Fault, o.State, fmt.Sprint(o.Broken)}
			gs[k]++
			ex[k] = o
		}
	}
	for k, v := range gs {
		o := ex[k]
		fmt.Printf("%s %s %s %s %d | %s %s end=%s/%s drop=%.1f dur=%.1f route=%v\n", k.k, k.f, k.s, k.c, v, o.Spec, o.Cause, o.End, o.EndedIn, o.LoadDropMM, o.DurationS, o.Route)
	}
}
