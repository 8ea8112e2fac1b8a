package compare

import (
	"math"
	"strconv"
	"strings"

	"holdbench/sim"
)

// Outcome is one figure or word of what came of each run.
type Outcome struct {
	Name       string   `json:"name"`
	A          string   `json:"a"`
	B          string   `json:"b"`
	Difference *float64 `json:"difference"`
	Differs    bool     `json:"differs"`
}

// outcomeOf lists what came of both runs.
func outcomeOf(a, b *Run) []Outcome {
	x, y := a.Result, b.Result
	list := []Outcome{
		words("end", x.End, y.End), words("ended_in", x.EndedIn, y.EndedIn), words("verdict", x.Verdict, y.Verdict),
		words("cause", x.Cause, y.Cause), words("class", string(x.Class), string(y.Class)),
		words("operation", x.Operation, y.Operation),
		words("obligations_broken", strings.Join(x.Broken(), " "), strings.Join(y.Broken(), " ")),
		numbers("duration_s", x.DurationS, y.DurationS, max(a.slackS(), b.slackS())),
	}
	for _, n := range []struct {
		name string
		a, b float64
	}{
		{"load_drop_mm", x.LoadDropMM, y.LoadDropMM},
		{"slip_deg", x.SlipDeg, y.SlipDeg},
		{"peak_torque_nm", x.PeakTorqueNM, y.PeakTorqueNM},
		{"brake_capacity_nm", x.BrakeCapacityNM, y.BrakeCapacityNM},
		{"required_torque_nm", x.RequiredTorqueNM, y.RequiredTorqueNM},
	} {
		list = append(list, numbers(n.name, n.a, n.b, floor(n.name)))
	}
	return append(list, secondBrake(x, y)...)
}

// secondBrake is what came of a second brake, nothing where neither rig has one.
func secondBrake(a, b *sim.Result) []Outcome {
	var list []Outcome
	for _, n := range []struct {
		name string
		a, b *float64
	}{
		{"brake_2_capacity_nm", a.Brake2CapacityNM, b.Brake2CapacityNM},
		{"brake_2_slip_deg", a.Brake2SlipDeg, b.Brake2SlipDeg},
	} {
		switch {
		case n.a != nil && n.b != nil:
			list = append(list, numbers(n.name, *n.a, *n.b, floor(n.name)))
		case n.a != nil:
			list = append(list, words(n.name, figure(*n.a), ""))
		case n.b != nil:
			list = append(list, words(n.name, "", figure(*n.b)))
		}
	}
	return list
}

func words(name, a, b string) Outcome { return Outcome{Name: name, A: a, B: b, Differs: a != b} }

// numbers differ if they are farther apart than 2 % of the larger one, and than a least difference.
func numbers(name string, a, b, least float64) Outcome {
	difference := b - a
	return Outcome{
		Name: name, A: figure(a), B: figure(b), Difference: &difference,
		Differs: math.Abs(difference) > max(least, shareOfState*max(math.Abs(a), math.Abs(b))),
	}
}

func figure(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }
