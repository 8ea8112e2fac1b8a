package training

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// reactions are those that the rows of a trace show, without its events.
type reactions struct {
	alarms  map[string]float64 // with the time of the first
	failedS float64            // −1 for never
	stopS   float64
}

func (r *reactions) Row(row *sim.Row) error {
	if _, known := r.alarms[row.Out.Alarm]; !known && row.Out.Alarm != "" {
		r.alarms[row.Out.Alarm] = row.TS
	}
	if row.In.JudgeFailed && r.failedS < 0 {
		r.failedS = row.TS
	}
	if row.In.SafeStop && r.stopS < 0 {
		r.stopS = row.TS
	}
	return nil
}

func reactionsOf(t *testing.T, c *sim.Case) (*reactions, *sim.Result) {
	t.Helper()
	r := &reactions{map[string]float64{}, -1, -1}
	result, err := sim.Run(c, r)
	require.NoError(t, err)
	return r, result
}

// requireFound holds who found a riddle's faults against two further runs: nobody, only if there is no new alarm, the
// same end, and no other verdict or stop; and each side that is named at a time at which the run shows it.
func requireFound(t *testing.T, r *Riddle) {
	t.Helper()
	was, nominal := reactionsOf(t, r.Nominal)
	is, faulted := reactionsOf(t, r.Case)
	text := strings.Join(r.FoundText(), " ")
	by := map[string]Finding{}
	for _, f := range r.Found {
		by[f.Side] = f
		assert.Contains(t, text, f.Side, "seed %d", r.Seed)
	}
	if len(r.Found) == 0 {
		require.Contains(t, text, "not detected", "seed %d", r.Seed)
	}
	_, sequence := by[sequenceSide]
	for alarm, atS := range is.alarms {
		if _, known := was.alarms[alarm]; !known {
			require.True(t, sequence, "seed %d: alarm %q at %.3f s and %q", r.Seed, alarm, atS, text)
			require.LessOrEqual(t, by[sequenceSide].AtS, atS, "seed %d", r.Seed)
		}
	}
	require.True(t, sequence || faulted.End == nominal.End || faulted.End == "none", "seed %d: it ends in %s, and %q", r.Seed, faulted.End, text)
	if was.failedS < 0 && was.stopS < 0 {
		_, judge := by[judgeSide]
		_, safety := by[safetySide]
		require.Equal(t, failedVerdicts(faulted) > 0, judge, "seed %d: %q", r.Seed, text)
		require.True(t, is.failedS < 0 || judge, "seed %d: the sequence reads a failed verdict at %.3f s, and %q", r.Seed, is.failedS, text)
		require.True(t, is.stopS < 0 || safety, "seed %d: the sequence reads a stop at %.3f s, and %q", r.Seed, is.stopS, text)
	}
	for _, f := range r.Found {
		require.True(t, happened(faulted, &f) || is.alarms[strings.TrimPrefix(f.What, "alarm ")] == f.AtS, "seed %d: %q", r.Seed, f.Text())
	}
}

func failedVerdicts(r *sim.Result) (n int) {
	for i := range r.Events {
		if r.Events[i].Type == sim.EventFailed {
			n++
		}
	}
	return n
}

// happened is whether something that is listed happened at the time of a finding, with its cause.
func happened(r *sim.Result, f *Finding) bool {
	for i := range r.Events {
		if e := &r.Events[i]; e.TS == f.AtS && strings.Contains(e.What, strings.TrimPrefix(f.What, "end ")) {
			return true
		}
	}
	return false
}

// What is said of a fault is what its own run shows, not what the catalogue says of faults of its kind.
func TestWhoFoundIt(t *testing.T) {
	t.Parallel()
	d := drawingOf(t, One, 1)
	for _, k := range []struct {
		name, want string
		severity   func(*catalogue.Entry) float64
		when       sim.Moment
	}{
		{"load-heavier", "found by the sequence at", (*catalogue.Entry).Usual, sim.Moment{}},
		{"drive-trips", "found by the sequence at 0.000 s in on_brake_alone: drive-fault.", (*catalogue.Entry).Usual, sim.Moment{}},
		{"encoder-jumps", "found by the judge at", (*catalogue.Entry).Usual, sim.Moment{State: "verdict_down", After: 20 * time.Millisecond}},
		{"lining-worn", "not detected", func(f *catalogue.Entry) float64 { return f.Scale.Mild }, sim.Moment{}},
		{"brake-closes-late", "not detected", func(*catalogue.Entry) float64 { return 0.01 }, sim.Moment{}},
	} {
		f := d.named(t, k.name)
		s := catalogue.Selection{Entry: *f, Severity: k.severity(f), When: k.when}
		c, ok := Hypothesis{s}.caseOf(d.nominal)
		require.True(t, ok)
		run, err := Record(c)
		require.NoError(t, err)
		r := d.riddleOf(Hypothesis{s}, c, run, &Visibility{})
		assert.Contains(t, strings.Join(r.FoundText(), " "), k.want, k.name)
		requireFound(t, r)
	}
}
