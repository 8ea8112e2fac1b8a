package training

import (
	"context"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"slices"
	"sync"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Riddle is a run with hidden faults that are to be found.
type Riddle struct {
	Seed     uint64
	Level    Level
	Truth    Hypothesis
	Case     *sim.Case         // with the faults; its events of the kind fault reveal them
	Nominal  *sim.Case         // without
	Data     map[string]string // wrong data, by the keys of a scenario's set; the scenario of the case does not have them
	Visible  Visibility        // against the nominal run
	Beyond   []Visibility      // with two faults: against the run with the first alone, and with the second alone
	Clues    []Clue            // the earliest first
	Found    []Finding         // who reacted in the run of the case, the earliest first; nil if nobody did
	Causes   []Choice          // the true one among them; of two faults the six pairs of four
	Remedies []Choice          // the right one among them

	ended string // how the run of the case ended
}

// Choice is one of the answers.
type Choice struct {
	Name, Text string
	// Why and Case are of a wrong cause only: how it would have differed from what was to be seen, and the run that
	// shows it.
	Why  string
	Case *sim.Case
	Data map[string]string // as those of a riddle
}

// The streams of a riddle's seed.
const (
	drawStream uint64 = iota + 1
	choiceStream
)

// Draw makes a riddle of a case: its rig and its sequence, without its own faults and script. The same level and
// seed give the same riddle. It can be solved: the faults are to be seen as [Visibility] requires, and so is what
// speaks against each wrong cause; the test need not fail. The error is that of the context, or means that the case
// cannot be run, or that nothing fit to be asked was drawn.
func Draw(ctx context.Context, c *sim.Case, level Level, seed uint64) (*Riddle, error) {
	d, err := newDrawing(c, level, seed)
	if err != nil {
		return nil, err
	}
	return d.draw(ctx)
}

// mostMisses is how many seeds in a row, for each fault that was drawn, show that the level has no other. With one left
// of n+1, all as likely, the chance to miss it so often is below (1 − 1/(n+1))^(5(n+1)) ≈ exp(−5).
const mostMisses = 5

// Series draws riddles of one level on one case, which share the runs that recur. Each is that which [Draw] makes of its
// seed.
type Series struct {
	Drawn []string // faults that were drawn
	d     *drawing
}

// NewSeries is a series behind riddles with some faults. The error is that of [Draw].
func NewSeries(c *sim.Case, level Level, drawn []string) (*Series, error) {
	d, err := newDrawing(c, level, 0)
	if err != nil {
		return nil, err
	}
	return &Series{drawn, d}, nil
}

// Next is the riddle of the first seed from the given one on that has none of the faults that were drawn before. Once
// the level has no other, it begins again. The error is that of [Draw].
func (s *Series) Next(ctx context.Context, seed uint64) (*Riddle, error) {
	for from := seed; ; seed++ {
		if seed-from > mostMisses*uint64(len(s.Drawn)+1) {
			seed, s.Drawn = from, nil
		}
		s.d.reseed(seed)
		s.d.before = s.Drawn
		r, err := s.d.draw(ctx)
		if err != nil {
			return nil, err
		}
		if r != nil {
			for _, t := range r.Truth {
				s.Drawn = append(slices.Clip(s.Drawn), t.Entry.Name)
			}
			return r, nil
		}
	}
}

// draw makes the first riddle that can be solved, nil if a fault comes first that was drawn before.
func (d *drawing) draw(ctx context.Context) (*Riddle, error) {
	for u, err := range d.riddles {
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil || u.Riddle == nil:
			return nil, err
		}
		complete, err := d.fillChoices(ctx, u.Riddle, u.run)
		if complete || err != nil {
			return u.Riddle, err
		}
	}
	return nil, fmt.Errorf("draw a riddle of level %s: no fault can be seen and told from %d others in a run of rig %s with %s; must be another level, or a case in which the test is run",
		d.level, choiceCount-1, d.nominal.Rig.Rig, d.nominal.Sequence.Title())
}

// drawing is what all draws of a riddle have in common.
type drawing struct {
	level   Level
	seed    uint64
	random  *rand.Rand
	nominal *sim.Case
	healthy *reference
	visits  []stateVisit
	faults  []catalogue.Entry // that are of the level and fit the rig
	shown   map[string]*shown // by fault, nil for those that no run shows
	before  []string          // faults that are not wanted
	tried   int               // whole runs that were to show faults

	known   sync.Map  // sketches by fault, of those from the start
	buffers sync.Pool // of scans, for runs that are not kept
}

func newDrawing(c *sim.Case, level Level, seed uint64) (*drawing, error) {
	d := &drawing{level: level, nominal: plainCase(c)}
	d.reseed(seed)
	healthy, visits, err := recordVisits(d.nominal)
	if err != nil {
		return nil, err
	}
	d.healthy, d.visits = newReference(healthy), visits
	for _, f := range catalogue.Entries() {
		if d.suits(&f) {
			d.faults = append(d.faults, f)
		}
	}
	if len(d.faults) == 0 {
		return nil, fmt.Errorf("draw a riddle: no fault of the catalogue fits rig %s", c.Rig.Rig)
	}
	return d, nil
}

// reseed begins anew with another seed.
func (d *drawing) reseed(seed uint64) {
	d.seed, d.shown, d.tried = seed, map[string]*shown{}, 0
	d.random = d.stream(drawStream, "")
}

// stream is a source of chance of the riddle. It depends on the level, and that of the answers on the truth: otherwise
// a seed would put the same fault first, and the right answer at the same place, at every level.
func (d *drawing) stream(number uint64, truth string) *rand.Rand {
	sum := fnv.New32a()
	_, _ = fmt.Fprintf(sum, "%s %s", d.level, truth) // never fails
	return rand.New(rand.NewPCG(d.seed, number<<32|uint64(sum.Sum32())))
}

// suits is whether a fault makes a riddle of the level: actions of the operator are visible, and so is a controller
// that stops or scans late. Values that were entered wrongly before the run are asked for where data are.
func (d *drawing) suits(f *catalogue.Entry) bool {
	switch {
	case f.Group == catalogue.OperationGroup, f.Group == catalogue.ControllerGroup, !f.Fits(&d.nominal.Rig),
		d.level == Mild && f.Scale == nil:
		return false
	case f.Settings == nil:
		return true
	}
	_, missing := f.SettingsOn(&d.nominal.Rig, d.nominal.Sequence)
	return d.level == Data && len(missing) == 0
}

// plainCase is the nominal case without expectations.
func plainCase(c *sim.Case) *sim.Case {
	n := c.Nominal()
	n.Scenario.Expect = sim.Expect{}
	return n
}

// riddleOf is a riddle without its answers.
func (d *drawing) riddleOf(truth Hypothesis, c *sim.Case, run *Recording, visible *Visibility) *Riddle {
	c.Scenario.Scenario = fmt.Sprintf("riddle-%s-%d", d.level, d.seed)
	c.Scenario.Title = "A riddle on " + d.nominal.Rig.Rig
	c.Scenario.Teaches, c.Scenario.Remedy = "", ""
	return &Riddle{
		Seed: d.seed, Level: d.level, Nominal: d.nominal, Truth: truth, Case: c, Data: truth.data(d.nominal), Visible: *visible, Clues: d.healthy.clues(run),
		Found: findings(d.healthy.Recording, run), ended: endedText(d.healthy.Recording, run),
	}
}
