package sizing

import (
	"math"

	"holdbench/plant"
)

const amplitude = "definition of rms: the amplitude of a sine is √2 times its rms value"

// currentLines are the currents of the test and the ceiling.
func (f *figures) currentLines() []Line {
	p, c := &f.press, &f.ceiling
	holding := f.load.nominal
	lines := append([]Line{f.currentLine("holding_a", "holding current", holding, "nominal load torque / k")}, f.tested(
		f.requiredCurrentLine("required_down_a", "required current, down", -p.requiredDown, "required torque, down / k", "required_down_current"),
		f.requiredCurrentLine("required_up_a", "required current, up", p.requiredUp, "required torque, up / k", "required_up_current"))...)
	if f.down && f.rig.Judge.Sense == plant.SenseMagnitude && holding > p.requiredDown {
		lines[0].Warning = "judge.sense is magnitude: the holding current exceeds the current required down, so that an unloaded brake is proven; must be signed"
	}
	return append(lines,
		Line{
			ID: "ceiling_min_nm", Name: "ceiling, lower bound", Value: c.low, Unit: "N·m", Formula: "largest torque of press and travel · u + z σ_τ: as the judge reads it, with noise; u is 1 with the drive's transducer, (1 + t_i)/(1 − t_i) with one of its own",
			Inputs: []Input{{"torque", p.maximum, "N·m"}, {"u", p.reading, ""}, {"z", p.peakDeviations, ""}, {"σ_τ", p.noise, "N·m"}}, Source: balance,
		},
		Line{
			ID: "ceiling_max_nm", Name: "ceiling, upper bound", Value: c.high, Unit: "N·m", Formula: "min(drive limit / u, limit of motor or mechanics · (1 − t_i)/(1 + t_k))",
			Inputs: []Input{{"drive limit", f.now.DriveTorqueLimitNM, "N·m"}, {"u", p.reading, ""}, {"t_i", f.w.CurrentTolerance, ""}, {"t_k", f.w.TorqueConstantTolerance, ""}}, Source: c.highReason,
		},
		f.ceilingLine(), f.limitLine(),
	)
}

// currentLine is a torque as current, in A rms and as amplitude. The judge evaluates the
// amplitude.
func (f *figures) currentLine(id, name string, nm float64, formula string) Line {
	k := f.rig.Motor.TorqueConstant
	return Line{
		ID: id, Name: name, Value: math.Sqrt2 * nm / k, Unit: "A", Also: []Input{{"", nm / k, "A rms"}},
		Formula: "√2 · " + formula, Inputs: []Input{{"torque", nm, "N·m"}, {"k", k, "N·m/A"}}, Source: amplitude,
	}
}

// requiredCurrentLine compares the current with the present one of the sequence.
func (f *figures) requiredCurrentLine(id, name string, nm float64, formula, role string) Line {
	line := f.currentLine(id, name, nm, formula)
	if now, ok := f.params[role]; ok {
		line = line.withPresent(now.key(), now.Value, math.Abs(now.Value) >= math.Abs(line.Value)*(1-rounding), "%.3g %% of this value", 100*now.Value/line.Value)
	}
	return line
}

func (f *figures) ceilingLine() Line {
	c := &f.ceiling
	line := Line{
		ID: "ceiling_nm", Name: "ceiling", Value: c.value, Unit: "N·m", Also: []Input{{"span of the bounds", 100 * (c.high/c.low - 1), "%"}},
		Formula: "√(lower bound · upper bound): the same ratio to both bounds", Inputs: []Input{{"lower bound", c.low, "N·m"}, {"upper bound", c.high, "N·m"}}, Source: choice,
	}
	line = line.atLeast(c.low, "below it the press is stopped", thinCeiling).atMost(c.high, c.highReason, thinCeiling)
	if f.rig.Judge.CeilingNM == 0 {
		return line.withPresent("judge.ceiling_nm", 0, false, "the rig has none; a run needs one, within %.4g to %.4g %s", c.low, c.high, line.Unit)
	}
	return line.between("judge.ceiling_nm", f.rig.Judge.CeilingNM, c.low, c.high)
}

func (f *figures) limitLine() Line {
	c := &f.ceiling
	line := Line{
		ID: "press_limit_nm", Name: "torque limit in the test", Value: c.limit, Unit: "N·m", Formula: "min(1.1 · largest torque of press and travel, ceiling / ((1 + t_i)(1 + t_k))), but at least that torque: the limit of the drive acts before the ceiling within the tolerances",
		Inputs: []Input{{"torque", f.press.maximum, "N·m"}, {"ceiling", c.value, "N·m"}}, Source: choice,
	}
	if now, ok := f.params["press_limit"]; ok {
		line = line.between(now.key(), now.Value, f.press.maximum, c.value/f.press.reading)
	}
	return line
}
