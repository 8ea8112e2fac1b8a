package probe

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/sim"
	"holdbench/sim/safety"
)

// Events decide by their types, whatever their words say: a fault comes late if it comes
// within the check that the proof rests on, and nothing showed before the proof.
func TestOutcomeGoesByTheTypesOfEvents(t *testing.T) {
	t.Parallel()
	for _, k := range []struct {
		name           string
		askedS, faultS float64
		signS          []float64
		late           bool
	}{
		{"fault within the check", 4, 5, nil, true},
		{"fault ahead of the check", 4, 3, nil, false},
		{"fault within the check, sign ahead of the proof", 4, 5, []float64{5.5}, false},
		{"fault within the check, sign after the proof", 4, 5, []float64{6.5}, true},
		{"fault after the proof", 4, 7, nil, true},
	} {
		for _, words := range []string{"", "asked", "proven for 8h", "(power returned)"} {
			var sign *float64
			for _, s := range k.signS {
				sign = &s
			}
			o := outcomeOf(Cell{}, &sim.Result{Class: sim.Missed, Verdict: "proven", Events: []sim.Event{
				{TS: 1, Type: sim.EventAsked, What: words},
				{TS: 2, Type: sim.EventProven, What: words},
				{TS: k.faultS, Type: sim.EventFaultBegan, What: words},
				{TS: k.askedS, Type: sim.EventAsked, What: words},
				{TS: 6, Type: sim.EventProven, What: words},
				{TS: 8, Type: sim.EventFaultEnded, What: words},
			}}, sign, nil)
			assert.Equal(t, k.late, o.Late, "%s, with the words %q", k.name, words)
		}
	}
}

// Of two brakes that are tested one after the other the check of the one that fails counts: a fault
// of the first that comes between the checks cannot be detected any more, and one of the second can.
func TestLateGoesByTheBrakeThatWasTested(t *testing.T) {
	t.Parallel()
	const insufficient, required = 5.0, 13.0
	sufficient := 30.0
	for _, k := range []struct {
		name          string
		faultS        float64
		first, second float64
		late          bool
	}{
		{"first, ahead of its check", 0.5, insufficient, sufficient, false},
		{"first, within its check", 1.5, insufficient, sufficient, true},
		{"first, between the checks", 3, insufficient, sufficient, true},
		{"second, between the checks", 3, sufficient, insufficient, false},
		{"second, within the check of the first", 1.5, sufficient, insufficient, false},
		{"second, within its check", 5, sufficient, insufficient, true},
		{"both, between the checks", 3, insufficient, insufficient, false},
	} {
		o := outcomeOf(Cell{}, &sim.Result{
			Class: sim.Missed, Verdict: "proven", BrakeCapacityNM: sufficient, BrakeCapacityAtEndNM: k.first, RequiredTorqueNM: required, RequiredAtEndNM: required,
			Brake2CapacityNM: &sufficient, Brake2CapacityAtEndNM: &k.second,
			Events: []sim.Event{
				{TS: k.faultS, Type: sim.EventFaultBegan},
				{TS: 1, Type: sim.EventAsked},
				{TS: 2, Type: sim.EventProven, Brakes: safety.FirstBrake},
				{TS: 4, Type: sim.EventAsked},
				{TS: 6, Type: sim.EventProven, Brakes: safety.SecondBrake},
			},
		}, nil, nil)
		assert.Equal(t, k.late, o.Late, k.name)
	}
}
