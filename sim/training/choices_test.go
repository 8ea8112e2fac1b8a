package training

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// shortCase is a whole test in the least time, so that many riddles can be drawn of it.
func shortCase(t *testing.T) *sim.Case {
	t.Helper()
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{Set: map[string]string{
		"judge.dwell": "60ms", "sequence.test_position_mm": "205",
		"rig.clock.run_limit": "4s", "rig.clock.tick": "500us", "rig.clock.functional_scan": "4ms",
	}})
	require.NoError(t, err)
	r, err := sim.Run(c, nil)
	require.NoError(t, err)
	require.Equal(t, "pass", r.End)
	return c
}

func drawingOf(t *testing.T, seed uint64) *drawing {
	t.Helper()
	d, err := newDrawing(shortCase(t), seed)
	require.NoError(t, err)
	return d
}

// named is a fault that fits the drawing's rig.
func (d *drawing) named(t *testing.T, name string) *catalogue.Entry {
	t.Helper()
	i := slices.IndexFunc(d.faults, func(f catalogue.Entry) bool { return f.Name == name })
	require.GreaterOrEqual(t, i, 0, name)
	return &d.faults[i]
}

// with records the run with a fault of the catalogue in it.
func (d *drawing) with(t *testing.T, f *catalogue.Entry, severity float64, when sim.Moment) *Recording {
	t.Helper()
	r, err := Record(withFault(d.nominal, f, severity, when))
	require.NoError(t, err)
	return r
}

// What is true of every riddle, over many: something shows before the sequences part,
// no two answers look alike, a fault that makes sense from the start only comes there,
// and the place of the true cause does not reveal it.
func TestManyRiddles(t *testing.T) {
	t.Parallel()
	c := shortCase(t)
	looks := map[string]string{}
	for _, f := range catalogue.Entries() {
		looks[f.Name] = f.Symptom
	}
	const seeds = 50
	places := map[int]int{}
	for seed := uint64(1); seed <= seeds; seed++ {
		r, err := Draw(c, seed)
		require.NoError(t, err)
		require.False(t, r.Clues[0].AfterDivergence, "seed %d: %s", seed, r.Clues[0].Text)
		like := map[string]string{}
		for i, cause := range r.Causes {
			if cause.Name == r.Fault.Name {
				places[i]++
			}
			look := looks[cause.Name]
			require.Equal(t, i, slices.Index(r.Causes, cause), "seed %d: %s stands once", seed, cause.Name)
			require.False(t, look != "" && like[look] != "", "seed %d: %s looks like %s: %s", seed, cause.Name, like[look], look)
			like[look] = cause.Name
		}
		when := *r.Case.Scenario.Faults[0].When
		require.Equal(t, r.When, when, "seed %d: as stated", seed)
		require.False(t, r.Fault.FromStart && when != sim.Moment{}, "seed %d: %s comes in %s", seed, r.Fault.Name, when.State)
	}
	for place := range choiceCount {
		assert.Positive(t, places[place], "place %d", place)
		assert.Less(t, places[place], seeds/2, "place %d", place)
	}
}

// None of the wrong causes looks like the true one, however different their severities
// make them here; and each can be refuted by what is to be seen.
func TestWrongCausesDifferFromTheTrueOne(t *testing.T) {
	d := drawingOf(t, 3)
	requireApart := func(r *Riddle, faulted *Recording) {
		for _, cause := range r.Causes {
			if cause.Name == r.Fault.Name {
				continue
			}
			apart, err := d.distinguishable(r, newReference(faulted), d.named(t, cause.Name))
			require.NoError(t, err)
			require.True(t, apart, "%s beside %s", cause.Name, r.Fault.Name)
		}
	}
	harmless := d.named(t, "sense-by-magnitude") // from which half of the others cannot be distinguished
	r := &Riddle{Fault: *harmless}
	faulted := d.with(t, harmless, 0, sim.Moment{})
	require.NoError(t, d.fillChoices(r, faulted))
	requireApart(r, faulted)
	for _, name := range []string{"lining-worn", "feedback-stuck-open", "load-heavier"} {
		f := d.named(t, name)
		like := 0
		for i := range d.faults {
			if sameSymptom(&d.faults[i], f) {
				like++
			}
		}
		require.Greater(t, like, 1, "%s has some that look like it", name)
		r := &Riddle{Fault: *f, Severity: f.Usual()}
		require.NoError(t, d.fillChoices(r, d.with(t, f, r.Severity, sim.Moment{})))
		for _, cause := range r.Causes {
			require.False(t, cause.Name != name && sameSymptom(d.named(t, cause.Name), f), "%s beside %s", cause.Name, name)
		}
	}
}

// A run that looks like the true one does not refute the cause, at either severity.
func TestEqualRunsAreNotDistinguishable(t *testing.T) {
	d := drawingOf(t, 1)
	usual := (*catalogue.Entry).Usual
	severe := func(f *catalogue.Entry) float64 { return f.Scale.Severe }
	start, late := sim.Moment{}, sim.Moment{State: "settle", After: 20 * time.Millisecond}
	for _, k := range []struct {
		truth    string
		severity func(*catalogue.Entry) float64
		when     sim.Moment
		wrong    string
		want     bool
	}{
		{"lining-worn", usual, start, "lining-worn", false},
		{"lining-worn", severe, start, "lining-worn", false},
		{"encoder-frozen", usual, start, "encoder-frozen", false},
		{"encoder-frozen", usual, late, "encoder-frozen", false},       // held against it at the same moment
		{"sense-by-magnitude", usual, start, "window-too-wide", false}, // neither shows
		{"drive-detuned", usual, start, "window-too-wide", false},      // the first sign is that the sequences part
		{"ask-held", usual, start, "verdict-held", true},
		{"encoder-frozen", usual, start, "lining-worn", true},
		// The one trembles: held against it the other hides, and not the other way round.
		{"current-noisy", usual, start, "window-too-wide", true},
		{"window-too-wide", usual, start, "current-noisy", true},
	} {
		f := d.named(t, k.truth)
		severity := k.severity(f)
		truth := newReference(d.with(t, f, severity, k.when))
		got, err := d.distinguishable(&Riddle{Fault: *f, Severity: severity, When: k.when}, truth, d.named(t, k.wrong))
		require.NoError(t, err)
		assert.Equal(t, k.want, got, "%s beside %s at %v", k.wrong, k.truth, severity)
	}
}

// A button that everybody sees is no riddle, nor is another case.
func TestRiddlesAreOfTheMachine(t *testing.T) {
	d := drawingOf(t, 1)
	drawn := map[string]bool{}
	for i := range d.faults {
		drawn[d.faults[i].Name] = true
	}
	for _, f := range catalogue.Entries() {
		riddle := f.Settings == nil && f.Group != catalogue.OperationGroup && f.Group != catalogue.ControllerGroup
		assert.Equal(t, riddle && f.Fits(&d.nominal.Rig), drawn[f.Name], f.Name)
	}
}

// Faults that a run is built on come at its start, whenever others would.
func TestFromStartComesAtTheStart(t *testing.T) {
	d := drawingOf(t, 1)
	late := sim.Moment{State: "travel"}
	var some int
	for i := range d.faults {
		f := &d.faults[i]
		when := map[string]bool{}
		for range 20 {
			when[fmt.Sprint(d.moment(f))] = true
		}
		at := *withFault(d.nominal, f, f.Usual(), late).Scenario.Faults[0].When
		if f.FromStart {
			some++
			assert.Equal(t, map[string]bool{fmt.Sprint(sim.Moment{}): true}, when, f.Name)
			assert.Equal(t, sim.Moment{}, at, f.Name)
			continue
		}
		assert.Greater(t, len(when), 3, "%s comes at any time", f.Name)
		assert.Equal(t, late, at, f.Name)
	}
	assert.Positive(t, some)
}
