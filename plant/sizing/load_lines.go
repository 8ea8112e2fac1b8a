package sizing

import (
	"math"

	"holdbench/plant"
)

const (
	statics   = "statics; motion-sizing handbooks have the same (from memory)"
	geometry  = "geometry"
	choice    = "a choice"
	balance   = "torque balance of the shaft at rest"
	ofTheRig  = "the rig"
	inSeconds = "s"
)

// loadLines are the load torque over the travel and the friction of the guide.
func (f *figures) loadLines() []Line {
	l := &f.load
	formula, inputs := f.loadFormula()
	lines := []Line{
		{ID: "load_torque_nm", Name: "worst-case load torque", Value: l.maximum, Unit: "N·m", Formula: formula, Inputs: inputs, Source: statics},
		{
			ID: "maximum_position_mm", Name: "worst-case position", Value: l.maximumMM, Unit: "mm", Also: f.armAngle(l.maximumMM),
			Formula: f.positionFormula(), Source: statics,
		},
		f.positionLine(),
		{
			ID: "nominal_load_nm", Name: "nominal load torque", Value: l.nominal, Unit: "N·m", Also: []Input{{"of the worst case", 100 * l.nominal / l.maximum, "%"}},
			Formula: "load torque at the test position with the load of the rig", Source: statics,
		},
		{
			ID: "minimum_load_nm", Name: "minimum load torque", Value: l.positionMinimum, Unit: "N·m",
			Formula: "load torque at the test position with the minimum load: it adds least to a press down", Inputs: []Input{{"m", f.w.MinimumLoadKG, "kg"}},
			Source: statics + "; " + f.w.source("minimum-load-kg", ofTheRig),
		},
		{
			ID: "maximum_load_nm", Name: "maximum load torque", Value: l.positionMaximum, Unit: "N·m",
			Formula: "load torque at the test position with the maximum load and the counterbalance loss: it subtracts most from a press up",
			Inputs:  []Input{{"m", f.w.MaximumLoadKG, "kg"}}, Source: statics + "; " + f.w.source("maximum-load-kg", ofTheRig),
		},
	}
	if f.armOffMaximum() {
		lines[2].Warning = "the worst case does not occur at any position clear of stops and support; the press torque is calculated for the best position"
	}
	lines[4] = lines[4].warnIf(l.minimum < 0, "the minimum load rises by itself: the counterbalance exceeds it by %.4g N·m, and the brake holds it down", -l.minimum)
	return append(append(append(lines, f.frictionLines()...), f.toleranceLine()), f.travelLines()...)
}

func (f *figures) positionFormula() string {
	if f.rig.Load.CounterbalanceNPerMM != 0 {
		return "where load and counterbalance differ most"
	}
	return "where an arm is closest to horizontal; constant on a linear axis"
}

// armOffMaximum reports an arm whose best test position is not its worst-case position.
func (f *figures) armOffMaximum() bool {
	return f.isArm() && math.Abs(loadTorque(f.load.of, f.load.bestMM)) < 0.99*f.load.maximum
}

// loadFormula is the worst-case load torque, with the force of a counterbalance where there is one.
func (f *figures) loadFormula() (string, []Input) {
	r := f.load.of
	m, g, n := Input{"m", r.Load.MassKG, "kg"}, Input{"g", r.Load.GravityMS2, "m/s²"}, Input{"n", r.Transmission.GearRatio, ""}
	force := []Input{}
	if l := &r.Load; l.CounterbalanceN != 0 || l.CounterbalanceNPerMM != 0 {
		force = []Input{{"F", l.CounterbalanceN + float64(l.CounterbalanceNPerMM*(f.load.maximumMM-l.CounterbalanceAtMM)), "N"}}
	}
	if f.isArm() {
		formula := "m g r cos φ / n, maximum between the stops"
		if len(force) > 0 {
			formula = "|m g cos φ − F| r / n, maximum between the stops"
		}
		return formula, append([]Input{m, g, {"r", r.Load.ArmMM / 1000, "m"}, {"φ", f.armDeg(f.load.maximumMM), "deg"}, n}, force...)
	}
	formula := "|m sin α − c| g p / (2π n); feed constant p: the lead of a screw, π times the diameter of a pinion or pulley"
	if len(force) > 0 {
		formula = "|(m sin α − c) g − F| p / (2π n); feed constant p: the lead of a screw, π times the diameter of a pinion or pulley"
	}
	return formula, append([]Input{
		m, {"α", r.Load.InclineDeg, "deg"}, {"c", r.Load.CounterbalanceKG, "kg"}, g, {"p", r.Transmission.FeedConstantMMPerTurn / 1000, "m"}, n,
	}, force...)
}

func (f *figures) armAngle(mm float64) []Input {
	if !f.isArm() {
		return nil
	}
	return []Input{{"arm angle", f.armDeg(mm), "deg"}}
}

// positionLine is the test position, compared with the present one of the sequence.
func (f *figures) positionLine() Line {
	l := &f.load
	line := Line{
		ID: "test_position_mm", Name: "test position", Value: l.positionMM, Unit: "mm", Also: append(f.armAngle(l.positionMM), Input{"best", l.bestMM, "mm"}),
		Formula: "position of maximum load torque, clear of stops and support by the clearance; low, to limit the drop of a load that slips",
		Inputs:  []Input{{"from", l.lowMM, "mm"}, {"to", l.highMM, "mm"}, {"clearance", f.w.ClearanceMM, "mm"}},
		Source:  "common practice; clearance " + f.w.source("clearance-mm", choice),
	}
	line = line.warnIf(!f.clear(l.positionMM), "less than %.4g mm from a stop or the support, which can carry the load during the test", f.w.ClearanceMM)
	if now, ok := f.params["test_position"]; ok {
		present, best := loadTorque(&f.nominalRig, now.Value), loadTorque(&f.nominalRig, l.bestMM)
		fits := f.clear(now.Value) && (!f.isArm() || present >= 0.99*best || best <= 0)
		line = line.withPresent(now.key(), now.Value, fits, "load torque %.4g N·m, %.3g %% of the maximum", present, 100*present/best)
	}
	return line
}

// toleranceLine is the permitted load deviation at rest, above which the sequence refuses the
// test.
func (f *figures) toleranceLine() Line {
	l := &f.load
	line := Line{
		ID: "load_tolerance_nm", Name: "load tolerance at rest", Value: f.loadTolerance(), Unit: "N·m",
		Formula: "max(0.15 · nominal load torque, 1.25 (t (breakaway friction + load range) + (t − 1) nominal load torque)), t: tolerance factor",
		Inputs:  []Input{{"guide", l.breakaway, "N·m"}, {"load range", max(l.positionMaximum-l.nominal, l.nominal-l.positionMinimum), "N·m"}, {"t", f.press.tolerance, ""}}, Source: choice,
	}
	if now, ok := f.params["load_tolerance"]; ok {
		line = line.withPresent(now.key(), now.Value, now.Value >= line.Value/1.25, "a smaller one refuses a healthy axis, a larger one accepts a wrong load")
	}
	return line
}

// travelLine is the permitted deviation of the motor torque from the load torque during a
// travel, above which the sequence aborts it.
func (f *figures) travelLine() Line {
	l, r := &f.load, f.rig
	line := Line{
		ID: "travel_torque_nm", Name: "travel torque tolerance", Value: f.travelTorque(), Unit: "N·m",
		Formula: "1.25 (t (J a + sliding friction + viscous friction + load range over the travel) + (t − 1) nominal load torque), t: tolerance factor",
		Inputs: []Input{
			{"J", plant.Derive(&f.maximumRig).InertiaKGM2, "kg·m²"}, {"a", r.Drive.AccelerationMMS2 / f.now.MMPerRad, "rad/s²"}, {"sliding", l.sliding, "N·m"},
			{"viscous", r.Guide.ViscousNMS * r.Drive.SpeedMMS / f.now.MMPerRad, "N·m"}, {"load range", f.deviation(), "N·m"}, {"t", f.press.tolerance, ""},
		},
		Source: "Newton; the factor of 1.25 is a choice",
	}
	if now, ok := f.params["travel_torque"]; ok {
		line = line.withPresent(now.key(), now.Value, now.Value >= line.Value/1.25, "a smaller one aborts a healthy travel, a larger one pushes a jammed axis")
	}
	return line
}

// travelLines are the limit for a sequence that compares with one load torque, and where the load
// torque changes along the travel that for one which compares with the load torque at the place.
func (f *figures) travelLines() []Line {
	l, constant := &f.load, f.travelLine()
	lowest, highest := f.overTravel(&f.nominalRig)
	if highest-lowest < 0.01*l.maximum || f.followsAngle() {
		return []Line{constant}
	}
	at, where := f.travelTorqueFor(f.deviationAtPlace()), "place"
	if f.isArm() {
		where = "angle"
	}
	constant = constant.warnIf(constant.Value > math.Abs(l.nominal), "%.3g %% of the load torque, as that changes along the travel: a load that is lost on the way can stay within the limit. Compared with the load torque at the present %s, %.3g N·m is enough", 100*constant.Value/math.Abs(l.nominal), where, at)
	return []Line{constant, {
		ID: "travel_torque_at_" + where + "_nm", Name: "the same, at the " + where, Value: at, Unit: "N·m", Also: []Input{{"of the load", 100 * at / math.Abs(l.nominal), "%"}},
		Formula: "as the travel torque tolerance, with the load range at the same " + where + ": for a sequence that compares with the load torque at the present " + where,
		Inputs:  []Input{{"load range", f.deviationAtPlace(), "N·m"}}, Source: "Newton; the factor of 1.25 is a choice",
	}}
}

// deviationAtPlace is the maximum difference between the load torque of any load at the test and
// the nominal one at the same position.
func (f *figures) deviationAtPlace() float64 {
	largest := 0.0
	for _, mm := range f.places() {
		nominal := loadTorque(&f.nominalRig, mm)
		largest = max(largest, math.Abs(loadTorque(&f.maximumRig, mm)-nominal), math.Abs(loadTorque(&f.minimumRig, mm)-nominal))
	}
	return largest
}

// travelTorque is the torque deviation of a travel with full acceleration, with a factor of
// 1.25.
func (f *figures) travelTorque() float64 { return f.travelTorqueFor(f.deviation()) }

func (f *figures) travelTorqueFor(deviation float64) float64 {
	return 1.25 * f.measuredDeviation(f.moving()+f.load.sliding+deviation)
}

// moving is the torque of full acceleration and of the viscous friction at full speed in N·m.
func (f *figures) moving() float64 {
	r := f.rig
	return (float64(plant.Derive(&f.maximumRig).InertiaKGM2*r.Drive.AccelerationMMS2) + float64(r.Guide.ViscousNMS*r.Drive.SpeedMMS)) / f.now.MMPerRad
}

// followsAngle is whether the sequence compares the torque of an arm with the load at its present
// angle.
func (f *figures) followsAngle() bool {
	_, angle := f.params["test_angle"]
	return angle && f.isArm()
}

// deviation is the maximum difference between the load torque of any load at the test at any position and
// the nominal load torque, with which the sequence compares.
func (f *figures) deviation() float64 {
	if f.followsAngle() {
		return f.deviationAtPlace()
	}
	l := &f.load
	return max(l.highest-l.nominal, l.nominal-l.lowest)
}

// frictionLines are the friction of the guide and the torques of a slow motion.
func (f *figures) frictionLines() []Line {
	l, r := &f.load, f.rig
	loss := l.sliding - r.Guide.SlidingNM
	return []Line{
		{
			ID: "guide_sliding_nm", Name: "guide, sliding friction", Value: l.sliding, Unit: "N·m", Formula: "friction of the guide + worst-case load torque (1/η − 1)",
			Inputs: []Input{{"friction", l.sliding - loss, "N·m"}, {"η", r.Transmission.Efficiency, ""}}, Source: statics,
		},
		{
			ID: "guide_breakaway_nm", Name: "guide, breakaway friction", Value: l.breakaway, Unit: "N·m", Formula: "breakaway friction of the guide + worst-case load torque (1/η − 1): the guide can carry this torque in addition to the brake",
			Source: ofTheRig,
		},
		{
			ID: "lifting_nm", Name: "lifting torque", Value: l.maximum + l.sliding, Unit: "N·m", Formula: "worst-case load torque + sliding friction",
			Source: statics,
		},
		{
			ID: "lowering_nm", Name: "lowering torque", Value: l.maximum - l.lowering, Unit: "N·m", Formula: f.loweringFormula(),
			Source: statics,
		},
	}
}

func (f *figures) loweringFormula() string {
	if f.rig.Transmission.EfficiencyLowering > 0 {
		return "worst-case load torque · efficiency in lowering − friction of the guide; below 0 the load does not descend by itself"
	}
	return "worst-case load torque − sliding friction; below 0 the load does not descend by itself"
}
