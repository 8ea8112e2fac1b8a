package training

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
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
		return 4
	}
	return n
}

// What is true of every riddle of every level, over many: the difference that its proof names is in two further runs,
// no two answers look alike, nothing in them gives the right one away, and a fault that makes sense from the start only
// comes there. The answers, which take some hundred runs, are made for a few of each level.
func TestManyRiddles(t *testing.T) {
	t.Parallel()
	withAnswers := max(2, manySeeds(t)/40)
	c := shortCase(t)
	for _, row := range Levels() {
		t.Run(string(row.Level), func(t *testing.T) {
			t.Parallel()
			var told tells
			for seed := uint64(1); seed <= manySeeds(t); seed++ {
				d, err := newDrawing(c, row.Level, seed)
				require.NoError(t, err)
				r := firstOf(t, d)
				requireProven(t, r)
				requireFigures(t, d, r)
				requireOfLevel(t, d, r)
				requireFound(t, r)
				if seed <= withAnswers {
					r, err := Draw(t.Context(), c, row.Level, seed)
					require.NoError(t, err)
					requireProven(t, r)
					requireAnswersApart(t, r)
					told.add(r)
				}
			}
			require.Empty(t, told.odd())
		})
	}
}

// firstOf is the first riddle that is drawn, without its answers.
func firstOf(t *testing.T, d *drawing) *Riddle {
	t.Helper()
	for u, err := range d.riddles {
		require.NoError(t, err)
		return u.Riddle
	}
	require.Fail(t, "no riddle", "level %s, seed %d", d.level, d.seed)
	return nil
}

// requireProven wants the difference that a riddle's proof names in two runs of its cases, by the rows of their traces alone.
func requireProven(t *testing.T, r *Riddle) {
	t.Helper()
	v := r.Visible
	require.GreaterOrEqual(t, v.LastsS, LeastTimeToEnd.Seconds()-1e-9, "seed %d", r.Seed)
	require.True(t, v.ToEnd || v.LastsS >= LeastTime.Seconds()-1e-9, "seed %d", r.Seed)
	_, result := reactionsOf(t, r.Case)
	for i := range result.Events {
		if e := &result.Events[i]; e.Type == sim.EventEnded {
			require.Less(t, v.FromS, e.TS, "seed %d: it is to be seen before the sequence has ended", r.Seed)
			break
		}
	}
	require.GreaterOrEqual(t, len(r.Beyond), len(r.Truth)-1, "seed %d", r.Seed)
	nominal, faulted := tracedOf(t, r.Nominal, v.Signal), tracedOf(t, r.Case, v.Signal)
	from, n := slices.IndexFunc(faulted, func(x tracedValue) bool { return x.atS == v.FromS }), 0
	require.GreaterOrEqual(t, from, 0, "seed %d", r.Seed)
	shift := 0
	if v.InState {
		first := slices.IndexFunc(nominal, func(x tracedValue) bool { return x.atS == v.FirstS })
		require.GreaterOrEqual(t, first, 0, "seed %d", r.Seed)
		require.Equal(t, wayTo(nominal, first), wayTo(faulted, from), "seed %d: as long in the same state on the same way", r.Seed)
		shift = first - from
	}
	for i := from; i < len(faulted) && faulted[i].atS < v.FromS+v.LastsS-1e-9; i++ {
		n++
		at := func(k int) tracedValue { return nominal[min(max(0, k+shift), len(nominal)-1)] }
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
	text, state string
}

// wayTo is the states up to a place, and how many values were in the last one by then.
func wayTo(list []tracedValue, place int) (way []string) {
	stays := 0
	for _, x := range list[:place+1] {
		if n := len(way); n == 0 || way[n-1] != x.state {
			way, stays = append(way, x.state), 0
		}
		stays++
	}
	return append(way, strconv.Itoa(stays))
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
			s.list = append(s.list, tracedValue{row.TS, one.InputNumber(row.In), string(one.AppendInput(nil, row.In)), row.State})
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
	require.Equal(t, len(r.Truth), len(r.Case.Scenario.Faults)+min(1, len(r.Data)), "seed %d", r.Seed)
	for _, f := range r.Truth {
		require.False(t, (f.Entry.WholeRun() || f.Entry.Gradual) && f.When != sim.Moment{}, "seed %d: %s comes in %s", r.Seed, f.Entry.Name, f.When.State)
		require.True(t, d.level != Data || f.When == sim.Moment{}, "seed %d: wrong data and faults begin together", r.Seed)
		require.True(t, d.level == Data || f.Entry.Settings == nil, "seed %d", r.Seed)
		if s := f.Entry.Scale; d.level == Mild {
			require.NotNil(t, s, "seed %d", r.Seed)
			share := (f.Severity - s.Mild) / (s.Severe - s.Mild)
			require.InDelta(t, mildShare/2, share, mildShare/2+0.005, "seed %d: %s", r.Seed, f.Entry.Name)
		}
	}
	for _, f := range r.Case.Scenario.Faults {
		require.True(t, slices.ContainsFunc(r.Truth, func(s catalogue.Selection) bool { return s.When == *f.When }), "seed %d: as stated", r.Seed)
	}
	if d.level == Masked {
		requireMasked(t, r)
	}
}

// requireMasked wants the same way to the same end, and no alarm that the nominal run has not.
func requireMasked(t *testing.T, r *Riddle) {
	t.Helper()
	var was, is alarms
	nominal, err := sim.Run(r.Nominal, &was)
	require.NoError(t, err)
	faulted, err := sim.Run(r.Case, &is)
	require.NoError(t, err)
	require.Equal(t, []string{nominal.End, nominal.EndedIn, nominal.Verdict}, []string{faulted.End, faulted.EndedIn, faulted.Verdict}, "seed %d", r.Seed)
	require.Equal(t, was, is, "seed %d", r.Seed)
}

// alarms are those of a run, in their order.
type alarms []string

func (a *alarms) Row(row *sim.Row) error {
	if n := len(*a); n == 0 || (*a)[n-1] != row.Out.Alarm {
		*a = append(*a, row.Out.Alarm)
	}
	return nil
}

// requireAnswersApart wants of two answers that they do not look alike, and of each wrong one a reason and its run.
func requireAnswersApart(t *testing.T, r *Riddle) {
	t.Helper()
	require.Len(t, r.Causes, choiceCount, "seed %d", r.Seed)
	for i, c := range r.Causes {
		require.Equal(t, i, slices.IndexFunc(r.Causes, func(other Choice) bool { return other.Name == c.Name }), "seed %d: %s once", r.Seed, c.Name)
		if c.Name == r.Truth.Name() {
			require.Empty(t, c.Why)
			continue
		}
		require.Contains(t, c.Why, c.Name, "seed %d", r.Seed)
		require.NotNil(t, c.Case, "seed %d: %s", r.Seed, c.Name)
		_, err := sim.Run(c.Case, nil)
		require.NoError(t, err, "seed %d: %s", r.Seed, c.Name)
		requireWrongAtAnySeverity(t, r, c.Name)
	}
	requireOneKind(t, r)
	requireGroupsApart(t, r)
}

// requireGroupsApart wants the runs of two wrong causes of one group to be told apart: neither could be right otherwise.
func requireGroupsApart(t *testing.T, r *Riddle) {
	t.Helper()
	for i, a := range r.Causes {
		for _, b := range r.Causes[:i] {
			if len(r.Truth) > 1 || a.Case == nil || b.Case == nil || groupOf(a.Name) != groupOf(b.Name) {
				continue
			}
			one, err := Record(a.Case)
			require.NoError(t, err)
			other, err := Record(b.Case)
			require.NoError(t, err)
			require.True(t, apart(newReference(one), other), "seed %d: %s and %s look alike", r.Seed, a.Name, b.Name)
		}
	}
}

// requireWrongAtAnySeverity wants the whole run of a single wrong cause to be told from that of the truth at severities over
// its whole scale, at the moment of the truth.
func requireWrongAtAnySeverity(t *testing.T, r *Riddle, name string) {
	t.Helper()
	f, err := catalogue.Find(name)
	if err != nil || f.Scale == nil {
		return // a pair, or a fault without degrees
	}
	truth, err := Record(r.Case)
	require.NoError(t, err)
	numbers := []float64{f.Scale.Mild, f.Scale.Usual, f.Scale.Severe}
	for share := 0.1; share < 1; share += 0.1 {
		numbers = append(numbers, rounded(f.Scale.Between(share)))
	}
	for _, number := range numbers {
		c, ok := Hypothesis{{Entry: f, Severity: number, When: r.Truth[0].When}}.caseOf(r.Nominal)
		require.True(t, ok)
		run, err := Record(c)
		require.NoError(t, err)
		require.True(t, apart(newReference(truth), run), "seed %d: %s=%g is as right as %s", r.Seed, name, number, r.Truth.Name())
	}
}

// requireOneKind wants that no answer is of another kind than the right one.
func requireOneKind(t *testing.T, r *Riddle) {
	t.Helper()
	groups := map[string]int{}
	data, times, remedies := 0, map[string]int{}, map[string]bool{}
	for _, c := range r.Causes {
		parts := strings.Split(c.Name, joint)
		require.Len(t, parts, len(r.Truth), "seed %d: as many faults in each answer", r.Seed)
		for _, name := range parts {
			times[name]++
			f, err := catalogue.Find(name)
			require.NoError(t, err)
			require.True(t, r.Level != Mild || f.Scale != nil, "seed %d: %s has no mild end", r.Seed, name)
			groups[f.Group]++
			if isData(&f) {
				data++
			}
		}
	}
	for _, c := range r.Remedies {
		remedies[c.Name] = true
		require.True(t, len(r.Truth) == 1 || strings.Contains(c.Name, joint), "seed %d: %s is one remedy for two", r.Seed, c.Name)
	}
	require.Len(t, remedies, choiceCount, "seed %d", r.Seed)
	if r.Level == Data {
		require.Equal(t, choiceCount/2, data, "seed %d: half of them are wrong data", r.Seed)
	}
	if len(r.Truth) == 1 {
		require.True(t, r.Level == Data || r.Level == Masked || alone(groups) == 0, "seed %d: an answer is the only one of its group: %v", r.Seed, groups)
		return
	}
	require.Len(t, times, 4, "seed %d: the pairs of four", r.Seed)
	for name, n := range times {
		require.Equal(t, choiceCount/2, n, "seed %d: %s is in half of the answers", r.Seed, name)
	}
}

// answersTo makes the wrong causes of a fault.
func (d *drawing) answersTo(t *testing.T, f *catalogue.Entry, severity float64) (*refuting, []rival, []wrongCause) {
	t.Helper()
	faulted := d.with(t, f, severity, sim.Moment{})
	r := &Riddle{Level: d.level, Truth: Hypothesis{{Entry: *f, Severity: severity}}}
	rivals, err := d.nearestRivals(t.Context(), r, faulted, rand.New(rand.NewPCG(1, 1)))
	require.NoError(t, err)
	u := d.refuting(r, faulted)
	list, err := d.wrongCauses(t.Context(), u, rivals)
	require.NoError(t, err)
	return u, rivals, list
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
		_, _, list := d.answersTo(t, f, f.Usual())
		require.Len(t, list, choiceCount-1, name)
		for _, wrong := range list {
			require.False(t, sameSymptom(&wrong.Hypothesis[0].Entry, f), "%s beside %s", wrong.choice.Name, name)
		}
	}
}

// The wrong causes come in the order of their distance, and none that was left out is nearer and could have been
// taken; each of them shows something at the level, so that it could be right.
func TestWrongCausesAreTheNearest(t *testing.T) {
	d := drawingOf(t, One, 3)
	f := d.named(t, "lining-worn")
	u, order, list := d.answersTo(t, f, f.Scale.Severe)
	require.Greater(t, len(order), 30)
	for i := 1; i < len(order); i++ {
		require.LessOrEqual(t, order[i-1].distance, order[i].distance)
		if order[i-1].distance == order[i].distance && order[i].in.Entry.Group == f.Group {
			require.Equal(t, f.Group, order[i-1].in.Entry.Group, "of those as near, the ones of its group first")
		}
	}
	next := 0
	for i := 0; next < len(list); i++ {
		if order[i].Name() == list[next].choice.Name {
			_, shows := d.healthy.visible(d.with(t, &order[i].in.Entry, order[i].in.Severity, order[i].in.When))
			require.True(t, shows, order[i].Name())
			next++
			continue
		}
		wrong, err := u.refuted(order[i].Hypothesis)
		require.NoError(t, err)
		require.False(t, wrong != nil && d.fitsBeside(u.of.Truth, list[:next], &order[i].in.Entry) && wrong.apartInGroup(list[:next]), "%s is nearer than %s", order[i].Name(), list[next].choice.Name)
	}
}

// Two wrong causes of one group that look alike are not offered together, wrong data neither.
func TestLookAlikesOfOneGroup(t *testing.T) {
	d := drawingOf(t, Data, 1)
	of := func(name string) *wrongCause {
		f := d.named(t, name)
		return &wrongCause{Hypothesis: Hypothesis{{Entry: *f}}, run: d.with(t, f, f.Usual(), sim.Moment{})}
	}
	wide, magnitude, interval, creeps := of("window-too-wide"), of("sense-by-magnitude"), of("interval-wrong"), of("lining-creeps")
	assert.False(t, wide.apartInGroup([]wrongCause{*interval, *magnitude}), "neither shows")
	assert.True(t, wide.apartInGroup([]wrongCause{*creeps, *interval}))
}

// Of the level of wrong data a wrong cause is measured at that mark of its scale that is nearest to the truth.
func TestWrongDataAreMeasuredAtTheNearestSeverity(t *testing.T) {
	d := drawingOf(t, Data, 1)
	f := d.named(t, "window-too-tight")
	faulted := d.with(t, f, f.Usual(), sim.Moment{})
	truth := Hypothesis{{Entry: *f, Severity: f.Usual()}}
	rivals, err := d.nearestRivals(t.Context(), &Riddle{Level: Data, Truth: truth}, faulted, d.random)
	require.NoError(t, err)
	values, nominal := d.healthy.upTo(d.healthy.untilParted(faulted, 1)), d.healthy.trace(d.healthy.Recording)
	is := d.healthy.trace(faulted)
	unusual := 0
	for i := range rivals {
		x := &rivals[i]
		if x.in.Severity != x.in.Entry.Usual() {
			unusual++
		}
		for _, trial := range d.trials(*x) {
			run := d.with(t, &trial.in.Entry, trial.in.Severity, sim.Moment{})
			if d.healthy.shows(run) {
				other := d.healthy.trace(run)
				u := unlike(distance(is[:values], other[:values]), distance(nominal[:values], is[:values]), distance(nominal[:values], other[:values]))
				require.LessOrEqual(t, x.distance, u, "%s=%g", trial.Name(), trial.in.Severity)
			}
		}
	}
	require.Positive(t, unusual)
}

// The distance of equal runs is 0, that of two weak brakes smaller than that of a weak brake and a lost encoder.
func TestDistance(t *testing.T) {
	d := drawingOf(t, One, 1)
	trace := func(name string) []float64 {
		f := d.named(t, name)
		return d.healthy.trace(d.with(t, f, f.Usual(), sim.Moment{}))
	}
	worn, oil, lost := trace("lining-worn"), trace("oil-on-lining"), trace("encoder-lost")
	assert.Zero(t, distance(worn, worn))
	assert.Less(t, distance(worn, oil), distance(worn, lost))
	assert.Equal(t, distance(worn, lost), distance(lost, worn))
	assert.LessOrEqual(t, distance(worn, lost), 1.0)
}

// A run that goes on from a copy of the nominal one, as soon as it can differ, is the run from its start.
func TestRunFromACopy(t *testing.T) {
	d := drawingOf(t, Data, 1)
	copies := 0
	for i, v := range d.visits {
		when := sim.Moment{State: v.state, After: 10 * time.Millisecond}
		for _, h := range []Hypothesis{
			{{Entry: *d.named(t, "encoder-frozen"), When: when}},
			{{Entry: *d.named(t, "oil-on-lining"), Severity: 0.25, When: when}, {Entry: *d.named(t, "press-ignored"), When: sim.Moment{State: d.visits[len(d.visits)-1].state}}},
			{{Entry: *d.named(t, "drive-trips"), When: when}, {Entry: *d.named(t, "window-too-wide"), Severity: d.named(t, "window-too-wide").Usual()}},
		} {
			c, ok := h.caseOf(d.nominal)
			require.True(t, ok, h.Name())
			want, err := Record(c)
			require.NoError(t, err)
			_, scans, err := d.begin(h, c)
			require.NoError(t, err)
			copies += min(scans, 1)
			got, err := d.record(h, c, 0)
			require.NoError(t, err)
			require.Equal(t, want.Result.Events, got.Result.Events, "%s in %s", h.Name(), v.state)
			want.Result, got.Result = nil, nil
			require.Equal(t, want, got, "%s in %s", h.Name(), v.state)
			require.LessOrEqual(t, scans, d.visits[i].from+1)
			d.reuse(got)
		}
	}
	require.Greater(t, copies, len(d.visits), "most of them")
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
		{"encoder-frozen", usual, late, "encoder-frozen", ""},                            // held against it at the same moment
		{"sense-by-magnitude", usual, start, "window-too-wide", ""},                      // neither shows
		{"drive-detuned", usual, start, "window-too-wide", ""},                           // the first sign is that the sequences part
		{"ask-held", usual, start, "verdict-held", ""},                                   // they differ in a time left that stands, which the bench does not show
		{"encoder-frozen", usual, start, "lining-worn", "speed has noise, peak to peak"}, // it is frozen
		{"brake-closes-partly", usual, start, "brake-closes-late", ""},                   // as late as it can be, the brake does not close either
		// The one has noise; at the mild end of its scale it is too little to be seen.
		{"current-noisy", usual, start, "window-too-wide", "has noise, peak to peak"},
		{"window-too-wide", usual, start, "current-noisy", ""},
	} {
		f, wrong := d.named(t, k.truth), d.named(t, k.wrong)
		u := d.refuting(&Riddle{}, d.with(t, f, k.severity(f), k.when))
		c, err := u.refuted(Hypothesis{{Entry: *wrong, Severity: wrong.Usual(), When: k.when}})
		require.NoError(t, err)
		require.Equal(t, k.want != "", c != nil, "%s beside %s: %v", k.wrong, k.truth, c)
		if c != nil {
			assert.Contains(t, c.choice.Why, k.want, "%s beside %s", k.wrong, k.truth)
		}
	}
}

// A cause that gives the run of the truth at a severity between the marks of its scale is not wrong.
func TestEqualRunsBetweenTheMarksAreNotRefuted(t *testing.T) {
	t.Parallel()
	c, _, err := scenarios.LoadCase("healthy-down-and-up", scenarios.Overrides{})
	require.NoError(t, err)
	d, err := newDrawing(c, Mild, 1)
	require.NoError(t, err)
	for _, k := range []struct {
		truth    string
		severity float64
		when     sim.Moment
		wrong    string
	}{
		{"ceiling-too-low", 0.888, sim.Moment{}, "judge-constant-too-large"},
		{"drive-hot", 1.01, sim.Moment{State: "verdict_down", After: 910 * time.Millisecond}, "current-limit-low"},
	} {
		u := d.refuting(&Riddle{Truth: Hypothesis{{Entry: *d.named(t, k.truth)}}}, d.with(t, d.named(t, k.truth), k.severity, k.when))
		wrong, err := u.refuted(Hypothesis{{Entry: *d.named(t, k.wrong), Severity: d.named(t, k.wrong).Usual(), When: k.when}})
		require.NoError(t, err)
		assert.Nil(t, wrong, "%s beside %s", k.wrong, k.truth)
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

// A difference that outlasts the first of two runs is not said to last longer than that run.
func TestDifferenceBeyondTheFirstRun(t *testing.T) {
	d := drawingOf(t, One, 1)
	whole := *d.healthy.Recording
	whole.scans = slices.Clone(whole.scans)
	cut := whole
	cut.scans = slices.Clone(whole.scans[:len(whole.scans)/2])
	for i := 100; i < len(whole.scans)-10; i++ {
		whole.scans[i].in.DriveReady = !whole.scans[i].in.DriveReady
	}
	v, ok := newReference(&cut).visible(&whole)
	require.True(t, ok)
	require.True(t, v.BeyondFirst)
	v.ToEnd = false // as if the second run went on without the difference
	assert.Contains(t, v.Text("in this run", "with the cause"), " to the end of the run: ")
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

// A button that everybody sees is no riddle; values that were entered wrongly before the run are asked for where data
// are.
func TestRiddlesAreOfTheMachine(t *testing.T) {
	for _, level := range []Level{One, Mild, Data} {
		d := drawingOf(t, level, 1)
		drawn := map[string]bool{}
		for i := range d.faults {
			drawn[d.faults[i].Name] = true
		}
		for _, f := range catalogue.Entries() {
			riddle := (f.Settings == nil || level == Data) && (f.Scale != nil || level != Mild) &&
				f.Group != catalogue.OperationGroup && f.Group != catalogue.ControllerGroup
			assert.Equal(t, riddle && f.Fits(&d.nominal.Rig), drawn[f.Name], "%s, %s", level, f.Name)
		}
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
		for _, m := range d.moments(f) {
			when[fmt.Sprint(m)] = true
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
		if f.Gradual {
			assert.Len(t, when, 1, f.Name)
			assert.True(t, when[fmt.Sprint(sim.Moment{})], f.Name)
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
