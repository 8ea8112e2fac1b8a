package training

import (
	"slices"
	"strconv"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// shown is a fault in a run that proves that it can be seen.
type shown struct {
	catalogue.Selection
	c       *sim.Case
	run     *Recording
	visible Visibility
}

// unanswered is a riddle without answers, and its run.
type unanswered struct {
	*Riddle
	run *Recording
}

// riddles makes riddles without answers: of one fault after the other, in an order by chance. Of a fault that no run
// shows there is none. One without a riddle means that a fault comes that was drawn before.
func (d *drawing) riddles(yield func(unanswered, error) bool) {
	order := d.order()
	for i := range order {
		if slices.Contains(d.before, order[i].Name) {
			yield(unanswered{}, nil)
			return
		}
		s, err := d.show(&order[i])
		switch {
		case err != nil:
			yield(unanswered{}, err)
			return
		case s == nil:
		case d.level == Two:
			if !d.withSecond(s, order[i+1:], yield) {
				return
			}
		case !yield(unanswered{d.riddleOf(Hypothesis{s.Selection}, s.c, s.run, &s.visible), s.run}, nil):
			return
		}
	}
}

// order lists the faults of the level by chance. Of the level [Data] chance says first whether wrong data or defects
// come before the others.
func (d *drawing) order() []catalogue.Entry {
	list := slices.Clone(d.faults)
	shuffle(list, d.random)
	if d.level != Data {
		return list
	}
	kinds := [2][]catalogue.Entry{keep(list, isData), keep(list, isDefect)}
	first := d.random.IntN(len(kinds))
	return slices.Concat(kinds[first], kinds[1-first])
}

func keep[T any](list []T, wanted func(*T) bool) []T {
	return slices.DeleteFunc(slices.Clone(list), func(x T) bool { return !wanted(&x) })
}

// isData is whether a fault is wrong data and not a defect.
func isData(f *catalogue.Entry) bool   { return f.Group == catalogue.EngineeringGroup }
func isDefect(f *catalogue.Entry) bool { return !isData(f) }

// show finds a moment and a severity of a fault with which a run shows it as the level wants it; nil if there are none.
func (d *drawing) show(f *catalogue.Entry) (*shown, error) {
	if s, ok := d.shown[f.Name]; ok {
		return s, nil
	}
	d.shown[f.Name] = nil
	for _, when := range d.moments(f) {
		s, err := d.showFrom(f, when)
		if s != nil || err != nil {
			d.shown[f.Name] = s
			return s, err
		}
	}
	return nil, nil
}

// showFrom finds the severity of a fault that begins at a moment. From the mild end on, one that shows and is not as
// the level wants it ends the search, and so does one that does not show at the other end.
func (d *drawing) showFrom(f *catalogue.Entry, when sim.Moment) (*shown, error) {
	list := d.severities(f)
	for i, number := range list {
		s, seen, err := d.try(catalogue.Selection{Entry: *f, Severity: number, When: when})
		if s != nil || err != nil || seen && d.fromTheMildEnd() {
			return s, err
		}
		if i == 0 && d.fromTheMildEnd() && len(list) > 1 {
			last := catalogue.Selection{Entry: *f, Severity: list[len(list)-1], When: when}
			if _, seen, err = d.try(last); !seen || err != nil {
				return nil, err
			}
		}
	}
	return nil, nil
}

// try runs a fault; s is nil if it does not show as the level wants it, and seen is whether it shows at all.
func (d *drawing) try(of catalogue.Selection) (s *shown, seen bool, err error) {
	seen, suits, err := d.acts(&of)
	if !suits || err != nil {
		return nil, seen, err
	}
	s = &shown{Selection: of}
	h := Hypothesis{of}
	var ok bool
	if s.c, ok = h.caseOf(d.nominal); !ok {
		return nil, false, nil
	}
	d.tried++
	if s.run, err = d.record(h, s.c, 0); err != nil {
		return nil, false, err
	}
	s.visible, ok = d.healthy.visible(s.run)
	if !ok || s.visible.FromS >= s.run.endedS() || d.level == Masked && !d.masks(s.run) || d.level == Two && !d.goesOn(s.run) {
		return nil, ok, nil
	}
	return s, true, nil
}

// mildShare is how far of its scale a mild fault may be from the mild end.
const mildShare = 0.2

// severities lists numbers of the scale of a fault, of which the first one that shows is taken: any of them, or
// from the mildest one on where a level asks for it, so that the fault is near the least that can be seen.
func (d *drawing) severities(f *catalogue.Entry) []float64 {
	const (
		trials = 3
		steps  = 5
	)
	if f.Scale == nil {
		return []float64{0}
	}
	var list []float64
	if d.fromTheMildEnd() {
		step := map[Level]float64{Mild: mildShare, Masked: 1}[d.level] / steps
		offset := float64(step * d.random.Float64())
		for i := range steps {
			list = append(list, rounded(f.Scale.Between(float64(step*float64(i))+offset)))
		}
		return list
	}
	for range trials {
		list = append(list, rounded(f.Scale.Between(d.random.Float64())))
	}
	return list
}

// fromTheMildEnd is whether the level wants a fault as mild as it can be.
func (d *drawing) fromTheMildEnd() bool { return d.level == Mild || d.level == Masked }

// rounded leaves three digits of a number.
func rounded(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64) // cannot fail
	return short
}

// moments lists when a fault may begin, by chance: at the start, which comes first in half of the draws, and somewhere
// in each state of the nominal run. Of the level [Data] all begin at the start, as wrong data do.
func (d *drawing) moments(f *catalogue.Entry) []sim.Moment {
	const grain = 10 * time.Millisecond
	start := d.random.IntN(2) == 0
	if atStart(f) || d.level == Data {
		return []sim.Moment{{}}
	}
	var list []sim.Moment
	for _, v := range d.visits {
		grains := uint64(v.duration(d.healthy.scanS)/grain) + 1
		list = append(list, sim.Moment{State: v.state, After: time.Duration(d.random.Uint64()%grains) * grain})
	}
	shuffle(list, d.random)
	if start {
		return slices.Insert(list, 0, sim.Moment{})
	}
	return append(list, sim.Moment{})
}

// atStart is whether a fault does not come within a run: what wears or loosens over weeks would not do so in a moment,
// under a closed brake least of all.
func atStart(f *catalogue.Entry) bool { return f.WholeRun() || f.Gradual }

// masks is whether a run goes through the same states with the same alarms to the same end as the nominal one, with
// the same verdict. A run that was not recorded to its end does not.
func (d *drawing) masks(faulted *Recording) bool {
	was, is := d.healthy.Result, faulted.Result
	return is != nil && was.End == is.End && was.Verdict == is.Verdict && slices.Equal(d.healthy.path(), faulted.path())
}

// mostSeconds is with how many second faults the first one is tried.
const mostSeconds = 8

// withSecond makes riddles of two faults; false if no more are wanted.
func (d *drawing) withSecond(first *shown, others []catalogue.Entry, yield func(unanswered, error) bool) bool {
	tries := 0
	for i := range others {
		if tries == mostSeconds {
			break
		}
		if alike(&first.Entry, &others[i]) {
			continue
		}
		second, err := d.show(&others[i])
		if err == nil && second == nil {
			continue
		}
		tries++
		var r unanswered
		if err == nil {
			r, err = d.both(first, second)
		}
		if err != nil || r.Riddle != nil && slices.Contains(d.before, others[i].Name) {
			yield(unanswered{}, err)
			return false
		}
		if r.Riddle != nil && !yield(r, nil) {
			return false
		}
	}
	return true
}

// goesOn is whether a run enters at least half of the states of the nominal one: where a test hardly begins, two faults
// leave too little to be told apart by.
func (d *drawing) goesOn(run *Recording) bool {
	entered := map[string]bool{}
	for _, at := range run.path() {
		entered[at.state] = true
	}
	n := 0
	for i := range d.visits {
		if entered[d.visits[i].state] {
			n++
		}
	}
	return 2*n >= len(d.visits)
}

// both runs two faults at once; without a riddle if the one hides the other, or the test hardly begins.
func (d *drawing) both(first, second *shown) (u unanswered, err error) {
	h := Hypothesis{first.Selection, second.Selection}.sorted()
	c, ok := h.caseOf(d.nominal)
	if !ok {
		return u, nil
	}
	d.tried++
	run, err := d.record(h, c, 0)
	if err != nil {
		return u, err
	}
	visible, ok := d.healthy.visible(run)
	if !ok || visible.FromS >= run.endedS() || !d.goesOn(run) {
		return u, nil
	}
	var beyond []Visibility
	for i := range h {
		alone := map[string]*shown{first.Entry.Name: first, second.Entry.Name: second}[h[i].Entry.Name]
		v, ok := newReference(alone.run).visible(run)
		if !ok {
			return u, nil
		}
		beyond = append(beyond, v)
	}
	u = unanswered{d.riddleOf(h, c, run, &visible), run}
	u.Beyond = beyond
	return u, nil
}
