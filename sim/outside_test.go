package sim_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// A fault whose moment never comes changes nothing: one after the end of the run, or one
// in a state that the run does not enter.
func TestAFaultOutsideTheRunChangesNothing(t *testing.T) {
	t.Parallel()
	plain := coarse(t, demo)
	s := plain.Nominal().Scenario
	s.Expect, s.Lesson = sim.Expect{}, nil
	made, _, err := plain.With(s)
	require.NoError(t, err)
	want, err := sim.Run(made, nil)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(catalogue.Entries()).Filter(func(f catalogue.Entry) bool {
			return f.FitsCase(made) && !f.WholeRun()
		}).Draw(t, "fault")
		number := f.Usual()
		if f.Scale != nil {
			number = f.Scale.Between(rapid.Float64Range(0, 1).Draw(t, "share"))
		}
		fault := f.At(&made.Rig, number, sim.Moment{State: "arrest_load"})
		if rapid.Bool().Draw(t, "late") && !setsButtonsOnly(&fault) { // an end waits for what the operator will do
			late := time.Duration(want.DurationS*float64(time.Second)) + time.Second
			fault.When, fault.At = nil, &late
		}
		faulted := s
		faulted.Faults = []sim.Fault{fault}
		c, _, err := plain.With(faulted)
		require.NoError(t, err)
		got, err := sim.Run(c, nil)
		require.NoError(t, err)
		require.Nil(t, got.Faults[0].BeganS)
		got.Expectations, got.Faults = want.Expectations, nil // which say that the fault never came
		require.Equal(t, want, got)
	})
}

// setsButtonsOnly is whether a fault does nothing but what an operator does, or a button of his.
func setsButtonsOnly(f *sim.Fault) bool {
	for target := range f.Set {
		if !strings.HasPrefix(target, "operator.") {
			return false
		}
	}
	return true
}
