package evaluate

import (
	"cmp"
	"math"
	"slices"
	"time"

	"holdbench/plant"
)

// Threshold is where a value of the judge changes the outcome of a check, with all else as it was
// recorded.
//
// Of the three, window and dwell divide exactly: with the window w of the movement that was seen and the
// dwell d for which the torque stood,
//
//	passed with a window ≥ w and moved below, passed with a dwell ≤ d and not above
//
// The requirement changes the moment of the latch as well, so that it is searched from its present value on,
// over the values that were measured: the outcome can change at these alone.
type Threshold struct {
	Of      string   `json:"of"`      // window, dwell or requirement
	Unit    string   `json:"unit"`    // deg, s, N·m or A
	Present float64  `json:"present"` // of the rig
	Turns   *float64 `json:"turns"`   // the check passes up to this value or from it on; null: no value does
	// Passes is on which side: from (that value and more), to (that value and less; of a requirement by its
	// magnitude), or never.
	Passes string `json:"passes"`
	Beyond string `json:"beyond"` // outcome or cause on the other side, or of every value
	// It is not known whether more would have passed, as the ask or the recording ended.
	Open bool `json:"open"`
}

// The words of Passes.
const (
	PassesFrom  = "from"
	PassesTo    = "to"
	PassesNever = "never"
)

// The values that a threshold is of.
const (
	OfWindow      = "window"
	OfDwell       = "dwell"
	OfRequirement = "requirement"
)

const (
	widestDeg   = 1e3             // more than a turn: no movement is outside
	longestTime = 100 * time.Hour // longer than any check
	justMore    = 1 + 1e-9        // of a value that was measured: no longer met
	justLess    = 1 - 1e-12       // of a value that was measured: met, whatever the product is rounded to
)

// variant is one judge with other data.
type variant struct {
	window   float64 // deg; 0: of the rig
	dwell    time.Duration
	required float64 // as a share of the present one; 0: 1
}

// again judges the scans of one check again, by itself.
func (in *inputs) again(scans []scan, v variant) *check {
	scale := cmp.Or(v.required, 1)
	r := newReplay(in, scale, func(j *plant.Judge) {
		j.WindowDeg, j.Dwell = cmp.Or(v.window, j.WindowDeg), cmp.Or(v.dwell, j.Dwell)
		j.FailedBefore, j.FailureEnds = false, plant.FailureEndsTest
	})
	for i := range scans {
		r.step(i, &scans[i])
		if len(r.checks) > 0 && r.open == nil {
			return r.checks[0]
		}
	}
	if r.open == nil {
		return &check{outcome: Unfinished}
	}
	r.close(&scans[len(scans)-1], Unfinished, "")
	return r.checks[0]
}

// segment are the scans of a check, and those behind it for as long as it is asked for.
func segment(scans []scan, c *check) []scan {
	to := c.from
	for to < len(scans) && scans[to].request.Ask == c.direction {
		to++
	}
	return scans[c.from:min(to+1, len(scans))]
}

// thresholds are those of a check that has a verdict.
func (in *inputs) thresholds(scans []scan, c *check) []Threshold {
	if c.outcome != Passed && c.outcome != Failed {
		return []Threshold{}
	}
	part := segment(scans, c)
	list := []Threshold{in.windowThreshold(part), in.dwellThreshold(part)}
	if c.required != 0 {
		list = append(list, in.requirementThreshold(part, c))
	}
	return list
}

func (in *inputs) windowThreshold(part []scan) Threshold {
	t := Threshold{Of: OfWindow, Unit: "deg", Present: in.rig.Judge.WindowDeg, Passes: PassesNever}
	free := in.again(part, variant{window: widestDeg})
	t.Beyond = free.ending()
	if free.outcome == Passed {
		deg := float64(free.movedInc) * 360 / in.rig.Encoder.IncrementsPerTurn
		t.Passes, t.Turns, t.Beyond = PassesFrom, &deg, "moved"
	}
	t.Open = free.outcome == AskEnded || free.outcome == Unfinished || free.outcome == NotJudgeable
	return t
}

func (in *inputs) dwellThreshold(part []scan) Threshold {
	t := Threshold{Of: OfDwell, Unit: "s", Present: in.rig.Judge.Dwell.Seconds(), Passes: PassesNever}
	endless := in.again(part, variant{dwell: longestTime})
	t.Beyond = endless.ending()
	if stood := endless.dwell.Seconds(); stood > 0 {
		t.Passes, t.Turns = PassesTo, &stood
	}
	t.Open = endless.outcome == AskEnded || endless.outcome == Unfinished || endless.outcome == NotJudgeable
	return t
}

// requirementThreshold goes through what was measured: upwards from a requirement that is met until it is not,
// downwards from one that is not until it is.
func (in *inputs) requirementThreshold(part []scan, c *check) Threshold {
	t := Threshold{Of: OfRequirement, Unit: c.state.Unit, Present: c.required, Passes: PassesNever, Beyond: c.ending()}
	shares := in.shares(part)
	passed := c.outcome == Passed
	found := 1.0
	if passed {
		for _, share := range shares {
			if share <= 1 {
				continue
			}
			if other := in.again(part, variant{required: share}); other.outcome != Passed {
				break
			}
			found = share
		}
	} else {
		slices.Reverse(shares)
		i := slices.IndexFunc(shares, func(share float64) bool {
			return share < 1 && in.again(part, variant{required: share}).outcome == Passed
		})
		if i < 0 {
			return t
		}
		found = shares[i]
	}
	beyond := in.again(part, variant{required: found * justMore})
	turns := found * c.required
	t.Passes, t.Turns, t.Beyond = PassesTo, &turns, beyond.ending()
	t.Open = beyond.outcome == AskEnded || beyond.outcome == Unfinished
	return t
}

// shares are what was measured in each scan as a share of the requirement, rising, above 0 and each once.
func (in *inputs) shares(part []scan) []float64 {
	r := newReplay(in, 1, nil)
	var list []float64
	for i := range part {
		r.side.Scan(part[i].request, part[i].readings)
		s := r.side.Check(part[i].readings.SingleTurn, part[i].readings.CurrentAmpA)
		if s.Required == 0 {
			continue
		}
		if share := r.share(&s); share > 0 && !math.IsInf(share, 0) {
			list = append(list, share*justLess)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// ending is how a check ended, in one word.
func (c *check) ending() string { return cmp.Or(c.cause, c.outcome) }
