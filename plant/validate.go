package plant

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Problem is one thing that is wrong, or doubtful, with a rig.
type Problem struct {
	Path    string // key in the document, such as load.mass_kg
	Message string
	Warning bool // true: the rig can run, but look at it
}

// Validate reports all that is wrong with the rig's values at once, in the order of
// the document, then what is doubtful.
func Validate(r *Rig) []Problem {
	var found []Problem
	for _, f := range Fields() {
		if f.NeedsPartner && r.Partner.InertiaKGM2 == 0 {
			continue
		}
		if err := f.check(f.at(r)); err != nil {
			found = append(found, Problem{Path: f.Path, Message: err.Error()})
		}
	}
	if !r.isArm() && r.Transmission.TravelMMPerTurn == 0 {
		found = append(found, problem("transmission.travel_mm_per_turn", "transmission.travel_mm_per_turn is missing or 0; must be between 0.001 and 100000 mm, or load.arm_mm says how long an arm is"))
	}
	if len(found) > 0 {
		return found // relations between wrong values say nothing
	}
	found = slices.Concat(relations(r), loadRelations(r), scanRelations(r))
	return append(found, doubts(r)...)
}

func relations(r *Rig) []Problem {
	var found []Problem
	if r.Stops.HighMM <= r.Stops.LowMM {
		found = append(found, problem("stops.high_mm", "stops.high_mm is %g mm; must be above stops.low_mm, which is %g mm", r.Stops.HighMM, r.Stops.LowMM))
	}
	if r.Load.StartMM < r.Stops.LowMM || r.Load.StartMM > r.Stops.HighMM {
		found = append(found, problem("load.start_mm", "load.start_mm is %g mm; must lie between the hard stops at %g and %g mm", r.Load.StartMM, r.Stops.LowMM, r.Stops.HighMM))
	}
	found = append(found, guideRelations("guide.", &r.Guide)...)
	if r.Judge.Deadline < r.Judge.Dwell {
		found = append(found, problem("judge.deadline", "judge.deadline is %v; must be at least judge.dwell, which is %v", r.Judge.Deadline, r.Judge.Dwell))
	}
	found = append(found, brakeRelations("brake.", &r.Brake)...)
	if r.Partner.InertiaKGM2 > 0 {
		found = append(found, guideRelations("partner.guide.", &r.Partner.Guide)...)
		found = append(found, brakeRelations("partner.brake.", &r.Partner.Brake)...)
	}
	if r.Encoder.IncrementsPerTurn != math.Trunc(r.Encoder.IncrementsPerTurn) {
		found = append(found, problem("encoder.increments_per_turn", "encoder.increments_per_turn is %g; must be a whole number", r.Encoder.IncrementsPerTurn))
	}
	return found
}

func guideRelations(prefix string, g *Guide) []Problem {
	if g.BreakawayNM == 0 || g.BreakawayNM >= g.SlidingNM {
		return nil
	}
	return []Problem{problem(prefix+"breakaway_nm", "%[1]sbreakaway_nm is %[2]g N·m; must be 0 or at least %[1]ssliding_nm, which is %[3]g N·m", prefix, g.BreakawayNM, g.SlidingNM)}
}

// brakeRelations refuses a brake that stays closed farther than it closes.
func brakeRelations(prefix string, b *Brake) []Problem {
	if b.OpensTo <= timesOf(b).closesTo {
		return nil
	}
	return []Problem{problem(prefix+"opens_to", "%sopens_to is %g; must be at most %.4g, to which the brake closes", prefix, b.OpensTo, timesOf(b).closesTo)}
}

// loadRelations holds a straight axis and an arm apart.
func loadRelations(r *Rig) []Problem {
	if !r.isArm() {
		return nil
	}
	var found []Problem
	if r.Transmission.TravelMMPerTurn != 0 {
		found = append(found, problem("transmission.travel_mm_per_turn", "transmission.travel_mm_per_turn is %g mm beside load.arm_mm; must be left out on an arm", r.Transmission.TravelMMPerTurn))
	}
	if r.Load.CounterKG != 0 {
		found = append(found, problem("load.counter_kg", "load.counter_kg is %g kg beside load.arm_mm; must be left out: mass and centre of an arm include what balances it", r.Load.CounterKG))
	}
	w := weightOf(r)
	metres := metresPerRad(r) * 1000
	for _, stop := range []struct {
		path string
		mm   float64
	}{{"stops.low_mm", r.Stops.LowMM}, {"stops.high_mm", r.Stops.HighMM}} {
		if angle := (w.angle0 + stop.mm/metres*w.perTurn) * 180 / math.Pi; math.Abs(angle) > 90 {
			found = append(found, problem(stop.path, "%s lets the arm point to %.4g degrees; must be between -90 and 90, where up raises the load", stop.path, angle))
		}
	}
	return found
}

func scanRelations(r *Rig) []Problem {
	var found []Problem
	scan := func(path string, d time.Duration) {
		if d%r.Clock.Tick != 0 {
			found = append(found, problem(path, "%s is %v; must be a whole multiple of clock.tick, which is %v", path, d, r.Clock.Tick))
		}
	}
	scan("clock.functional_scan", r.Clock.FunctionalScan)
	scan("clock.safety_scan", r.Clock.SafetyScan)
	return found
}

// doubts are warnings: such a rig exists, and its owner should know.
func doubts(r *Rig) []Problem {
	var found []Problem
	warn := func(path, format string, values ...any) {
		p := problem(path, format, values...)
		p.Warning = true
		found = append(found, p)
	}
	d := Derive(r)
	if r.Brake.StaticNM < d.LoadTorqueNM {
		warn("brake.static_nm", "brake.static_nm is %g N·m, below the load torque of %.4g N·m at the shaft: it cannot hold the load even when new", r.Brake.StaticNM, d.LoadTorqueNM)
	} else if r.Brake.StaticNM < d.RequiredTestNM {
		warn("brake.static_nm", "brake.static_nm is %g N·m, below the required test torque of %.4g N·m: it cannot pass even when new", r.Brake.StaticNM, d.RequiredTestNM)
	}
	if weightOf(r).constant > 0 {
		warn("load.counter_kg", "load.counter_kg is %g kg and outweighs the load of %g kg: the axis wants to rise, and the truth looks for a load that sinks", r.Load.CounterKG, r.Load.MassKG)
	}
	if r.Brake.SlidingNM > r.Brake.StaticNM {
		warn("brake.sliding_nm", "brake.sliding_nm is %g N·m, above brake.static_nm, which is %g N·m: a lining that grips better while slipping is unusual", r.Brake.SlidingNM, r.Brake.StaticNM)
	}
	if d.DriveTorqueLimitNM < d.LoadTorqueNM {
		warn("drive.current_limit_rms_a", "drive.current_limit_rms_a allows %.4g N·m, below the load torque of %.4g N·m: the drive cannot carry the load", d.DriveTorqueLimitNM, d.LoadTorqueNM)
	}
	return found
}

func problem(path, format string, values ...any) Problem {
	return Problem{Path: path, Message: fmt.Sprintf(format, values...)}
}
