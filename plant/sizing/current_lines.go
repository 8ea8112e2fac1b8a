package sizing

import (
	"math"

	"holdbench/plant"
)

const amplitude = "definition of rms: a sine's amplitude is √2 times it"

// currentLines are the currents of the press, and the ceiling above it.
func (f *figures) currentLines() []Line {
	p, c := &f.press, &f.ceiling
	holding := f.load.normal
	lines := []Line{
		f.currentLine("holding_a", "holding current", holding, "load torque there / k"),
		f.currentLine("required_down_a", "required current, down", -p.requiredDown, "required down / k"),
		f.currentLine("required_up_a", "required current, up", p.requiredUp, "required up / k"),
	}
	if f.rig.Judge.Sense == plant.SenseMagnitude && holding > p.requiredDown {
		lines[0].Warning = "judge.sense is magnitude: holding the load is more than is required down, and an unloaded brake is proven; must be signed"
	}
	return append(lines,
		Line{
			ID: "ceiling_least_nm", Name: "ceiling, at least", Value: c.low, Unit: "N·m", Formula: "the larger press · (1 + t_i) + z σ_τ: the press itself, measured too high, with its noise",
			Inputs: []Input{{"larger press", p.larger, "N·m"}, {"t_i", f.w.CurrentTolerance, ""}, {"z", p.peakDeviations, ""}, {"σ_τ", p.noise, "N·m"}}, Source: balance,
		},
		Line{
			ID: "ceiling_most_nm", Name: "ceiling, at most", Value: c.high, Unit: "N·m", Formula: "the least of drive limit · (1 − t_i) and what motor and mechanics take · (1 − t_i)/(1 + t_m)",
			Inputs: []Input{{"drive limit", f.now.DriveTorqueLimitNM, "N·m"}, {"t_i", f.w.CurrentTolerance, ""}, {"t_m", f.w.MagnetTolerance, ""}}, Source: c.highIs,
		},
		f.ceilingLine(), f.limitLine(),
	)
}

// currentLine is a torque as current, A rms and amplitude. The amplitude is what the judge
// looks at.
func (f *figures) currentLine(id, name string, nm float64, formula string) Line {
	k := f.rig.Motor.TorqueConstant
	line := Line{
		ID: id, Name: name, Value: math.Sqrt2 * nm / k, Unit: "A", Also: []Input{{"", nm / k, "A rms"}},
		Formula: "√2 · " + formula, Inputs: []Input{{"torque", nm, "N·m"}, {"k", k, "N·m/A"}}, Source: amplitude,
	}
	if now, ok := f.params[id]; ok {
		line = line.present("sequence."+id, now, math.Abs(now) >= math.Abs(line.Value)*(1-rounding), "%.3g %% of it", 100*now/line.Value)
	}
	return line
}

func (f *figures) ceilingLine() Line {
	c := &f.ceiling
	line := Line{
		ID: "ceiling_nm", Name: "ceiling", Value: c.value, Unit: "N·m", Also: []Input{{"between the bounds", 100 * (c.high/c.low - 1), "%"}},
		Formula: "√(least · most): as far from one as from the other, by ratio", Inputs: []Input{{"least", c.low, "N·m"}, {"most", c.high, "N·m"}}, Source: choice,
	}
	line = line.atLeast(c.low, "or the press itself is stopped", thinCeiling).atMost(c.high, c.highIs, thinCeiling)
	return line.between("judge.ceiling_nm", f.rig.Judge.CeilingNM, c.low, c.high)
}

func (f *figures) limitLine() Line {
	c := &f.ceiling
	line := Line{
		ID: "press_limit_nm", Name: "torque limit in the test", Value: c.limit, Unit: "N·m", Formula: "the smaller of 1.1 · the larger press and ceiling / ((1 + t_i)(1 + t_m)), so that the drive's limit comes before the ceiling with strong magnets too, and no less than the press",
		Inputs: []Input{{"larger press", f.press.larger, "N·m"}, {"ceiling", c.value, "N·m"}}, Source: choice,
	}
	if now, ok := f.params["press_limit_nm"]; ok {
		line = line.between("sequence.press_limit_nm", now, f.press.larger, c.value/(1+f.w.CurrentTolerance))
	}
	return line
}
