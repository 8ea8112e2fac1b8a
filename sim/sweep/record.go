package sweep

import "holdbench/sim"

// The words of a verdict.
const (
	proven = "proven"
	failed = "failed"
	none   = "none"
)

// Record is the outcome of one run, a line of a file.
type Record struct {
	Run     int      `json:"run"`    // its number among those of all parts, from 0
	Cell    int      `json:"cell"`   // of a map, by window and then by dwell
	Seed    uint64   `json:"seed"`   // of the sensors' noise
	Values  []string `json:"values"` // of the columns of the head
	Upper   []bool   `json:"upper"`  // whether each value lies in the upper half of its spread
	Weight  float64  `json:"weight"`
	Class   string   `json:"class"`
	End     string   `json:"end"`
	EndedIn string   `json:"ended_in"`
	Verdict string   `json:"verdict"`
	Cause   string   `json:"cause"`
	Refused Refusal  `json:"refused_for"`
	// CapacityNM and RequiredNM are the true static capacity of the brake, of two the weaker, and the required test
	// torque, at the verdict.
	CapacityNM float64 `json:"capacity_nm"`
	RequiredNM float64 `json:"required_nm"`
	LoadDropMM float64 `json:"load_drop_mm"`
	SlipDeg    float64 `json:"slip_deg"`
	DurationS  float64 `json:"duration_s"`
	Broken     int     `json:"broken"` // obligations
	// ControllerStopped is where the controller stopped by itself; nil if it never did.
	ControllerStopped *sim.ControllerStop `json:"controller_stopped,omitempty"`
}

func (p *Plan) record(number, cell int, d *draw, values []string, r *sim.Result) Record {
	rec := Record{
		Run: number, Cell: cell, Seed: d.sensors, Values: values, Upper: make([]bool, len(p.Spreads)), Weight: d.weight,
		Class: string(r.Class), End: r.End, EndedIn: r.EndedIn, Verdict: r.Verdict, Cause: r.Cause, Refused: refusalOf(r),
		CapacityNM: r.WeakestNM(), RequiredNM: r.RequiredTorqueNM,
		LoadDropMM: r.LoadDropMM, SlipDeg: r.SlipDeg, DurationS: r.DurationS, Broken: len(r.Broken()),
		ControllerStopped: r.ControllerStopped,
	}
	for i := range p.Spreads {
		rec.Upper[i] = p.Spreads[i].upper(d.z[i])
	}
	return rec
}

// Ratio is the true capacity over the required torque; 0 if nothing is required.
func (r *Record) Ratio() float64 {
	if r.RequiredNM <= 0 {
		return 0
	}
	return r.CapacityNM / r.RequiredNM
}

// stopped is whether a false alarm came from the sequence, behind a proof of the judge.
func (r *Record) stopped() bool { return r.Class == string(sim.FalseAlarm) && r.proven() }

func (r *Record) proven() bool { return r.Verdict == proven }

// consistent is whether there is either a proof or a refusal.
func (r *Record) consistent() bool {
	if r.proven() {
		return r.Refused == ""
	}
	return r.Refused == forBrake || r.Refused == forOther
}
