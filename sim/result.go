package sim

import (
	"math"

	"holdbench/sequence"
)

// Result is what came of one run, in the shape in which it is written as JSON.
type Result struct {
	Scenario         string        `json:"scenario"`
	Rig              string        `json:"rig"`
	Sequence         string        `json:"sequence"`
	Seed             uint64        `json:"seed"`
	EndedIn          string        `json:"ended_in"`
	End              string        `json:"end"`
	Verdict          string        `json:"verdict"`
	Cause            string        `json:"cause"`
	Class            Class         `json:"class"`
	DurationS        float64       `json:"duration_s"`
	LoadDropMM       float64       `json:"load_drop_mm"`
	SlipDeg          float64       `json:"slip_deg"`
	PeakTorqueNM     float64       `json:"peak_torque_nm"`
	BrakeCapacityNM  float64       `json:"brake_capacity_nm"`
	Brake2CapacityNM *float64      `json:"brake_2_capacity_nm,omitempty"` // at the motor shaft; not written without a second brake
	Brake2SlipDeg    *float64      `json:"brake_2_slip_deg,omitempty"`
	RequiredTorqueNM float64       `json:"required_torque_nm"`
	SlipWorkJ        float64       `json:"slip_work_j"`
	BrakeTempC       float64       `json:"brake_temp_c"`
	SupportN         float64       `json:"support_n"`     // with which the support carries the load at the end
	SupportShare     float64       `json:"support_share"` // of the load that rests on its support at the end
	Obligations      []Obligation  `json:"obligations"`
	Expectations     []Expectation `json:"expectations"`
	Events           []Event       `json:"events"`
	Visits           []Visit       `json:"-"` // every state that was entered, in order
}

// The words of a verdict.
const (
	proven = "proven"
	failed = "failed"
	none   = "none"
)

// Met is whether the run came out as the scenario expects.
func (r *Result) Met() bool {
	for _, e := range r.Expectations {
		if !e.Met {
			return false
		}
	}
	return true
}

// WeakestNM is the static capacity of the weakest brake in N·m: each must be sufficient alone.
func (r *Result) WeakestNM() float64 {
	if r.Brake2CapacityNM != nil {
		return min(r.BrakeCapacityNM, *r.Brake2CapacityNM)
	}
	return r.BrakeCapacityNM
}

// result sums the run up.
func (b *Bench) result() *Result {
	s := b.plant.State()
	r := &Result{
		Scenario: b.c.Scenario.Scenario, Rig: b.c.Rig.Rig, Sequence: b.c.Program.Name(), Seed: b.c.Seed,
		EndedIn: b.stateName(), End: b.end().String(), Verdict: b.lastVerdict, Cause: b.machine.Cause(),
		DurationS:    b.seconds(b.endTick),
		LoadDropMM:   b.monitors.drop.largest,
		SlipDeg:      s.SlipRad * 180 / math.Pi,
		PeakTorqueNM: b.monitors.peakNM,
		SlipWorkJ:    s.SlipWorkJ,
		BrakeTempC:   s.BrakeTempC,
		SupportN:     b.plant.SupportN(),
		SupportShare: b.plant.SupportShare(),
		Events:       b.events,
		Visits:       b.visits(),
		Obligations:  b.monitors.report(b),
	}
	r.BrakeCapacityNM, r.RequiredTorqueNM = b.capacityNM, b.requiredNM
	if second := b.plant.Brake2State(); second != nil {
		capacity, slip := b.capacity2NM, second.SlipRad*180/math.Pi
		r.Brake2CapacityNM, r.Brake2SlipDeg = &capacity, &slip
	}
	f := facts{
		proven: b.lastVerdict == proven, torqueSufficient: b.torqueSufficient(),
		loadHeld: r.Obligations[noDrop].Kept && !b.loadLost(), disturbed: b.disturbed,
	}
	r.Class = f.class()
	r.Expectations = compare(&b.c.Scenario.Expect, r, b.schedule, b.faultsThatNeverCame())
	return r
}

// end is how the sequence ended, EndNone if it has not.
func (b *Bench) end() sequence.EndKind {
	end, _ := b.machine.Ended()
	return end
}
