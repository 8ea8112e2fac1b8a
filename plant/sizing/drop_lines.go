package sizing

import (
	"math"

	"holdbench/plant/problem"
)

const simulated = "simulation of the plant, within 1 %"

// dropLines are the load drops at a power failure and the factor that the drop limit of the rig
// asks of the brake. A test proves the test torque and nothing beyond it.
func (f *figures) dropLines() []Line {
	var lines []Line
	for i := range f.drop.brakes {
		d, id, name := &f.drop.brakes[i], "", ""
		if i > 0 {
			id, name = "_brake_2", ", brake 2"
		}
		for _, l := range []Line{f.restLine(d), f.restFactorLine(d), f.loweringLine(d), f.permittedSpeedLine(d), f.decidingLine(d)} {
			l.ID, l.Name = withSuffix(l.ID, id), l.Name+name
			lines = append(lines, l)
		}
	}
	return lines
}

// withSuffix puts a suffix ahead of the unit, which stays last.
func withSuffix(id, suffix string) string {
	for _, unit := range []string{"_mm_s", "_mm"} {
		if n := len(id) - len(unit); n > 0 && id[n:] == unit {
			return id[:n] + suffix + unit
		}
	}
	return id + suffix
}

func (f *figures) limitInput() Input {
	return Input{"drop limit", f.rig.Test.DropLimitMM, "mm"}
}

// followedTo notes a drop that has no end.
func followedTo(stops bool) string {
	if stops {
		return ""
	}
	return "; followed for 2 s or over the travel, as the load does not stop"
}

// restLine is the drop with a brake that just holds the test torque.
func (f *figures) restLine(d *brakeDrop) Line {
	limit := f.rig.Test.DropLimitMM
	line := Line{
		ID: "drop_rest_mm", Name: "drop from rest", Value: d.restTest, Unit: "mm", Also: []Input{{"with the guaranteed torque", d.restGuaranteed, "mm"}},
		Formula: "largest drop after a power failure at rest, with a brake that just holds the test torque, alone and clear of stops and support: with the most and the least payload, each at its worst position" + followedTo(d.restStops),
		Inputs:  []Input{f.limitInput(), {"most", f.mostRig.Load.MassKG, "kg"}, {"least", f.leastRig.Load.MassKG, "kg"}}, Source: simulated,
	}
	if math.IsInf(d.restFactor, 1) {
		line.Finding = problem.Text("no torque of the brake meets the drop limit of %.4g mm after a power failure: it must close sooner, or the limit must be another; tried up to %g times the load torque", limit, mostFactor)
		return line
	}
	return line.warnIf(d.restTest > limit, "factor %.3g needed, or another limit: %.3g mm with the test torque, limit %.4g mm", d.restFactor, d.restTest, limit)
}

func (f *figures) restFactorLine(d *brakeDrop) Line {
	line := Line{
		ID: "drop_factor_rest", Name: "factor for the drop limit", Value: d.restFactor,
		Formula: "static torque of the brake / worst-case load torque with which the load drops by the drop limit from rest; sliding torque and stiffness in proportion", Inputs: []Input{f.limitInput()}, Source: simulated,
	}
	if math.IsInf(line.Value, 1) {
		line.Value, line.Formula = mostFactor, "not enough: see the drop from rest"
	}
	return line
}

// loweringLine is the drop while the drive lowers the load with its speed.
func (f *figures) loweringLine(d *brakeDrop) Line {
	line := Line{
		ID: "drop_lowering_mm", Name: "drop while lowering", Value: d.speedGuaranteed, Unit: "mm",
		Formula: "as from rest, while the load moves as it pulls with the speed of the drive, and with the guaranteed torque" + followedTo(d.speedStops), Inputs: []Input{f.limitInput(), {"speed", f.rig.Drive.SpeedMMS, "mm/s"}}, Source: simulated,
	}
	if !math.IsInf(d.speedFactor, 1) {
		line.Also = []Input{{"times the load torque for the drop limit", d.speedFactor, ""}}
	}
	return line
}

// permittedSpeedLine is the speed up to which the guaranteed torque meets the drop limit.
func (f *figures) permittedSpeedLine(d *brakeDrop) Line {
	limit, speed := f.rig.Test.DropLimitMM, f.rig.Drive.SpeedMMS
	line := Line{
		ID: "drop_speed_mm_s", Name: "lowering speed", Value: d.permittedSpeed, Unit: "mm/s",
		Formula: "speed of lowering, at most that of the drive, from which the guaranteed torque meets the drop limit after a power failure", Inputs: []Input{f.limitInput()}, Source: simulated,
	}
	const says = "up to %.3g of %.4g mm/s meets the drop limit of %.4g mm: at the full speed the load drops %.3g mm with the guaranteed torque, and %s"
	needs := "no torque of the brake is enough"
	if !math.IsInf(d.speedFactor, 1) {
		needs = problem.Text("the limit needs a factor of %.3g", d.speedFactor)
	}
	if d.permittedSpeed == 0 {
		return line.warnIf(true, "no speed meets the drop limit of %.4g mm, as it is not met from rest: at %.4g mm/s the load drops %.3g mm with the guaranteed torque", limit, speed, d.speedGuaranteed)
	}
	return line.warnIf(d.permittedSpeed < speed, says, d.permittedSpeed, speed, limit, d.speedGuaranteed, needs)
}

// decidingLine says whether the test or the drop limit asks more of the brake.
func (f *figures) decidingLine(d *brakeDrop) Line {
	factor, which := d.decides(f.w.Factor, f.load.maximum)
	torque := factor * f.load.maximum
	line := Line{
		ID: "deciding_factor", Name: "deciding factor", Value: factor, Also: []Input{{"at the motor shaft", torque, "N·m"}},
		Formula: which + ": the larger of the factor of the test and those for the drop limit; one for lowering counts where the guaranteed torque can meet it, else the speed has to be lower. Torque sufficient in a verdict means the test torque alone, as no test can prove more",
		Inputs:  []Input{{"factor of the test", f.w.Factor, ""}, {"guaranteed", d.guaranteed, "N·m"}}, Source: "larger of both",
	}
	if d.restFactor*f.load.maximum > d.guaranteed && !math.IsInf(d.restFactor, 1) {
		line.Finding = problem.Text("%.4g N·m needed, %.4g guaranteed: for the drop limit of %.4g mm after a power failure at rest, at the motor shaft", d.restFactor*f.load.maximum, d.guaranteed, f.rig.Test.DropLimitMM)
	}
	return line
}
