package sweep

import (
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
)

// A refusal belongs to the curve if the brake caused it: the judge saw it move, or it slipped
// before the test was given up, whatever word the sequence has for that. A brake that slips in the
// stop that follows another cause did not cause it.
func TestRefusalOf(t *testing.T) {
	slip := sim.Event{Type: sim.EventSlipBegan}
	fail := func(cause string) sim.Event { return sim.Event{Type: sim.EventFailed, Cause: cause} }
	entered := func(cause string) sim.Event { return sim.Event{Type: sim.EventStateEntered, Cause: cause} }
	for name, c := range map[string]struct {
		verdict, cause string
		events         []sim.Event
		want           Refusal
	}{
		"Proof":                {proven, "", []sim.Event{slip}, ""},
		"Moved":                {failed, "moved", []sim.Event{fail("moved"), entered("moved")}, forBrake},
		"MovedByAnotherName":   {failed, "bremse-rutscht", []sim.Event{slip, fail("moved"), entered("bremse-rutscht")}, forBrake},
		"NoTorqueAsItSlipped":  {failed, "no-torque", []sim.Event{slip, fail("no-torque")}, forBrake},
		"NoTorque":             {failed, "no-torque", []sim.Event{fail("no-torque"), slip}, forOther},
		"Slipped":              {none, "slipped", []sim.Event{entered(""), slip, entered("slipped")}, forBrake},
		"SlippedByAnotherName": {none, "bremse-rutscht", []sim.Event{entered(""), slip, entered("bremse-rutscht")}, forBrake},
		"LoadDeviation":        {none, "load-deviation", []sim.Event{entered("load-deviation"), entered("")}, forOther},
		"SlipInTheStop":        {none, "excessive-travel-torque", []sim.Event{entered("excessive-travel-torque"), slip}, forOther},
		"NoCause":              {none, "", []sim.Event{entered(""), slip}, forBrake},
		"Nothing":              {none, "", nil, forOther},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, c.want, refusalOf(&sim.Result{Verdict: c.verdict, Cause: c.cause, Events: c.events}))
		})
	}
}
