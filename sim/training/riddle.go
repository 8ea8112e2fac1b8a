package training

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Riddle is a run with a hidden fault that is to be found.
type Riddle struct {
	Seed     uint64
	Fault    catalogue.Entry
	Severity float64    // on the fault's scale, 0 without one
	When     sim.Moment // the start, or some time after a state was first entered
	Case     *sim.Case  // with the fault; its events of the kind fault reveal it
	Nominal  *sim.Case  // without
	Clues    []Clue     // the earliest first
	Causes   []Choice   // the true one among them
	Remedies []Choice   // the right one among them
}

// Choice is one of the answers.
type Choice struct {
	Name, Text string
}

// The streams of a riddle's seed.
const (
	drawStream uint64 = iota + 1
	choiceStream
)

// maxDraws limits the draws of faults without a clue.
const maxDraws = 100

// Draw makes a riddle of a case: its rig and its sequence, without its own faults and
// script. The same seed gives the same riddle. The fault has a clue in some signal, but the
// test need not fail. An error means that the case cannot be run, or that no fault has a clue.
func Draw(c *sim.Case, seed uint64) (*Riddle, error) {
	d, err := newDrawing(c, seed)
	if err != nil {
		return nil, err
	}
	for range maxDraws {
		r, faulted, err := d.drawOne()
		if err != nil {
			return nil, err
		}
		if len(r.Clues) == 0 || r.Clues[0].AfterDivergence {
			continue
		}
		if err := d.fillChoices(r, faulted); err != nil {
			return nil, err
		}
		return r, nil
	}
	return nil, fmt.Errorf("draw a riddle: none of %d faults has a clue in a run of rig %s with %s; must be a case in which the test is run", maxDraws, c.Rig.Rig, c.Sequence.Title())
}

// drawing is what all draws of a riddle have in common.
type drawing struct {
	seed    uint64
	random  *rand.Rand
	nominal *sim.Case
	healthy *reference
	visits  []stateVisit
	faults  []catalogue.Entry // that are suitable and fit the rig
}

func newDrawing(c *sim.Case, seed uint64) (*drawing, error) {
	d := &drawing{seed: seed, random: rand.New(rand.NewPCG(seed, drawStream)), nominal: plainCase(c)}
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

// drawOne draws a fault and runs it.
func (d *drawing) drawOne() (*Riddle, *Recording, error) {
	r := &Riddle{Seed: d.seed, Nominal: d.nominal, Fault: d.faults[d.random.IntN(len(d.faults))]}
	r.Severity = d.severity(&r.Fault)
	r.When = d.moment(&r.Fault)
	r.Case = withFault(d.nominal, &r.Fault, r.Severity, r.When)
	r.Case.Scenario.Scenario = fmt.Sprintf("riddle-%d", d.seed)
	r.Case.Scenario.Title = "A riddle on " + d.nominal.Rig.Rig
	r.Case.Scenario.Teaches, r.Case.Scenario.Remedy = "", ""
	faulted, err := Record(r.Case)
	if err != nil {
		return nil, nil, err
	}
	r.Clues = d.healthy.clues(faulted)
	return r, faulted, nil
}

// severity draws a number of the scale of the fault, in steps.
func (d *drawing) severity(f *catalogue.Entry) float64 {
	const steps = 20
	share := float64(d.random.IntN(steps+1)) / steps
	if f.Scale == nil {
		return 0
	}
	return rounded(f.Scale.Between(share))
}

// rounded leaves three digits of a number.
func rounded(x float64) float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 3, 64), 64) // cannot fail
	return short
}

// moment draws when the fault begins: at the start or later with equal probability. Later it
// begins while the nominal run is in the state.
func (d *drawing) moment(f *catalogue.Entry) sim.Moment {
	const grain = 10 * time.Millisecond
	start := d.random.IntN(2) == 0
	place := d.random.IntN(max(1, len(d.visits)))
	share := d.random.Uint64()
	if start || f.FromStart || len(d.visits) == 0 {
		return sim.Moment{}
	}
	s := d.visits[place]
	grains := uint64(s.duration/grain) + 1
	return sim.Moment{State: s.state, After: time.Duration(share%grains) * grain}
}

// withFault is the case with one fault, which fits the rig.
func withFault(c *sim.Case, f *catalogue.Entry, severity float64, when sim.Moment) *sim.Case {
	if f.FromStart {
		when = sim.Moment{}
	}
	n := *c
	n.Scenario.Faults = []sim.Fault{{When: &when, Set: f.Values(&c.Rig, severity)}}
	return &n
}
