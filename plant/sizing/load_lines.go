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

// loadLines are the pull of the load over the travel and what the guide adds to it.
func (f *figures) loadLines() []Line {
	l := &f.load
	formula, inputs := f.pullFormula()
	lines := []Line{
		{ID: "load_torque_nm", Name: "load torque", Value: l.worst, Unit: "N·m", Formula: formula, Inputs: inputs, Source: statics},
		{
			ID: "worst_position_mm", Name: "where it is worst", Value: l.worstMM, Unit: "mm", Also: f.alsoArm(l.worstMM),
			Formula: "nearest to level on an arm; a straight axis weighs the same everywhere", Source: statics,
		},
		f.placeLine(),
		{
			ID: "normal_load_nm", Name: "load torque there", Value: l.normal, Unit: "N·m", Also: []Input{{"of the worst", 100 * l.normal / l.worst, "%"}},
			Formula: "the same with the rig's own load, at the test position", Source: statics,
		},
		{
			ID: "light_load_nm", Name: "lightest load there", Value: l.light, Unit: "N·m",
			Formula: "the same with the lightest load: it helps least when pressing down", Inputs: []Input{{"m", f.w.LightestKG, "kg"}},
			Source: statics + "; " + f.w.origin("lightest-kg", ofTheRig),
		},
		{
			ID: "heavy_load_nm", Name: "heaviest load there", Value: l.heavy, Unit: "N·m",
			Formula: "the same with the heaviest load and what may be lost of the counterbalance: it hinders most when pressing up",
			Inputs:  []Input{{"m", f.w.HeaviestKG, "kg"}}, Source: statics + "; " + f.w.origin("heaviest-kg", ofTheRig),
		},
	}
	if f.armIsOff() {
		lines[2].Warning = "no place clear of stops and support lets the arm pull its worst; press torque is worked out for the place that is best"
	}
	lines[4] = lines[4].doubt(l.least < 0, "the lightest load rises by itself: the counterbalance outweighs it by %.4g N·m, and the brake holds it down", -l.least)
	return append(append(lines, f.frictionLines()...), f.toleranceLine(), f.travelLine())
}

// armIsOff tells an arm whose best test position is off its worst place.
func (f *figures) armIsOff() bool {
	return f.isArm() && math.Abs(pull(&f.heavy, f.load.bestMM)) < 0.99*f.load.worst
}

func (f *figures) pullFormula() (string, []Input) {
	r := f.load.of
	m, g, n := Input{"m", r.Load.MassKG, "kg"}, Input{"g", r.Load.GravityMS2, "m/s²"}, Input{"n", r.Transmission.GearRatio, ""}
	if f.isArm() {
		return "m g r cos φ / n, at its largest between the stops", []Input{m, g, {"r", r.Load.ArmMM / 1000, "m"}, {"φ", f.armDeg(f.load.worstMM), "deg"}, n}
	}
	return "|m sin α − c| g p / (2π n); p is the lead of a screw, π times the diameter of a pinion or pulley", []Input{
		m, {"α", r.Load.InclineDeg, "deg"}, {"c", r.Load.CounterbalanceKG, "kg"}, g, {"p", r.Transmission.FeedConstantMMPerTurn / 1000, "m"}, n,
	}
}

func (f *figures) alsoArm(mm float64) []Input {
	if !f.isArm() {
		return nil
	}
	return []Input{{"of the arm", f.armDeg(mm), "deg"}}
}

// placeLine is where to test, and what is wrong with where the sequence tests now.
func (f *figures) placeLine() Line {
	l := &f.load
	line := Line{
		ID: "test_position_mm", Name: "test position", Value: l.atMM, Unit: "mm", Also: append(f.alsoArm(l.atMM), Input{"at best", l.bestMM, "mm"}),
		Formula: "where the load pulls most, clear of stops and support by the clearance, and low, so that a load which slips has not far to fall",
		Inputs:  []Input{{"from", l.lowMM, "mm"}, {"to", l.highMM, "mm"}, {"clearance", f.w.ClearanceMM, "mm"}},
		Source:  "common practice; clearance " + f.w.origin("clearance-mm", choice),
	}
	line = line.doubt(!f.clear(l.atMM), "not clear by %.4g mm of stops and support: one of them can hold the load while the brake is tested", f.w.ClearanceMM)
	if now, ok := f.params["test_position_mm"]; ok {
		there, worst := pull(&f.normal, now), pull(&f.normal, f.levelest(l.lowMM, l.highMM))
		fits := f.clear(now) && (there >= 0.99*worst || worst <= 0)
		line = line.present("sequence.test_position_mm", now, fits, "the load pulls %.4g N·m there, %.3g %% of the most", there, 100*there/worst)
	}
	return line
}

// toleranceLine is by how much the torque that carries the load at rest may be other than
// expected before the sequence refuses the test.
func (f *figures) toleranceLine() Line {
	l := &f.load
	line := Line{
		ID: "load_tolerance_nm", Name: "load tolerance at rest", Value: f.loadTolerance(), Unit: "N·m",
		Formula: "the larger of 0.15 · load torque there and 1.25 (t (guide, from rest + what the other loads differ by) + (t − 1) load torque there), t raised for tolerances",
		Inputs:  []Input{{"guide", l.breakaway, "N·m"}, {"differ", max(l.heavy-l.normal, l.normal-l.light), "N·m"}, {"t", f.press.tolerance, ""}}, Source: choice,
	}
	if now, ok := f.params["load_tolerance_nm"]; ok {
		line = line.present("sequence.load_tolerance_nm", now, now >= line.Value/1.25, "more than guide and loads, or a healthy axis is refused; not much more, or a wrong load is tested")
	}
	return line
}

// travelLine is what a travel may take or give beside the load, before the sequence takes
// it for an axis that is stuck or a load that falls.
func (f *figures) travelLine() Line {
	l, r := &f.load, f.rig
	line := Line{
		ID: "travel_torque_nm", Name: "travel beside the load", Value: f.travelTorque(), Unit: "N·m",
		Formula: "1.25 (t (J a + guide, sliding + viscous · speed + what other loads and other places differ by) + (t − 1) load torque there), t raised for tolerances",
		Inputs: []Input{
			{"J", plant.Derive(&f.heavy).InertiaKGM2, "kg·m²"}, {"a", r.Drive.AccelerationMMS2 / f.now.MMPerRad, "rad/s²"}, {"guide", l.sliding, "N·m"},
			{"viscous", r.Guide.ViscousNMS * r.Drive.SpeedMMS / f.now.MMPerRad, "N·m"}, {"differ", f.differ(), "N·m"}, {"t", f.press.tolerance, ""},
		},
		Source: "Newton; the quarter is a choice",
	}
	if now, ok := f.params["travel_torque_nm"]; ok {
		line = line.present("sequence.travel_torque_nm", now, now >= line.Value/1.25, "more than a healthy travel takes; not much more, or a stuck axis is pushed")
	}
	return line
}

// travelTorque is what a travel with its full acceleration needs, and a quarter.
func (f *figures) travelTorque() float64 {
	r := f.rig
	moving := plant.Derive(&f.heavy).InertiaKGM2*r.Drive.AccelerationMMS2 + r.Guide.ViscousNMS*r.Drive.SpeedMMS
	return 1.25 * f.measured(moving/f.now.MMPerRad+f.load.sliding+f.differ())
}

// differ is by how much the pull may be other than that of the rig's own load at the test
// position, with any load anywhere.
func (f *figures) differ() float64 {
	l := &f.load
	return max(l.worst-l.normal, l.normal-l.least)
}

// frictionLines are what the guide adds to a motion and lends to a brake.
func (f *figures) frictionLines() []Line {
	l, r := &f.load, f.rig
	loss := l.worst * (1/r.Transmission.Efficiency - 1)
	return []Line{
		{
			ID: "guide_sliding_nm", Name: "guide, sliding", Value: l.sliding, Unit: "N·m", Formula: "friction of the guide + load torque (1/η − 1)",
			Inputs: []Input{{"friction", l.sliding - loss, "N·m"}, {"η", r.Transmission.Efficiency, ""}}, Source: statics,
		},
		{
			ID: "guide_breakaway_nm", Name: "guide, from rest", Value: l.breakaway, Unit: "N·m", Formula: "the same at break-away: what the guide can hold along with the brake",
			Source: ofTheRig,
		},
		{
			ID: "lifting_nm", Name: "lifting, friction hurts", Value: l.worst + l.sliding, Unit: "N·m", Formula: "load torque + guide, sliding",
			Source: statics,
		},
		{
			ID: "lowering_nm", Name: "lowering, friction helps", Value: l.worst - l.sliding, Unit: "N·m", Formula: "load torque − guide, sliding; below 0 it does not sink by itself",
			Source: statics,
		},
	}
}
