package sim

import (
	"math"

	"holdbench/plant"
	"holdbench/sequence"
)

// Result is what came of one run, in the shape in which it is written as JSON.
type Result struct {
	Scenario     string  `json:"scenario"`
	Rig          string  `json:"rig"`
	Sequence     string  `json:"sequence"`
	Seed         uint64  `json:"seed"`
	EndedIn      string  `json:"ended_in"`
	End          string  `json:"end"`
	Verdict      string  `json:"verdict"`
	VerdictRight *bool   `json:"verdict_right"` // whether it agrees with the truth, null without a verdict
	Cause        string  `json:"cause"`
	Class        Class   `json:"class"`
	Released     bool    `json:"released"`  // operation is allowed at the end, or the sequence passed, and nobody withholds it
	Operation    string  `json:"operation"` // allowed or inhibited at the end, by both sides together
	Withheld     bool    `json:"withheld"`  // the safety side withholds operation at the end
	LoadHeld     bool    `json:"load_held"` // from the start of the run to its end
	DurationS    float64 `json:"duration_s"`
	LoadDropMM   float64 `json:"load_drop_mm"`
	// DropCommanded is the command with which the controller itself let the load fall by more than the
	// limit; empty if it did not.
	DropCommanded string  `json:"drop_commanded,omitempty"`
	SlipDeg       float64 `json:"slip_deg"`
	PeakTorqueNM  float64 `json:"peak_torque_nm"`
	// Static capacities and the required test torque at the last verdict, or at the end if there was
	// none; those of a second brake are at the motor shaft and not written without one.
	BrakeCapacityNM  float64  `json:"brake_capacity_nm"`
	Brake2CapacityNM *float64 `json:"brake_2_capacity_nm,omitempty"`
	RequiredTorqueNM float64  `json:"required_torque_nm"`
	// The same at the end of the run.
	BrakeCapacityAtEndNM  float64    `json:"brake_capacity_at_end_nm"`
	Brake2CapacityAtEndNM *float64   `json:"brake_2_capacity_at_end_nm,omitempty"`
	RequiredAtEndNM       float64    `json:"required_torque_at_end_nm"`
	DropAtPowerFailure    *DropCheck `json:"drop_at_power_failure,omitempty"` // after CheckDrop
	Brake2SlipDeg         *float64   `json:"brake_2_slip_deg,omitempty"`
	SlipWorkJ             float64    `json:"slip_work_j"`
	BrakeTempC            float64    `json:"brake_temp_c"`
	SupportN              float64    `json:"support_n"`     // with which the support carries the load at the end
	SupportShare          float64    `json:"support_share"` // of the load that rests on its support at the end

	// ControllerStopped is the first time that the controller stopped; nil if it never did.
	ControllerStopped *ControllerStop `json:"controller_stopped,omitempty"`

	Obligations  []Obligation  `json:"obligations"`
	Expectations []Expectation `json:"expectations"`
	// NotApplied are the expectations that do not apply to another rig or sequence than the scenario's own.
	NotApplied []string `json:"expectations_not_applied,omitempty"`
	// Faults are those of the scenario, in its order; nil without any.
	Faults []FaultRecord `json:"fault_records,omitempty"`
	Events []Event       `json:"events"`
	// EventsFolded is what was left out of the events; nil if nothing was.
	EventsFolded *Folded `json:"events_folded,omitempty"`
	Visits       []Visit `json:"-"` // every state that was entered, in order

	rigAtVerdict, rigAtEnd *plant.Rig // with the brakes as they were
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

// Broken names the obligations that were broken.
func (r *Result) Broken() []string {
	var names []string
	for _, o := range r.Obligations {
		if !o.Kept {
			names = append(names, o.Name)
		}
	}
	return names
}

// WeakestNM is the static capacity of the weakest brake at the verdict in N·m: each must be
// sufficient alone.
func (r *Result) WeakestNM() float64 {
	if r.Brake2CapacityNM != nil {
		return min(r.BrakeCapacityNM, *r.Brake2CapacityNM)
	}
	return r.BrakeCapacityNM
}

// Insufficient is whether the torque of the first or the second brake is insufficient at the verdict
// or at the end.
func (r *Result) Insufficient(second bool) bool {
	if !second {
		return r.BrakeCapacityNM < r.RequiredTorqueNM || r.BrakeCapacityAtEndNM < r.RequiredAtEndNM
	}
	return r.Brake2CapacityNM != nil && (*r.Brake2CapacityNM < r.RequiredTorqueNM || *r.Brake2CapacityAtEndNM < r.RequiredAtEndNM)
}

// result sums the run up.
func (b *Bench) result() *Result {
	s := b.plant.State()
	r := &Result{
		Scenario: b.c.Scenario.Scenario, Rig: b.c.Rig.Rig, Sequence: b.c.Sequence.Name, Seed: b.c.Seed,
		EndedIn: b.endedIn(), End: b.end().String(), Verdict: b.lastVerdict, Cause: b.cause(),
		DurationS:    b.seconds(b.endTick),
		LoadDropMM:   b.monitors.drop.largest,
		SlipDeg:      s.SlipRad * 180 / math.Pi,
		PeakTorqueNM: b.monitors.peakNM,
		SlipWorkJ:    s.SlipWorkJ,
		BrakeTempC:   s.BrakeTempC,
		SupportN:     b.plant.SupportN(),
		SupportShare: b.plant.SupportShare(),
		Events:       b.events,
		EventsFolded: b.folded.result(),
		Faults:       b.faultRecords(),
		Visits:       b.visits(),
		Obligations:  b.monitors.report(b),
		NotApplied:   b.c.NotApplied,

		ControllerStopped: b.stopped,

		rigAtVerdict: b.rigAtVerdict, rigAtEnd: b.plant.RigNow(),
	}
	if second := b.plant.Brake2State(); second != nil {
		slip := second.SlipRad * 180 / math.Pi
		r.Brake2SlipDeg = &slip
	}
	r.assess(b)
	r.Expectations = compare(&b.c.Scenario.Expect, r)
	return r
}

// ending is how the sequence ended last.
type ending struct {
	kind  sequence.EndKind
	state int
	cause string
}

// end is how the sequence ended, EndNone if it has not.
func (b *Bench) end() sequence.EndKind {
	if b.ended {
		return b.atEnd.kind
	}
	return b.c.Sequence.States[b.state].End // where power has returned into one
}

// endedIn is the state of the end; the present one if there is no end.
func (b *Bench) endedIn() string {
	if b.ended {
		return b.c.Sequence.States[b.atEnd.state].Name
	}
	return b.stateName()
}

// cause is that of the end, or the newest one so far.
func (b *Bench) cause() string {
	if b.ended {
		return b.atEnd.cause
	}
	return b.controller.Cause()
}
