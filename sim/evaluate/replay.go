package evaluate

import (
	"fmt"
	"math"
	"time"

	"holdbench/plant"
	"holdbench/sim/safety"
)

// The outcomes of a check.
const (
	Passed       = "passed"
	Failed       = "failed"
	AskEnded     = "ask-ended"     // the ask ended before the check did
	Refused      = "refused"       // a failure stood that was not acknowledged
	NotJudgeable = "not-judgeable" // the recording has a gap in it
	Unfinished   = "unfinished"    // the recording ended first
)

// The verdicts.
const (
	Proven = "proven"
	None   = "none"
)

// replay drives the safety side of a rig through recorded scans.
type replay struct {
	rig   plant.Rig
	side  safety.Side
	scale float64 // of the requirement

	open    *check // that runs
	checks  []*check
	blocked safety.Directions // an ask that is not judged any more, as its check had a gap

	withheld       withheldPress // where the ask is assumed
	proven, failed safety.Brakes
	cause          string // of the newest failure
}

// check is one check of the judge with all that its margins need.
type check struct {
	direction  safety.Directions
	brakes     safety.Brakes
	from, to   int // scans, the last one included
	fromS, toS float64
	outcome    string
	cause      string // of a failure
	detail     string

	state    safety.CheckState // in its last scan
	latchedS float64           // NaN: never
	reached  float64           // most of the requirement that was measured, as a share of it
	dwell    time.Duration     // longest for which the requirement was met inside the window
	met      []float64         // what was measured in the newest dwell, as a share of the requirement
	movedInc int64             // largest magnitude since the latch
	required float64           // newest that is not 0, signed
}

// newReplay makes a safety side without a proof. Where nobody knows whether a failure was acknowledged,
// every check is judged.
func newReplay(in *inputs, scale float64, change func(*plant.Judge)) *replay {
	r := &replay{rig: *in.rig, scale: scale}
	r.rig.Clock.LinkDelayScans = 0 // the scans have it
	j := &r.rig.Judge
	j.ProofLeft, j.FailedBefore = 0, in.failedBefore && in.ack != nil
	if in.ack == nil {
		j.FailureEnds = plant.FailureEndsTest
	}
	j.RequiredDownNM, j.RequiredUpNM, j.RequiredA = j.RequiredDownNM*scale, j.RequiredUpNM*scale, j.RequiredA*scale
	if change != nil {
		change(j)
	}
	r.side = safety.New(&r.rig)
	return r
}

// end is behind the last scan.
func (r *replay) end(last *scan) {
	if r.open != nil {
		r.close(last, Unfinished, "the recording ended before the check did")
	}
}

// step is one scan.
func (r *replay) step(i int, n *scan) {
	request := n.request
	request.RequiredA *= r.scale
	r.block(i, n, &request)
	r.side.Scan(request, n.readings)
	r.follow(i, n)
}

// block takes the ask away from a check with a gap, until it has ended or changed.
func (r *replay) block(i int, n *scan, request *safety.Request) {
	if request.Ask != r.blocked {
		r.blocked = 0
	}
	if n.stale != "" && request.Ask != 0 && r.blocked == 0 && (r.open != nil || r.side.In().Ask != request.Ask) {
		r.blocked = request.Ask
		if r.open == nil {
			r.begin(i, n, request.Ask)
		}
		r.close(n, NotJudgeable, gapText(n))
	}
	if r.blocked != 0 {
		request.Ask = 0
	}
}

// gapText says which signal has a gap.
func gapText(n *scan) string {
	if math.IsInf(n.staleFor, 1) {
		return fmt.Sprintf("%s has no value yet at %.4g s", n.stale, n.t)
	}
	return fmt.Sprintf("%s has no sample from %.4g s to %.4g s at least", n.stale, n.t-n.staleFor, n.t)
}

func (r *replay) begin(i int, n *scan, direction safety.Directions) {
	r.open = &check{direction: direction, from: i, fromS: n.t, latchedS: math.NaN(), reached: math.Inf(-1)}
	r.checks = append(r.checks, r.open)
}

func (r *replay) close(n *scan, outcome, detail string) {
	c := r.open
	c.outcome, c.detail, c.toS = outcome, detail, n.t
	c.brakes = r.side.UnderTest()
	r.open = nil
}

// follow takes what happened in a scan.
func (r *replay) follow(i int, n *scan) {
	events := r.side.Events()
	has := func(e safety.Events) bool { return events&e != 0 }
	if has(safety.AskDropped) && r.open != nil {
		r.close(n, AskEnded, "the ask ended before the check did")
	}
	if has(safety.AskRose) || has(safety.AskRefused) {
		r.begin(i, n, r.side.In().Ask)
	}
	if r.open == nil {
		return
	}
	r.open.to = i
	if has(safety.AskRefused) {
		r.close(n, Refused, "a failure stands that was not acknowledged")
		return
	}
	r.measure(n)
	switch {
	case has(safety.ProofGiven):
		r.proven, r.failed = r.proven|r.side.Proven(), r.failed&^r.side.Proven()
		r.close(n, Passed, "")
	case has(safety.DirectionPassed):
		r.close(n, Passed, "")
	case has(safety.CheckFailed):
		r.proven, r.failed = r.proven&^r.side.Failing(), r.failed|r.side.Failing()
		r.cause = r.side.Out().Cause
		r.open.cause = r.cause
		r.close(n, Failed, "")
	}
}

// measure takes the margins of a scan.
func (r *replay) measure(n *scan) {
	c := r.open
	c.state = r.side.Check(n.readings.SingleTurn, n.readings.CurrentAmpA)
	s := &c.state
	if s.Required != 0 {
		c.required = s.Required
		share := r.share(s)
		c.reached = max(c.reached, share)
		if s.Latched && share >= 1 { // as the judge compares
			c.dwell = max(c.dwell, s.DwellElapsed)
			if s.DwellElapsed == 0 {
				c.met = c.met[:0]
			}
			c.met = append(c.met, share)
		}
	}
	if s.Latched {
		if math.IsNaN(c.latchedS) {
			c.latchedS = n.t
		}
		c.movedInc = max(c.movedInc, s.MovedInc, -s.MovedInc)
	}
}

// share is how much of the requirement is measured; 1 meets it.
func (r *replay) share(s *safety.CheckState) float64 {
	share := s.Measured / s.Required
	if r.rig.Judge.Kind == plant.JudgeCurrent && r.rig.Judge.Sense == plant.SenseMagnitude {
		share = math.Abs(share)
	}
	return share
}

// verdict is that of the whole run.
func (r *replay) verdict() (verdict, cause string) {
	for _, c := range r.checks {
		if c.outcome == NotJudgeable && r.failed == 0 {
			return None, NotJudgeable
		}
	}
	switch {
	case r.failed != 0:
		return Failed, r.cause
	case r.proven == r.side.Brakes():
		return Proven, ""
	}
	return None, ""
}
