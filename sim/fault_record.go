package sim

import (
	"fmt"
	"strings"
	"time"

	"holdbench/plant/problem"
)

// FaultRecord is what became of a fault of the scenario in a run.
type FaultRecord struct {
	What   string   `json:"what"`
	When   string   `json:"when"`    // its moment, as the scenario says it
	BeganS *float64 `json:"began_s"` // nil if its moment never came
	EndedS *float64 `json:"ended_s"` // nil if it lasted to the end of the run, or never began
	// Acted is whether something was another than without the fault. What it sets may be so already.
	Acted bool `json:"acted"`
	// Because is why the fault never began, or why it did not act; empty if it acted.
	Because string `json:"because,omitempty"`
}

// faultRecords says what became of each fault, so far if the run is not over.
func (b *Bench) faultRecords() []FaultRecord {
	var list []FaultRecord
	sharers := b.sharers()
	for _, f := range b.schedule {
		r := FaultRecord{What: f.text(), When: f.moment(), Acted: b.acted(f) || sharers[f]}
		switch {
		case !f.active && !f.over:
			r.Because = b.neverBecause(f)
		case !r.Acted:
			r.Because = f.withoutEffectBecause()
		}
		if f.active || f.over {
			began := b.seconds(f.began)
			r.BeganS = &began
		}
		if f.over {
			ended := b.seconds(f.ended)
			r.EndedS = &ended
		}
		list = append(list, r)
	}
	return list
}

// moment is when the fault is to begin, in the words of its scenario.
func (f *scheduledFault) moment() string {
	when := f.fault.When
	switch {
	case when == nil:
		return "at " + problem.Time(*f.fault.At)
	case *when == Moment{}:
		return "at the start"
	case when.State == "":
		return problem.Time(when.After) + " after the start"
	case when.After == 0:
		return "on entry to " + when.State
	}
	return problem.Time(when.After) + " after entry to " + when.State
}

// neverBecause is why the moment of a fault has not come.
func (b *Bench) neverBecause(f *scheduledFault) string {
	over := "the run is over at " + b.timeText(b.tick) + ", " + b.overText()
	switch {
	case !b.done:
		return "its moment has not come so far"
	case f.due < 0:
		return f.fault.When.State + " is never entered: " + over
	case f.state >= 0:
		return "it is due at " + b.timeText(f.due) + ", and " + over
	}
	return over
}

// overText is what has ended a run that is over.
func (b *Bench) overText() string {
	switch {
	case b.ended:
		return fmt.Sprintf("%s after its end in %s (%s)", b.timeText(b.tick-b.endTick), b.endedIn(), b.end())
	case b.tick >= b.stopTick:
		return "its time limit"
	}
	return "as no controller runs and nothing moves"
}

// withoutEffectBecause is why a fault that began did not act: the reason of each target, and of several with the same
// one together.
func (f *scheduledFault) withoutEffectBecause() string {
	var reasons []noEffect // in the order of the settings
	targets := map[noEffect][]int{}
	for i := range f.effect.on {
		why := f.effect.on[i].without
		if targets[why] == nil {
			reasons = append(reasons, why)
		}
		targets[why] = append(targets[why], i)
	}
	var parts []string
	for _, why := range reasons {
		parts = append(parts, f.withoutEffectOn(targets[why], why))
	}
	return strings.Join(parts, "; ")
}

// withoutEffectOn is why a fault did not act by some of its targets.
func (f *scheduledFault) withoutEffectOn(targets []int, why noEffect) string {
	var names []string
	for _, i := range targets {
		names = append(names, f.settings[i].target.Name)
	}
	all, them := strings.Join(names, ", "), onOff(len(names) == 1, "it", "them")
	already := all + " are so already"
	if len(names) == 1 {
		already = all + " is " + f.effect.on[targets[0]].now + " already"
	}
	switch {
	case why == covered:
		return "another fault sets " + all + " at the same moment"
	case why == replaced:
		return "another fault sets " + all + " before a scan reads " + them
	case why == unread && f.over:
		return "it lasts " + problem.Time(f.fault.For) + ", and no scan that reads " + all + " falls into that time"
	case why == unread:
		return "no scan has read " + all + " since"
	case why == taken:
		return already + ", and later other faults set " + them
	}
	return already
}

// timeText is the time of a tick, to the millisecond, and from a minute on to the tenth of a second.
func (b *Bench) timeText(tick int64) string {
	t := time.Duration(tick) * b.c.Rig.Clock.Tick
	if t >= time.Minute {
		return problem.Time(t.Round(time.Second / 10))
	}
	return problem.Time(t.Round(time.Millisecond))
}

// neverBegan names the faults whose moment never came, with the reason; empty if each came.
func neverBegan(list []FaultRecord) string {
	var parts []string
	for i := range list {
		if r := &list[i]; r.BeganS == nil {
			parts = append(parts, r.What+" "+r.When+" never began: "+r.Because)
		}
	}
	return strings.Join(parts, "; ")
}

// WithoutEffect says which faults began and changed nothing, with the reason; empty if each acted that began. What
// a run shows does not depend on them.
func (r *Result) WithoutEffect() []string {
	var list []string
	for i := range r.Faults {
		if f := &r.Faults[i]; f.BeganS != nil && !f.Acted {
			list = append(list, "a fault without effect: "+f.What+" "+f.When+"; "+f.Because)
		}
	}
	return list
}
