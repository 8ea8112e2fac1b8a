package showcmd

import (
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/plant"
	"holdbench/scenarios"
)

// derivedFigure is one figure that follows from a rig.
type derivedFigure struct {
	name, unit string
	formula    string
	meaning    string
	value      func(d *plant.Derived) float64
}

// derivedFigures is the table of figures, by theme. p is the feed constant, n the motor turns per
// turn of the screw or pinion, η the efficiency, k_t the torque constant per ampere rms, J an
// inertia at the motor shaft.
func derivedFigures() []derivedFigure {
	return append(append(loadFigures(), testFigures()...), elasticFigures()...)
}

// figuresOf are the figures without those of a second brake or a support that the rig lacks, which
// are 0.
func figuresOf(d *plant.Derived) []derivedFigure {
	return slices.DeleteFunc(derivedFigures(), func(f derivedFigure) bool {
		optional := strings.HasSuffix(f.name, "of brake 2") || strings.HasSuffix(f.name, "of the support")
		return optional && f.value(d) == 0
	})
}

func loadFigures() []derivedFigure {
	return append(append([]derivedFigure{
		{"travel per radian", "mm/rad", "p/(2π n); r/n on an arm", "travel of the load for one radian of the motor", func(d *plant.Derived) float64 { return d.MMPerRad }},
		{"load torque", "N·m", "|(m sin α − m_counter) g − F| p/(2π n); |m g cos φ − F| r/n on an arm", "torque of the resting load at the motor shaft with its present payload, without friction; the maximum between the stops", func(d *plant.Derived) float64 { return d.LoadTorqueNM }},
		{"worst load torque", "N·m", "the same with the least or the most payload", "the greater of the two; what the brake must be tested for", func(d *plant.Derived) float64 { return d.WorstLoadTorqueNM }},
		{"load torque at the start", "N·m", "the same at load.start_mm with the present payload", "on an arm it differs from the maximum", func(d *plant.Derived) float64 { return d.StartLoadTorqueNM }},
	}, frictionFigures()...), motionFigures()...)
}

// frictionFigures are the losses of guide and transmission.
func frictionFigures() []derivedFigure {
	return []derivedFigure{
		{"loss, against the load", "N·m", "load torque (1/η − 1)", "additional torque for lifting, modelled as friction of the guide", func(d *plant.Derived) float64 { return d.TransmissionLossNM }},
		{"loss, with the load", "N·m", "load torque (1 − η_lowering); without η_lowering the same", "what the transmission takes when the load drives it", func(d *plant.Derived) float64 { return d.LoweringLossNM }},
		{"guide, sliding", "N·m", "guide.sliding_nm + loss, against the load", "friction of the moving axis, with the loss of the transmission", func(d *plant.Derived) float64 { return d.GuideSlidingNM }},
		{"guide, lowering", "N·m", "guide.sliding_nm + loss, with the load", "the same when the load drives the axis", func(d *plant.Derived) float64 { return d.GuideLoweringNM }},
		{"guide, breakaway", "N·m", "guide.breakaway_nm + the larger loss", "breakaway friction of the guide; it contributes to a weak brake", func(d *plant.Derived) float64 { return d.GuideBreakawayNM }},
		{"lifting torque", "N·m", "load torque + guide, sliding", "motor torque that raises the load slowly", func(d *plant.Derived) float64 { return d.LiftingTorqueNM }},
		{"lowering torque", "N·m", "load torque − guide, lowering", "motor torque that lowers the load slowly", func(d *plant.Derived) float64 { return d.LoweringTorqueNM }},
	}
}

// motionFigures are inertia and fall of the load, and what carries it.
func motionFigures() []derivedFigure {
	return []derivedFigure{
		{"inertia of the load", "kg·m²", "(m + m_counter) (p/(2π n))² + J_e/n²; m r²/n² + J_e/n² on an arm", "load, payload and counterbalance by mass at the motor shaft", func(d *plant.Derived) float64 { return d.LoadInertiaKGM2 }},
		{"inertia", "kg·m²", "motor.inertia_kg_m2 + inertia of the load", "total inertia at the motor shaft", func(d *plant.Derived) float64 { return d.InertiaKGM2 }},
		{"free fall", "m/s²", "load torque / inertia · p/(2π n)", "acceleration of the load without brake and drive", func(d *plant.Derived) float64 { return d.FreeFallMS2 }},
		{"holding current, rms", "A rms", "load torque / k_t", "current that carries the load", func(d *plant.Derived) float64 { return d.HoldingCurrentRMSA }},
		{"holding current, amplitude", "A", "√2 · holding current, rms", "the same as amplitude, as the judge measures it", func(d *plant.Derived) float64 { return d.HoldingCurrentAmpA }},
		{"torque limit of the drive", "N·m", "drive.current_limit_rms_a · k_t", "maximum torque of the motor", func(d *plant.Derived) float64 { return d.DriveTorqueLimitNM }},
	}
}

func testFigures() []derivedFigure {
	return []derivedFigure{
		{"required test torque", "N·m", "test.factor · worst load torque", "minimum static torque of the brake", func(d *plant.Derived) float64 { return d.RequiredTestNM }},
		{"capacity of the brake", "N·m", "brake.static_nm · κ · closes_to · creep share", "torque that the brake holds; κ is condition, heat, glaze and air gap together, and the creep share is 1 unless the lining lowers the load by the drop limit within the hold time", func(d *plant.Derived) float64 { return d.BrakeCapacityNM }},
		{"capacity of brake 2", "N·m", "brake_2.static_nm · κ · closes_to, over n behind the gear", "the same of the second brake, at the motor shaft", func(d *plant.Derived) float64 { return d.Brake2CapacityNM }},
		{"press down", "N·m", "−(required test torque − load torque)", "motor torque downwards that loads the brake with the test torque; the load adds to it", func(d *plant.Derived) float64 { return d.PressDownNM }},
		{"press up", "N·m", "required test torque + load torque", "motor torque upwards that loads the brake with the test torque; the load opposes it", func(d *plant.Derived) float64 { return d.PressUpNM }},
		{"required current, down", "A", "√2 · press down / k_t", "current amplitude that the judge requires when pressing down; negative is down", func(d *plant.Derived) float64 { return d.RequiredDownAmpA }},
		{"required current, up", "A", "√2 · press up / k_t", "current amplitude that the judge requires when pressing up", func(d *plant.Derived) float64 { return d.RequiredUpAmpA }},
		{"increment", "deg", "360 / encoder.increments_per_turn", "resolution of the position; the window must be several increments", func(d *plant.Derived) float64 { return d.IncrementDeg }},
	}
}

func elasticFigures() []derivedFigure {
	return []derivedFigure{
		{"stiffness of the brake", "N·m/rad", "brake.static_nm / wind-up", "of the closed brake before it slips", func(d *plant.Derived) float64 { return d.BrakeStiffness }},
		{"damping of the brake", "N·m·s/rad", "2 ζ √(stiffness · J)", "of its oscillation", func(d *plant.Derived) float64 { return d.BrakeDamping }},
		{"stiffness of brake 2", "N·m/rad", "brake_2.static_nm / wind-up, over n² behind the gear", "the same of the second brake, at the motor shaft", func(d *plant.Derived) float64 { return d.Brake2Stiffness }},
		{"damping of brake 2", "N·m·s/rad", "2 ζ √(stiffness · J)", "of its oscillation", func(d *plant.Derived) float64 { return d.Brake2Damping }},
		{"stiffness of the guide", "N·m/rad", "guide, breakaway / wind-up", "of the guide before it slides", func(d *plant.Derived) float64 { return d.GuideStiffness }},
		{"damping of the guide", "N·m·s/rad", "2 ζ √(stiffness · J)", "of its oscillation", func(d *plant.Derived) float64 { return d.GuideDamping }},
		{"stiffness of a stop", "N·m/rad", "stops.stiffness_n_per_mm · (p/(2π n))²", "of a hard stop, at the motor shaft", func(d *plant.Derived) float64 { return d.StopStiffness }},
		{"damping of a stop", "N·m·s/rad", "2 ζ √(stiffness · J)", "of a hard stop, at the motor shaft", func(d *plant.Derived) float64 { return d.StopDamping }},
		{"stiffness of the support", "N·m/rad", "support.stiffness_n_per_mm · (p/(2π n))²", "of the support, at the motor shaft", func(d *plant.Derived) float64 { return d.SupportStiffness }},
		{"damping of the support", "N·m·s/rad", "2 ζ √(stiffness · J)", "of the support, at the motor shaft", func(d *plant.Derived) float64 { return d.SupportDamping }},
		{"gain of the speed loop", "N·m·s/rad", "2π · drive.speed_bandwidth_hz · inertia", "torque per speed error", func(d *plant.Derived) float64 { return d.SpeedGain }},
	}
}

// derivedText is the page of the figures, each with its formula and its meaning, and of the
// defaults. Formulas are below the figures unless all of them fit beside them.
func derivedText(s *page.Screen, rig *plant.Rig, review *scenarios.Review) string {
	d := plant.Derive(rig)
	const nameWidth, valueWidth, unitWidth = 27, 10, 11
	behind, figures := true, figuresOf(&d)
	for _, f := range figures {
		behind = behind && nameWidth+valueWidth+1+unitWidth+2+page.Cells(f.formula) <= s.Width
	}
	var b strings.Builder
	for _, f := range figures {
		head := page.Pad(f.name, nameWidth) + page.PadLeft(page.Figure(f.value(&d)), valueWidth) + " " + page.Pad(f.unit, unitWidth)
		formula := "= " + f.formula
		if !behind {
			head, formula = strings.TrimRight(head, " ")+"\n", "    "+formula
		}
		b.WriteString(s.Plain(head+formula) + "\n")
		for _, line := range page.Wrap(f.meaning, s.Width-4) {
			b.WriteString("    " + s.Style.Faint.Render(s.Plain(line)) + "\n")
		}
	}
	b.WriteString("\n" + s.Plain(page.Paragraph(derivedSymbols, "", s.Width)))
	b.WriteString("\n" + defaultsText(s, rig, review.Defaults))
	return b.String()
}

// derivedSymbols explains the symbols of the formulas.
const derivedSymbols = `m mass with payload and m_counter counterbalance, F force of a counterbalance by
spring or gas, J_e further inertia of the load, α incline, g acceleration of free fall, p feed
constant (travel per turn) and n motor turns per turn of screw or pinion, η efficiency, k_t torque constant per ampere rms,
ζ damping ratio and J inertia on the spring in question. Torques and inertias are those at the motor
shaft; positive raises the load.`
