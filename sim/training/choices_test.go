package training

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
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

func drawingOf(t *testing.T, level Level, seed uint64) *drawing {
	t.Helper()
	d, err := newDrawing(shortCase(t), level, seed)
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
	c, ok := Hypothesis{{Entry: *f, Severity: severity, When: when}}.caseOf(d.nominal)
	require.True(t, ok)
	r, err := Record(c)
	require.NoError(t, err)
	return r
}

// manySeeds is how many riddles are drawn of each level: few here, and as many as HOLDBENCH_SEEDS says.
func manySeeds(t *testing.T) uint64 {
	t.Helper()
	n, err := strconv.ParseUint(os.Getenv("HOLDBENCH_SEEDS"), 10, 32)
	if err != nil {
		return 6
	}
	return n
}

// What is true of every riddle of every level, over many: the difference that its proof names is in two further runs,
// no two answers look alike, and a fault that makes sense from the start only comes there. The answers, which take
// some hundred runs, are made for a few of each level.
func TestManyRiddles(t *testing.T) {
	t.Parallel()
	const withAnswers = 3
	c := shortCase(t)
	for _, row := range Levels() {
		t.Run(string(row.Level), func(t *testing.T) {
			t.Parallel()
			for seed := uint64(1); seed <= manySeeds(t); seed++ {
				d, err := newDrawing(c, row.Level, seed)
				require.NoError(t, err)
				var r *Riddle
				for range maxDraws {
					if r, _, err = d.drawOne(); r != nil || err != nil {
						break
					}
				}
				require.NoError(t, err)
				require.NotNil(t, r, "seed %d", seed)
				requireProven(t, r)
				requireOfLevel(t, d, r)
				if seed <= withAnswers {
					r, err := Draw(t.Context(), c, row.Level, seed)
					require.NoError(t, err)
					requireProven(t, r)
					requireAnswersApart(t, r)
				}
			}
		})
	}
}

// requireProven wants the difference that a riddle's proof names in two runs of its cases, by the rows of their traces alone.
func requireProven(t *testing.T, r *Riddle) {
	t.Helper()
	v := r.Visible
	require.GreaterOrEqual(t, v.LastsS, LeastTimeToEnd.Seconds()-1e-9, "seed %d", r.Seed)
	require.True(t, v.ToEnd || v.LastsS >= LeastTime.Seconds()-1e-9, "seed %d", r.Seed)
	require.GreaterOrEqual(t, len(r.Beyond), len(r.Truth)-1, "seed %d", r.Seed)
	nominal, faulted := tracedOf(t, r.Nominal, v.Signal), tracedOf(t, r.Case, v.Signal)
	from, n := slices.IndexFunc(faulted, func(x tracedValue) bool { return x.atS == v.FromS }), 0
	require.GreaterOrEqual(t, from, 0, "seed %d", r.Seed)
	for i := from; i < len(faulted) && faulted[i].atS < v.FromS+v.LastsS-1e-9; i++ {
		n++
		at := func(k int) tracedValue { return nominal[min(max(0, k), len(nominal)-1)] }
		switch {
		case v.Sign == Noisy: // of the whole window, below
		case v.Sign == Frozen:
			require.Equal(t, faulted[from].text, faulted[i].text, "seed %d: %s at %v s", r.Seed, v.Signal, faulted[i].atS)
		case v.Least == 0:
			require.NotEqual(t, at(i).text, faulted[i].text, "seed %d: %s at %v s", r.Seed, v.Signal, faulted[i].atS)
		default:
			require.GreaterOrEqual(t, v.Tolerances, LeastTolerances, "seed %d", r.Seed)
			require.GreaterOrEqual(t, v.Least, LeastFigure, "seed %d", r.Seed)
			away := faulted[i].number - at(i).number
			require.GreaterOrEqual(t, max(away, -away), v.Least, "seed %d: %s at %v s", r.Seed, v.Signal, faulted[i].atS)
		}
	}
	if v.Sign == Noisy {
		more := spread(faulted[from:from+n]) - spread(nominal[min(from, len(nominal)-1):min(from+n, len(nominal))])
		require.GreaterOrEqual(t, more, v.Least-1e-9, "seed %d: %s at %v s", r.Seed, v.Signal, v.FromS)
		require.GreaterOrEqual(t, v.Least, LeastFigure, "seed %d", r.Seed)
	}
	require.InDelta(t, v.LastsS, float64(n)*r.Case.Rig.Clock.FunctionalScan.Seconds(), 1e-6, "seed %d: it is over before the end", r.Seed)
}

type tracedValue struct {
	atS, number float64
	text        string
}

func spread(list []tracedValue) float64 {
	low, high := list[0].number, list[0].number
	for _, x := range list {
		low, high = min(low, x.number), max(high, x.number)
	}
	return high - low
}

type signalTrace struct {
	signal string
	list   []tracedValue
}

func (s *signalTrace) Row(row *sim.Row) error {
	for _, one := range visibleSignals() {
		if one.Name == s.signal {
			s.list = append(s.list, tracedValue{row.TS, one.InputNumber(row.In), string(one.AppendInput(nil, row.In))})
		}
	}
	return nil
}

// tracedOf is one signal of a run.
func tracedOf(t *testing.T, c *sim.Case, signal string) []tracedValue {
	t.Helper()
	trace := &signalTrace{signal: signal}
	_, err := sim.Run(c, trace)
	require.NoError(t, err)
	return trace.list
}

// requireOfLevel wants of a riddle what its level says.
func requireOfLevel(t *testing.T, d *drawing, r *Riddle) {
	t.Helper()
	require.Len(t, r.Truth, map[bool]int{true: 2, false: 1}[d.level == Two], "seed %d", r.Seed)
	require.Len(t, r.Case.Scenario.Faults, len(r.Truth), "seed %d", r.Seed)
	for i, f := range r.Truth {
		when := *r.Case.Scenario.Faults[i].When
		require.Equal(t, f.When, when, "seed %d: as stated", r.Seed)
		require.False(t, f.Entry.FromStart && when != sim.Moment{}, "seed %d: %s comes in %s", r.Seed, f.Entry.Name, when.State)
		if s := f.Entry.Scale; d.level == Mild {
			require.NotNil(t, s, "seed %d", r.Seed)
			share := (f.Severity - s.Mild) / (s.Severe - s.Mild)
			require.InDelta(t, mildShare/2, share, mildShare/2+0.005, "seed %d: %s", r.Seed, f.Entry.Name)
		}
	}
	if d.level == Masked {
		was, err := sim.Run(r.Nominal, nil)
		require.NoError(t, err)
		is, err := sim.Run(r.Case, nil)
		require.NoError(t, err)
		require.Equal(t, []string{was.End, was.EndedIn, was.Verdict}, []string{is.End, is.EndedIn, is.Verdict}, "seed %d", r.Seed)
	}
}

// requireAnswersApart wants of two answers that they do not look alike, and of each wrong one a reason and its run.
func requireAnswersApart(t *testing.T, r *Riddle) {
	t.Helper()
	require.Len(t, r.Causes, choiceCount, "seed %d", r.Seed)
	data := 0
	for i, c := range r.Causes {
		require.Equal(t, i, slices.IndexFunc(r.Causes, func(other Choice) bool { return other.Name == c.Name }), "seed %d: %s once", r.Seed, c.Name)
		if f, err := catalogue.Find(c.Name); err == nil && isData(&f) {
			data++
		}
		if c.Name == r.Truth.Name() {
			require.Empty(t, c.Why)
			continue
		}
		require.Contains(t, c.Why, c.Name, "seed %d", r.Seed)
		require.NotNil(t, c.Case, "seed %d: %s", r.Seed, c.Name)
		_, err := sim.Run(c.Case, nil)
		require.NoError(t, err, "seed %d: %s", r.Seed, c.Name)
	}
	if r.Level == Data {
		require.GreaterOrEqual(t, data, leastOfKind, "seed %d", r.Seed)
		require.LessOrEqual(t, data, choiceCount-leastOfKind, "seed %d", r.Seed)
	}
	if len(r.Truth) == 1 {
		return
	}
	for _, f := range r.Truth {
		some := slices.IndexFunc(r.Causes, func(c Choice) bool { return !sharesFault(c.Name, f.Entry.Name) })
		require.GreaterOrEqual(t, some, 0, "seed %d: %s is not in every answer", r.Seed, f.Entry.Name)
	}
}

// answersTo makes the wrong causes of a fault.
func (d *drawing) answersTo(t *testing.T, f *catalogue.Entry, severity float64) (*Riddle, []wrongCause) {
	t.Helper()
	r := &Riddle{Level: d.level, Truth: Hypothesis{{Entry: *f, Severity: severity}}}
	list, err := d.wrongCauses(t.Context(), r, d.with(t, f, severity, sim.Moment{}), rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	return r, list
}

// None of the wrong causes looks like the true one, whatever their severity.
func TestWrongCausesDifferFromTheTrueOne(t *testing.T) {
	d := drawingOf(t, One, 3)
	for _, name := range []string{"lining-worn", "feedback-stuck-open", "load-heavier"} {
		f := d.named(t, name)
		like := 0
		for i := range d.faults {
			if sameSymptom(&d.faults[i], f) {
				like++
			}
		}
		require.Greater(t, like, 1, "%s has some that look like it", name)
		_, list := d.answersTo(t, f, f.Usual())
		require.Len(t, list, choiceCount-1, name)
		for _, wrong := range list {
			require.False(t, sameSymptom(&wrong.rival.in.Entry, f), "%s beside %s", wrong.choice.Name, name)
		}
	}
}

// The wrong causes of one whose sign is the position are of those that move the position, and not of the wiring; they
// come in the order of their distance, and none that was left out is nearer and could have been taken.
func TestWrongCausesAreTheNearest(t *testing.T) {
	d := drawingOf(t, One, 3)
	f := d.named(t, "lining-worn")
	r, list := d.answersTo(t, f, f.Scale.Severe)
	faulted := d.with(t, f, f.Scale.Severe, sim.Moment{})
	all, err := d.measure(t.Context(), r.Truth, faulted, d.rivals(r.Truth))
	require.NoError(t, err)
	require.Greater(t, len(all), 40)
	truth, order := newReference(faulted), nearest(all, 1)
	for i := 1; i < len(order); i++ {
		if order[i].shows == order[i-1].shows {
			require.LessOrEqual(t, order[i-1].distance, order[i].distance)
		}
	}
	next := 0
	for i := 0; next < len(list); i++ {
		if order[i].Name() == list[next].choice.Name {
			next++
			continue
		}
		_, refuted, err := d.refuted(r, truth, &order[i])
		require.NoError(t, err)
		require.False(t, refuted && d.suits(r, list[:next], &order[i]), "%s is nearer than %s", order[i].Name(), list[next].choice.Name)
	}
	assert.True(t, list[0].rival.shows)
}

// The distance of equal runs is 0, that of two weak brakes smaller than that of a weak brake and a lost encoder.
func TestDistance(t *testing.T) {
	d := drawingOf(t, One, 1)
	trace := func(name string) []float64 {
		f := d.named(t, name)
		return d.healthy.trace(d.with(t, f, f.Usual(), sim.Moment{}), d.healthy.mostScans())
	}
	worn, oil, lost := trace("lining-worn"), trace("oil-on-lining"), trace("encoder-lost")
	assert.Zero(t, distance(worn, worn))
	assert.Less(t, distance(worn, oil), distance(worn, lost))
	assert.Equal(t, distance(worn, lost), distance(lost, worn))
	assert.LessOrEqual(t, distance(worn, lost), 1.0)
}

// A run that looks like the true one does not refute the cause.
func TestEqualRunsAreNotRefuted(t *testing.T) {
	d := drawingOf(t, One, 1)
	usual := (*catalogue.Entry).Usual
	severe := func(f *catalogue.Entry) float64 { return f.Scale.Severe }
	start, late := sim.Moment{}, sim.Moment{State: "settle", After: 20 * time.Millisecond}
	for _, k := range []struct {
		truth    string
		severity func(*catalogue.Entry) float64
		when     sim.Moment
		wrong    string
		want     string // in the reason, empty if there is none
	}{
		{"lining-worn", usual, start, "lining-worn", ""},
		{"lining-worn", severe, start, "lining-worn", ""},
		{"encoder-frozen", usual, start, "encoder-frozen", ""},
		{"encoder-frozen", usual, late, "encoder-frozen", ""},       // held against it at the same moment
		{"sense-by-magnitude", usual, start, "window-too-wide", ""}, // neither shows
		{"drive-detuned", usual, start, "window-too-wide", ""},      // the first sign is that the sequences part
		{"ask-held", usual, start, "verdict-held", "From "},
		{"encoder-frozen", usual, start, "lining-worn", "speed has noise"}, // it is frozen
		// The one has noise; at the mild end of its scale it is too little to be seen.
		{"current-noisy", usual, start, "window-too-wide", "has noise of"},
		{"window-too-wide", usual, start, "current-noisy", ""},
	} {
		f, wrong := d.named(t, k.truth), d.named(t, k.wrong)
		x := rival{in: catalogue.Selection{Entry: *wrong, Severity: wrong.Usual(), When: k.when}}
		x.Hypothesis = Hypothesis{x.in}
		c, ok, err := d.refuted(&Riddle{}, newReference(d.with(t, f, k.severity(f), k.when)), &x)
		require.NoError(t, err)
		assert.Equal(t, k.want != "", ok, "%s beside %s: %s", k.wrong, k.truth, c.Why)
		assert.Contains(t, c.Why, k.want, "%s beside %s", k.wrong, k.truth)
	}
}

// A flag that differs for a scan less than the least time is not visible, and one that differs for that time is.
func TestLeastTime(t *testing.T) {
	d := drawingOf(t, One, 1)
	for _, k := range []struct {
		scans int
		want  bool
	}{{124, false}, {125, true}} { // of 4 ms
		other := *d.healthy.Recording
		other.scans = slices.Clone(other.scans)
		for i := range k.scans {
			other.scans[100+i].in.DriveReady = !other.scans[100+i].in.DriveReady
		}
		v, ok := d.healthy.visible(&other)
		assert.Equal(t, k.want, ok, "%d scans", k.scans)
		if ok {
			assert.Equal(t, "drive_ready", v.Signal)
			assert.InDelta(t, 0.5, v.LastsS, 1e-9)
			assert.InDelta(t, other.scans[100].atS, v.FromS, 1e-9)
		}
	}
}

// A time that is left falls by itself, so that it has no noise, and a part of a second of it is not to be seen.
func TestCountdownIsNoNoise(t *testing.T) {
	t.Parallel()
	d := drawingOf(t, One, 1)
	for _, k := range []struct {
		byS  float64
		want bool
	}{{0.9, false}, {30, true}} {
		other := *d.healthy.Recording
		other.scans = slices.Clone(other.scans)
		for i := range 200 {
			other.scans[100+i].in.ProofLeftS += k.byS
		}
		v, ok := d.healthy.visible(&other)
		assert.Equal(t, k.want, ok, "%v", k.byS)
		assert.NotEqual(t, Noisy, v.Sign)
	}
}

// What follows from another state proves nothing, even if it lasts to the end.
func TestDifferencesAfterTheStatesPart(t *testing.T) {
	d := drawingOf(t, One, 1)
	other := *d.healthy.Recording
	other.scans = slices.Clone(other.scans)
	for i := 100; i < len(other.scans); i++ {
		other.scans[i].state = "elsewhere"
		other.scans[i].in.DriveReady = i <= 100 && other.scans[i].in.DriveReady
	}
	_, ok := d.healthy.visible(&other)
	assert.False(t, ok)
	other.scans[100].in.DriveReady = false
	v, ok := d.healthy.visible(&other)
	require.True(t, ok, "in the scan in which they part it is a cause")
	assert.Equal(t, "drive_ready", v.Signal)
}

// A button that everybody sees is no riddle, nor is another case.
func TestRiddlesAreOfTheMachine(t *testing.T) {
	d := drawingOf(t, One, 1)
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
	d := drawingOf(t, One, 1)
	late := sim.Moment{State: "travel"}
	var some int
	for i := range d.faults {
		f := &d.faults[i]
		when := map[string]bool{}
		for range 20 {
			when[fmt.Sprint(d.moment(f))] = true
		}
		c, ok := Hypothesis{{Entry: *f, Severity: f.Usual(), When: late}}.caseOf(d.nominal)
		require.True(t, ok)
		at := *c.Scenario.Faults[0].When
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

// A cause that shows in the same signals at the same time is nearer than one that shows little, and one that shows
// elsewhere is as far as can be.
func TestUnlike(t *testing.T) {
	t.Parallel()
	base, truth := []float64{0, 0, 0, 0}, []float64{0, 1, 1, 0}
	of := func(other ...float64) float64 {
		return unlike(distance(truth, other), distance(base, truth), distance(base, other))
	}
	assert.Zero(t, of(0, 1, 1, 0))
	assert.InDelta(t, 0.3, of(0, 0, 1, 0), 1e-9)
	assert.InDelta(t, 1, of(0.1, 0, 0, 0), 1e-9, "although it is near the run without a fault")
	assert.InDelta(t, 1, of(1, 0, 0, 1), 1e-9)
}
