package evaluate

import (
	"fmt"
	"math"

	"holdbench/sim"
)

// Obligation is what the signals of a recording show of an obligation of a run, see [sim.Obligations].
type Obligation struct {
	Name  string   `json:"name"`
	State string   `json:"state"` // kept, broken or unknown
	AtS   *float64 `json:"at_s"`  // when it was first seen to be broken
	Why   string   `json:"why"`   // what shows it, or what is missing
}

// The states of an obligation. It is kept only if the recording shows so.
const (
	Kept    = "kept"
	Broken  = "broken"
	Unknown = "unknown"
)

func kept(why string, values ...any) Obligation {
	return Obligation{State: Kept, Why: fmt.Sprintf(why, values...)}
}

func unknown(why string, values ...any) Obligation {
	return Obligation{State: Unknown, Why: fmt.Sprintf(why, values...)}
}

func broken(at float64, why string, values ...any) Obligation {
	at = tidy(at)
	return Obligation{State: Broken, AtS: &at, Why: fmt.Sprintf(why, values...)}
}

// obligations goes through those of a run.
func (w *watched) obligations(e *Evaluation) []Obligation {
	var list []Obligation
	for _, info := range sim.Obligations() {
		o := w.obligation(e, info.Name)
		o.Name = info.Name
		list = append(list, o)
	}
	return list
}

func (w *watched) obligation(e *Evaluation, name string) Obligation {
	switch name {
	case sim.NoDrop:
		return w.noDrop(e)
	case sim.Carried:
		return w.carried()
	case sim.FreshProof:
		return w.freshProof(e)
	case sim.Bounded:
		return w.bounded()
	case sim.BelowCeiling:
		return w.belowCeiling(e)
	case sim.NoFight:
		return w.noFight()
	case sim.TorqueOff:
		return w.torqueOff()
	case sim.LockedOut:
		if e.Verdict != Failed {
			return unknown("the test did not fail")
		}
		return unknown("a recording does not show what the safety side withholds, nor what carries the load at the end")
	}
	return unknown("a recording does not have all outputs of the sequence")
}

func (w *watched) noDrop(e *Evaluation) Obligation {
	d, limit := &w.drop, w.in.rig.Test.DropLimitMM
	seen := fmt.Sprintf("%.3g mm by the measured position, limit %.3g mm", max(0, d.largest), limit)
	switch {
	case !d.watched && !w.has.drive:
		return unknown("the brake is never closed in the recording, and drive is not recorded")
	case !d.watched:
		return unknown("the drive moves the axis all the time")
	case !math.IsNaN(d.atS):
		return broken(d.atS, "%s", seen)
	case !w.has.drive:
		return unknown("while the brake was closed %s; drive is not recorded, so that a drop cannot be distinguished from travel elsewhere", seen)
	case d.travelled && !w.has.target:
		return unknown("at rest %s; target_mm is not recorded, so that a drop in travel cannot be seen", seen)
	case w.gaps.position > e.MaxGapS:
		return unknown("%s, with a gap of %.3g s", seen, w.gaps.position)
	}
	return kept("%s", seen)
}

func (w *watched) carried() Obligation {
	limit := sim.CarryBandNM(&w.in.derived)
	largest := 0.0
	for _, o := range w.openings {
		switch {
		case o.held:
			continue
		case o.onSupport:
			return unknown("at %.4g s the brake opened with the load at its support", o.t)
		case math.IsNaN(o.awayNM):
			return unknown("no torque is known at %.4g s, as the brake opened", o.t)
		case o.awayNM > limit:
			return broken(o.t, "the brake opened %.3g N·m away from balance with the load torque of the rig, limit %.3g N·m", o.awayNM, limit)
		}
		largest = max(largest, o.awayNM)
	}
	if len(w.openings) == 0 {
		return unknown("the recording does not show that the brake opened")
	}
	return kept("the brake opened at most %.3g N·m away from balance with the load torque of the rig, limit %.3g N·m", largest, limit)
}

func (w *watched) freshProof(e *Evaluation) Obligation {
	switch at := w.release.atS; {
	case !w.has.operation:
		return unknown("operation is not recorded")
	case math.IsNaN(at):
		return unknown("operation was not released again after a test")
	case e.Verdict != Proven:
		return unknown("operation was released at %.4g s without a proof of this test: broken if that was a pass", at)
	default:
		return kept("operation was released at %.4g s, after the proof", at)
	}
}

func (w *watched) bounded() Obligation {
	limit := w.in.rig.Clock.RunLimit.Seconds()
	r := &w.release
	if math.IsNaN(r.atS) || math.IsNaN(r.startS) {
		return unknown("the recording does not show the beginning and the end of the test by operation")
	}
	if took := r.atS - r.startS; took > limit {
		return broken(r.startS+limit, "operation was released %.4g s after the beginning of the test, limit %.4g s", took, limit)
	}
	return kept("operation was released %.4g s after the beginning of the test, limit %.4g s", r.atS-r.startS, limit)
}

func (w *watched) belowCeiling(e *Evaluation) Obligation {
	ceiling := w.in.rig.Judge.CeilingNM
	seen := fmt.Sprintf("motor torque up to %.3g N·m, ceiling %.3g N·m", w.peakNM, ceiling)
	switch {
	case w.peakNM > ceiling:
		return broken(w.peakS, "%s", seen)
	case w.gaps.torque > e.MaxGapS:
		return unknown("%s, with a gap of %.3g s", seen, w.gaps.torque)
	}
	return kept("%s", seen)
}

// noFight allows what a sequence may take to detect that a brake did not open: 100 ms, as in a run.
func (w *watched) noFight() Obligation {
	const grace = 0.1
	switch {
	case !w.has.drive:
		return unknown("drive is not recorded")
	case w.fightS > grace:
		o := unknown("travel was commanded for %.3g s with the brake closed: broken unless that was intended, as to run in a brake", w.fightS)
		o.AtS = known(tidy(w.fightAtS))
		return o
	}
	return kept("no travel was commanded with the brake closed for more than %.3g s", grace)
}

func (w *watched) torqueOff() Obligation {
	s := &w.stop
	switch {
	case !w.has.stop:
		return unknown("neither safe_stop nor estop is recorded")
	case !s.any:
		return unknown("there was no stop")
	case !math.IsNaN(s.atS):
		return broken(s.atS, "motor torque %.3g N·m later than %.3g s after the demand of a stop", s.torque, w.stopTime())
	case !s.seenOff:
		return unknown("the recording does not show the time after the stop")
	}
	return kept("torque was gone %.3g s after the demand of a stop, and stayed so", w.stopTime())
}
