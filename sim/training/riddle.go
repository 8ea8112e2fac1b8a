package training

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// Riddle is a run with a fault in it that somebody is to find.
type Riddle struct {
	Seed     uint64
	Fault    catalogue.Entry
	Severity float64    // on the fault's scale, 0 without one
	When     sim.Moment // the start, or some time after a state was first entered
	Case     *sim.Case  // with the fault; its events of the kind fault tell it
	Nominal  *sim.Case  // without
	Clues    []Clue     // what there was to be seen, the earliest first
	Causes   []Choice   // the true one among them
	Remedies []Choice   // the right one among them
}

// Choice is one answer that can be given.
type Choice struct {
	Name, Text string
}

// The streams of a riddle's seed.
const (
	drawStream uint64 = iota + 1
	choiceStream
)

// mostDraws is after how many faults that nobody could find Draw gives up.
const mostDraws = 100

// Draw makes a riddle of a case: its rig and its sequence, without its own faults and
// script. The same seed gives the same riddle. The fault shows in some signal, but the
// test need not fail. An error means that the case cannot be run, or that no fault shows.
func Draw(c *sim.Case, seed uint64) (*Riddle, error) {
	d, err := newDrawing(c, seed)
	if err != nil {
		return nil, err
	}
	for range mostDraws {
		r, faulted, err := d.try()
		if err != nil {
			return nil, err
		}
		if len(r.Clues) == 0 || r.Clues[0].Follows {
			continue
		}
		if err := d.choose(r, faulted); err != nil {
			return nil, err
		}
		return r, nil
	}
	return nil, fmt.Errorf("draw a riddle: none of %d faults shows in a run of rig %s with sequence %s; must be a case in which the test is run", mostDraws, c.Rig.Rig, c.Program.Name())
}

// drawing is what does not change from one try to the next.
type drawing struct {
	seed    uint64
	random  *rand.Rand
	nominal *sim.Case
	healthy *reference
	stays   []stay
	faults  []catalogue.Entry // that make riddles and fit the rig
}

func newDrawing(c *sim.Case, seed uint64) (*drawing, error) {
	d := &drawing{seed: seed, random: rand.New(rand.NewPCG(seed, drawStream)), nominal: plainCase(c)}
	healthy, err := Record(d.nominal)
	if err != nil {
		return nil, err
	}
	d.healthy = newReference(healthy)
	d.stays = healthy.stays(c.Rig.Clock.FunctionalScan)
	for _, f := range catalogue.Entries() {
		if riddles(&f) && f.Fits(&c.Rig) {
			d.faults = append(d.faults, f)
		}
	}
	if len(d.faults) == 0 {
		return nil, fmt.Errorf("draw a riddle: no fault of the catalogue fits rig %s", c.Rig.Rig)
	}
	return d, nil
}

// riddles is whether a fault makes a riddle: what the operator does is seen by everybody,
// and a case with other figures in its sequence is another case.
func riddles(f *catalogue.Entry) bool {
	return f.Group != catalogue.OperationGroup && f.Settings == nil
}

// plainCase is the nominal case with nothing to be met.
func plainCase(c *sim.Case) *sim.Case {
	n := c.Nominal()
	n.Scenario.Expect = sim.Expect{}
	return n
}

// try draws a fault and runs it.
func (d *drawing) try() (*Riddle, *Recording, error) {
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

// severity draws a number of the fault's scale, with two digits that are worth typing.
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

// moment draws when the fault comes: at the start as often as on the way. On the way it
// comes while the nominal run is in the state.
func (d *drawing) moment(f *catalogue.Entry) sim.Moment {
	const grain = 10 * time.Millisecond
	start := d.random.IntN(2) == 0
	place := d.random.IntN(max(1, len(d.stays)))
	share := d.random.Uint64()
	if start || f.FromStart || len(d.stays) == 0 {
		return sim.Moment{}
	}
	s := d.stays[place]
	grains := uint64(s.lasts/grain) + 1
	return sim.Moment{State: s.state, After: time.Duration(share%grains) * grain}
}

// withFault is the case with one fault in it. That the fault fits the rig was seen to.
func withFault(c *sim.Case, f *catalogue.Entry, severity float64, when sim.Moment) *sim.Case {
	if f.FromStart {
		when = sim.Moment{}
	}
	n := *c
	n.Scenario.Faults = []sim.Fault{{When: &when, Set: f.Values(&c.Rig, severity)}}
	return &n
}
