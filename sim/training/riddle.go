package training

import (
	"context"
	"fmt"
	"math/rand/v2"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Riddle is a run with hidden faults that are to be found.
type Riddle struct {
	Seed     uint64
	Level    Level
	Truth    Hypothesis
	Case     *sim.Case    // with the faults; its events of the kind fault reveal them
	Nominal  *sim.Case    // without
	Visible  Visibility   // against the nominal run
	Beyond   []Visibility // with two faults: against the run with the first alone, and with the second alone
	Clues    []Clue       // the earliest first
	Causes   []Choice     // the true one among them
	Remedies []Choice     // the right one among them
}

// Choice is one of the answers.
type Choice struct {
	Name, Text string
	// Why and Case are of a wrong cause only: how it would have differed from what was to be seen, and the run that
	// shows it.
	Why  string
	Case *sim.Case
}

// The streams of a riddle's seed.
const (
	drawStream uint64 = iota + 1
	choiceStream
)

// maxDraws limits the draws of faults that cannot be seen, or that are not of the level.
const maxDraws = 200

// Draw makes a riddle of a case: its rig and its sequence, without its own faults and script. The same level and
// seed give the same riddle. It can be solved: the faults are to be seen as [Visibility] requires, and so is what
// speaks against each wrong cause; the test need not fail. The error is that of the context, or means that the case
// cannot be run, or that nothing fit to be asked was drawn.
func Draw(ctx context.Context, c *sim.Case, level Level, seed uint64) (*Riddle, error) {
	d, err := newDrawing(c, level, seed)
	if err != nil {
		return nil, err
	}
	for range maxDraws {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		r, faulted, err := d.drawOne()
		if err != nil {
			return nil, err
		}
		if r == nil {
			continue
		}
		complete, err := d.fillChoices(ctx, r, faulted)
		if err != nil {
			return nil, err
		}
		if complete {
			return r, nil
		}
	}
	return nil, fmt.Errorf("draw a riddle of level %s: none of %d draws can be solved in a run of rig %s with %s; must be another level, or a case in which the test is run",
		level, maxDraws, c.Rig.Rig, c.Sequence.Title())
}

// drawing is what all draws of a riddle have in common.
type drawing struct {
	level   Level
	seed    uint64
	random  *rand.Rand
	nominal *sim.Case
	healthy *reference
	visits  []stateVisit
	faults  []catalogue.Entry // that are suitable and fit the rig
}

func newDrawing(c *sim.Case, level Level, seed uint64) (*drawing, error) {
	d := &drawing{level: level, seed: seed, random: rand.New(rand.NewPCG(seed, drawStream)), nominal: plainCase(c)}
	healthy, err := Record(d.nominal)
	if err != nil {
		return nil, err
	}
	d.healthy = newReference(healthy)
	d.visits = healthy.visits(c.Rig.Clock.FunctionalScan)
	for _, f := range catalogue.Entries() {
		if suitable(&f) && f.Fits(&c.Rig) {
			d.faults = append(d.faults, f)
		}
	}
	if len(d.faults) == 0 {
		return nil, fmt.Errorf("draw a riddle: no fault of the catalogue fits rig %s", c.Rig.Rig)
	}
	return d, nil
}

// suitable is whether a fault makes a riddle: actions of the operator are visible, and so is a
// controller that stops or scans late; a case with other values in its sequence is another case.
func suitable(f *catalogue.Entry) bool {
	return f.Group != catalogue.OperationGroup && f.Group != catalogue.ControllerGroup && f.Settings == nil
}

// plainCase is the nominal case without expectations.
func plainCase(c *sim.Case) *sim.Case {
	n := c.Nominal()
	n.Scenario.Expect = sim.Expect{}
	return n
}

// drawOne draws the faults and runs them; nil if they are not to be seen or not of the level.
func (d *drawing) drawOne() (*Riddle, *Recording, error) {
	r := &Riddle{Seed: d.seed, Level: d.level, Nominal: d.nominal, Truth: d.drawFaults()}
	var ok bool
	if r.Case, ok = r.Truth.caseOf(d.nominal); !ok {
		return nil, nil, nil
	}
	r.Case.Scenario.Scenario = fmt.Sprintf("riddle-%s-%d", d.level, d.seed)
	r.Case.Scenario.Title = "A riddle on " + d.nominal.Rig.Rig
	r.Case.Scenario.Teaches, r.Case.Scenario.Remedy = "", ""
	faulted, err := Record(r.Case)
	if err != nil {
		return nil, nil, err
	}
	if r.Visible, ok = d.healthy.visible(faulted); !ok || d.level == Masked && !d.masks(faulted) {
		return nil, nil, nil
	}
	if ok, err = d.bothVisible(r, faulted); err != nil || !ok {
		return nil, nil, err
	}
	r.Clues = d.healthy.clues(faulted)
	return r, faulted, nil
}
