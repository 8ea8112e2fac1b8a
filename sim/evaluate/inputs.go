package evaluate

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/safety"
)

// Input says what an input of the judge was read from.
type Input struct {
	Input string `json:"input"` // position, current, brake_closed, brake_2_closed, ask, required_current_a
	From  string `json:"from"`  // signals of the recording
	How   string `json:"how"`   // by which values of the rig, or what was assumed
}

// inputs are the signals of a recording as the judge reads them.
type inputs struct {
	rig     *plant.Rig
	derived plant.Derived

	mm       *track // position of the load
	position *track // the same in increments over several turns, from its first sample
	current  *track // A, amplitude
	closed   *track
	closed2  *track // nil without a second brake
	down, up *track // the ask, as sent; nil: assumed
	required *track // A; nil: assumed
	ack      *track // of a failure; nil: assumed

	failedBefore bool // a failure stood at the start

	requirement  string  // where the requirement is from
	assumedDownA float64 // A, amplitude, where nobody sent what is required
	assumedUpA   float64

	list    []Input
	assumed []string
}

// readInputs finds the inputs of the judge, or names all that is missing.
func readInputs(rig *plant.Rig, r *recording.Recording) (*inputs, error) {
	in := &inputs{rig: rig, derived: plant.Derive(rig), assumed: []string{}, requirement: RequirementOwned}
	in.assumedDownA, in.assumedUpA = in.derived.RequiredDownAmpA, in.derived.RequiredUpAmpA
	err := errors.Join(in.readPosition(r), in.readCurrent(r), in.readBrakes(r), in.readAsk(r))
	if err != nil {
		return nil, err
	}
	in.readRequired(r)
	in.readFailure(r)
	return in, nil
}

func (in *inputs) use(input, from, how string) { in.list = append(in.list, Input{input, from, how}) }

func (in *inputs) assume(format string, values ...any) {
	in.assumed = append(in.assumed, fmt.Sprintf(format, values...))
}

// readPosition turns a position into increments of the encoder: with p increments a turn, s mm a rad of the
// shaft and n the gear ratio of an arm of the radius r,
//
//	x p/(2π s)    φ n p/360°    θ p/(2π)
//
// of a position x of the load, an angle φ of the arm and an angle θ of the shaft.
func (in *inputs) readPosition(r *recording.Recording) error {
	l := &in.rig.Load
	perMM := in.rig.Encoder.IncrementsPerTurn / (2 * math.Pi * in.derived.MMPerRad)
	how := fmt.Sprintf("%.4g mm a turn of the motor, %.6g increments a turn", in.derived.MMPerRad*2*math.Pi, in.rig.Encoder.IncrementsPerTurn)
	in.mm = trackOf(r, "position_mm", 1)
	if in.mm == nil && l.ArmMM > 0 {
		if in.mm = trackOf(r, "position_deg", 1); in.mm != nil {
			how = fmt.Sprintf("gear ratio %.4g, %.6g increments a turn", in.rig.Transmission.GearRatio, in.rig.Encoder.IncrementsPerTurn)
			in.mm = in.mm.changed(func(deg float64) float64 { return (deg - l.ArmAngleDeg) * math.Pi / 180 * l.ArmMM })
		}
	}
	if in.mm == nil {
		in.mm = trackOf(r, "angle_rad", in.derived.MMPerRad)
	}
	switch {
	case in.mm == nil && l.ArmMM > 0:
		return errors.New("no position is recorded, which the window is about; must have position_deg, position_mm, or angle_rad of the motor shaft")
	case in.mm == nil:
		return errors.New("no position is recorded, which the window is about; must have position_mm, or angle_rad of the motor shaft")
	}
	in.use("position", in.mm.name, how)
	in.position = in.mm.counted(perMM)
	return nil
}

// counted is a position in whole increments from its first sample on.
func (t *track) counted(perMM float64) *track {
	_, first := t.first()
	return t.changed(func(x float64) float64 { return math.Round((x - first) * perMM) })
}

// loadNM is the motor torque in N·m that carries the load at a position in mm, by the rig.
func (in *inputs) loadNM(mm float64) float64 { return 0 - plant.LoadTorque(in.rig, mm) }

// readCurrent finds the amplitude of the torque-forming current: with k the torque constant of the motor,
//
//	î = √2 i_rms    î = √2 τ/k
func (in *inputs) readCurrent(r *recording.Recording) error {
	k := in.rig.Motor.TorqueConstant
	sources := []struct {
		name   string
		factor float64
		how    string
	}{
		{"judge_current_amp_a", 1, "amplitude, as the safety side reads it"},
		{"current_amp_a", 1, "amplitude"},
		{"current_rms_a", math.Sqrt2, "rms value times √2"},
		{"torque_nm", math.Sqrt2 / k, fmt.Sprintf("torque times √2, by the torque constant of %.4g N·m/A rms", k)},
		{"torque_motor_nm", math.Sqrt2 / k, fmt.Sprintf("torque of a transducer times √2, by the torque constant of %.4g N·m/A rms", k)},
	}
	names := make([]string, len(sources))
	for i, s := range sources {
		names[i] = s.name
		if in.current = trackOf(r, s.name, s.factor); in.current == nil {
			continue
		}
		in.use("current", s.name, s.how)
		if in.rig.Judge.Transducer == plant.TransducerOwn && s.name != "judge_current_amp_a" {
			in.assume("The judge of the rig has a transducer of its own. %s stands in for its current judge_current_amp_a, which is not recorded; a fault of either transducer is not seen.", s.name)
		}
		return nil
	}
	return errors.New("no current and no torque is recorded, which the judge compares; must have one of " + strings.Join(names, ", "))
}

// readBrakes finds the feedback of the brakes, or makes it of their commands.
func (in *inputs) readBrakes(r *recording.Recording) error {
	var err error
	if in.closed, err = in.readBrake(r, "brake_closed", "brake", &in.rig.Brake); err != nil {
		return err
	}
	if in.rig.Brake2.Exists() {
		in.closed2, err = in.readBrake(r, "brake_2_closed", "brake_2", &in.rig.Brake2.Brake)
	}
	return err
}

// readBrake takes a command for closed the times t11 and t12 after it, as that is when the brake has its
// torque (DIN VDE 0580, from memory), and for open at once.
func (in *inputs) readBrake(r *recording.Recording, feedback, command string, b *plant.Brake) (*track, error) {
	if t := trackOf(r, feedback, 1); t != nil {
		in.use(feedback, feedback, "feedback")
		return t, nil
	}
	commanded := wordTrack(r, command, "closed")
	if commanded == nil {
		return nil, fmt.Errorf("the recording does not say when the brake was closed; must have %s, its feedback, or %s, its command", feedback, command)
	}
	closing := (b.ResponseDelay + b.RiseTime).Seconds()
	in.use(feedback, command, fmt.Sprintf("command, closed %.4g s later", closing))
	in.assume("%s is not recorded. The brake counts as closed t11 + t12 = %.4g s after its command, by the rig: a brake that did not close, or opened by itself, is not seen.", feedback, closing)
	return commanded.delayed(feedback, closing), nil
}

// delayed is a signal that becomes true later by a time, if it is still true then, and false at once.
func (t *track) delayed(name string, by float64) *track {
	d := &track{name: name}
	add := func(at, value float64) {
		d.time, d.recorded = append(d.time, at), append(d.recorded, value)
	}
	rose, before := math.Inf(1), math.NaN()
	for at, value := range t.samples() {
		if rose+by < at-sameTime {
			add(rose+by, 1)
			rose = math.Inf(1)
		}
		switch now := is(value); {
		case math.IsNaN(before):
			add(at, value)
		case now && !is(before):
			rose = at
		case !now:
			rose = math.Inf(1)
			if len(d.time) == 0 || d.recorded[len(d.recorded)-1] != 0 {
				add(at, 0)
			}
		}
		before = value
	}
	if !math.IsInf(rose, 1) {
		add(rose+by, 1)
	}
	return d
}

// readAsk finds the ask, or prepares its assumption, which needs a press that cannot be mistaken for the
// torque that carries the load.
func (in *inputs) readAsk(r *recording.Recording) error {
	in.down, in.up = wordTrack(r, "ask", "down"), wordTrack(r, "ask", "up")
	if in.down != nil {
		how := "as it was sent"
		if n := in.rig.Clock.LinkDelayScans; n > 0 {
			how = fmt.Sprintf("as it was sent; read clock.link_delay_scans = %d safety scans later", n)
		}
		in.use("ask", "ask", how)
		return nil
	}
	in.use("ask", "", "assumed, see below")
	in.assume("ask is not recorded. It is assumed from the moment on at which the closed brake is pressed, in the direction of the press, until the brake opens, the other direction is pressed, or the torque has been back for the time of the dwell: the time to the deadline is counted from there.")
	if in.rig.Judge.RequiredDownNM >= 0 && in.rig.Judge.Kind == plant.JudgeTorque && in.rig.Judge.Directions != plant.DirectionsUp {
		return errors.New("ask is not recorded, and judge.required_down_nm is not negative: a press down cannot be distinguished from carrying the load; must have ask")
	}
	return nil
}

// constant is the judge's torque constant in N·m per A rms.
func (in *inputs) constant() float64 {
	if k := in.rig.Judge.TorqueConstant; k > 0 {
		return k
	}
	return in.rig.Motor.TorqueConstant
}

// perUnitNM is the motor torque in N·m of one unit of what the judge compares: of a torque 1, of a current
// its torque constant for an rms value, and 1/√2 of that for an amplitude.
func (in *inputs) perUnitNM() float64 {
	switch j := &in.rig.Judge; {
	case j.Kind == plant.JudgeTorque:
		return 1
	case j.CurrentAs == plant.CurrentRMS:
		return in.constant()
	}
	return in.constant() / math.Sqrt2
}

// requiredNM is the motor torque in N·m that is required in a direction, for the thresholds of a press.
func (in *inputs) requiredNM(d safety.Directions) float64 {
	j := &in.rig.Judge
	required := in.assumedRequired(d) * in.perUnitNM()
	switch {
	case j.Kind == plant.JudgeTorque && d == safety.Down && j.RequiredDownNM != 0:
		required = j.RequiredDownNM
	case j.Kind == plant.JudgeTorque && d == safety.Up && j.RequiredUpNM != 0:
		required = j.RequiredUpNM
	case j.Kind == plant.JudgeTorque && d == safety.Down:
		required = in.derived.PressDownNM
	case j.Kind == plant.JudgeTorque:
		required = in.derived.PressUpNM
	}
	return required
}

// readFailure finds whether a failure stood before the test.
func (in *inputs) readFailure(r *recording.Recording) {
	if t := trackOf(r, "judge_failed", 1); t != nil {
		_, first := t.first()
		in.failedBefore = is(first)
	}
	in.ack = trackOf(r, "acknowledge", 1)
	if in.ack == nil && in.failedBefore {
		in.assume("The recording begins with a failure that stands, and does not show that it was acknowledged: it is judged as if it had been.")
	}
}
