package training

import (
	"math"
	"time"

	"holdbench/sim"
	"holdbench/sim/catalogue"
)

// stateVisit is the first visit of a state in the nominal run.
type stateVisit struct {
	state    string
	from, to int // scans
	keptMoment
}

// keptMoment is the nominal run as a state was entered.
type keptMoment struct {
	copy  *sim.Bench // nil if the controller cannot be copied
	scans int        // that are done
}

func (v *stateVisit) duration(scanS float64) time.Duration {
	return time.Duration(float64(v.to-v.from) * scanS * float64(time.Second))
}

// recordVisits runs the nominal case, and keeps a copy at the beginning of each of its states but the last.
func recordVisits(c *sim.Case) (*Recording, []stateVisit, error) {
	_, copies := c.Program()
	if !copies {
		r, err := Record(c)
		if err != nil {
			return nil, nil, err
		}
		return r, r.visits(nil), nil
	}
	r := newRecording(c, 0)
	b := sim.NewBench(c, traceBuffer{r})
	at := map[string]keptMoment{}
	enter := func() {
		if state := c.Sequence.States[b.StateIndex()].Name; at[state].copy == nil {
			at[state] = keptMoment{b.Keep(), len(r.scans)}
		}
	}
	for enter(); b.ToNextScan(); {
		enter()
	}
	var err error
	if r.Result, err = b.Result(); err != nil {
		return nil, nil, err
	}
	return r, r.visits(at), nil
}

// acts is whether a fault that begins in a state of the nominal run is seen in this state or soon behind it, and
// whether it suits the level as far as that: a copy of the nominal run goes on with it from there, and no further. It
// suits where that would cost as much as a run.
func (d *drawing) acts(of *catalogue.Selection) (seen, suits bool, err error) {
	for i := range d.visits {
		v := &d.visits[i]
		if v.state != of.When.State || v.copy == nil {
			continue
		}
		part, err := d.part(v, of)
		if err != nil {
			return false, false, err
		}
		_, seen = d.healthy.visible(part)
		return seen, seen && (d.level != Masked || d.healthy.divergence(part) == len(part.scans)), nil
	}
	return false, true, nil
}

// part is the nominal run up to a moment of a visit, and with the fault from there until it could be seen in the state.
func (d *drawing) part(v *stateVisit, of *catalogue.Selection) (*Recording, error) {
	clock := &d.nominal.Rig.Clock
	b := v.copy.Clone()
	b.Advance(int64(of.When.After / clock.Tick))
	if err := b.Inject(sim.Fault{Set: of.Entry.Values(&d.nominal.Rig, of.Severity)}); err != nil {
		return nil, err
	}
	r := newRecording(d.nominal, 0)
	b.Trace(traceBuffer{r})
	rest := v.duration(d.healthy.scanS) - of.When.After + 2*LeastTime
	b.Advance(int64(rest / clock.Tick))
	if len(r.scans) > 0 {
		from := int(math.Round(r.scans[0].atS / d.healthy.scanS))
		r.scans = append(d.healthy.scans[:min(from, len(d.healthy.scans)):min(from, len(d.healthy.scans))], r.scans...)
	}
	return r, nil
}
