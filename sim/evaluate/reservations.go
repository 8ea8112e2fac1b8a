package evaluate

import (
	"fmt"
	"math"

	"holdbench/plant"
	"holdbench/plant/sizing"
	"holdbench/sim/safety"
)

// The choices of when a proof is not to be relied on.
const (
	belowSized    = 0.01 // share by which a recorded requirement may be weaker than the sized one
	coarseShare   = 0.5  // of the window, in which a position may be recorded
	leastWindUp   = 2    // increments that the press must wind the shaft up by, for its absence to say something
	windUpFactor  = 8    // by which the wind-up may differ from that of the rig
	fewestInDwell = 5    // samples of position and of current, in which a movement and a lack of torque are to be seen
)

// reservations are the reasons why a proof by this recording is not to be relied on, though the rules of the judge are
// met: a requirement that is too weak, a position that could not have shown a brake that slips, and samples between which it
// could have slipped.
func (in *inputs) reservations(e *Evaluation, w *watched) []string {
	list := []string{}
	if e.Verdict != Proven {
		return list
	}
	list = append(list, in.weakRequirement(e)...)
	list = append(list, in.blindPosition(e)...)
	list = append(list, in.wrongScale(e, w)...)
	return append(list, in.sparse(e)...)
}

// sparse finds passed checks in which position or current were recorded too seldom: what happens between two samples is seen
// by the judge of the machine in each of its scans, and by this one not at all. It holds for whatever gap the options accept.
func (in *inputs) sparse(e *Evaluation) []string {
	longest := float64(defaultGapScans * in.rig.Clock.SafetyScan.Seconds())
	var list []string
	for _, of := range []struct {
		what  string
		track *track
	}{{"position", in.mm}, {"current", in.current}} {
		for i := range e.Checks {
			c := &e.Checks[i]
			if c.Outcome != Passed || c.Time.ReachedS == nil {
				continue
			}
			oldest, n := of.track.density(c.FromS+*c.Time.ReachedS, c.ToS)
			if oldest <= longest+sameTime && n >= fewestInDwell {
				continue
			}
			list = append(list, fmt.Sprintf("The %s has %s in the %.3g s for which the requirement was met in the check %s, the oldest %.3g s old; must be %d at least, and none older than %.3g s: what the brake did between them is not seen.", of.what, samplesText(n), c.ToS-c.FromS-*c.Time.ReachedS, c.Direction, oldest, fewestInDwell, longest))
		}
	}
	return list
}

func samplesText(n int) string {
	if n == 1 {
		return "1 sample"
	}
	return fmt.Sprintf("%d samples", n)
}

// weakRequirement compares what was sent as required with the requirement by the sizing of the rig.
func (in *inputs) weakRequirement(e *Evaluation) []string {
	if in.requirement != RequirementRecorded {
		return nil
	}
	w := sizing.DefaultAssumptions(in.rig, nil)
	w.TestPositionMM = in.closedAtMM()
	s, err := sizing.Compute(in.rig, nil, w)
	if err != nil {
		return []string{fmt.Sprintf("The required current that was sent is compared with no other, as the rig cannot be sized (%v).", err)}
	}
	var list []string
	for _, of := range []struct {
		direction string
		line      string
		sign      float64 // of a stronger requirement
	}{{safety.Down.String(), "required_down_a", -1}, {safety.Up.String(), "required_up_a", 1}} {
		line, ok := s.Line(of.line)
		if !ok {
			continue
		}
		sized := line.Value
		if in.rig.Judge.CurrentAs == plant.CurrentRMS {
			sized /= math.Sqrt2
		}
		for i := range e.Checks {
			c := &e.Checks[i]
			if c.Direction != of.direction || c.Outcome != Passed || c.Torque == nil {
				continue
			}
			if of.sign*(sized-c.Torque.Required) > belowSized*math.Abs(sized) {
				list = append(list, fmt.Sprintf("The sequence required %.4g A in the check %s, weaker than the %.4g A by holdbench size for this rig: a proof of too little.", c.Torque.Required, of.direction, sized))
				break
			}
		}
	}
	return list
}

// blindPosition is why the recorded position could not have shown a movement.
func (in *inputs) blindPosition(e *Evaluation) []string {
	step := in.mm.step()
	if math.IsInf(step, 1) {
		return []string{"The position is the same in all samples: a signal that stands still is not distinguished from a brake that holds."}
	}
	var list []string
	window := in.rig.Judge.WindowDeg
	if deg := step / in.derived.MMPerRad * 180 / math.Pi; deg > coarseShare*window {
		list = append(list, fmt.Sprintf("The position is recorded in steps of %.3g deg of the motor shaft, and the window is %.3g deg: a movement out of it need not be seen.", deg, window))
	}
	return append(list, in.implausibleWindUp(e)...)
}

// implausibleWindUp compares the wind-up under the press with that of the brake of the rig: a position in another unit
// shows another one, and the movement in the window is as wrong.
func (in *inputs) implausibleWindUp(e *Evaluation) []string {
	b := &in.rig.Brake
	if b.StaticNM == 0 {
		return nil
	}
	rigs := b.WindUpDeg / b.StaticNM
	incDeg := 360 / in.rig.Encoder.IncrementsPerTurn
	var list []string
	for _, of := range []struct {
		direction string
		measured  *float64
	}{{safety.Down.String(), e.Figures.WindUpDown}, {safety.Up.String(), e.Figures.WindUpUp}} {
		if of.measured == nil {
			continue
		}
		way := in.pressWayNM(e, of.direction)
		if rigs*way < leastWindUp*incDeg {
			continue
		}
		if measured := *of.measured; measured*windUpFactor < rigs || measured > windUpFactor*rigs {
			list = append(list, fmt.Sprintf("The shaft winds up by %.2g deg/(N·m) in the press %s, and the brake of the rig by %.2g deg/(N·m): the unit or the scale of the position, or brake.wind_up_deg, is wrong, and with it the movement.", measured, of.direction, rigs))
		}
	}
	return list
}

// pressWayNM is the torque from that which carries the load to the press of the passed check in a direction.
func (in *inputs) pressWayNM(e *Evaluation, direction string) float64 {
	_, mm := in.mm.first()
	for i := range e.Checks {
		if c := &e.Checks[i]; c.Direction == direction && c.Torque != nil {
			return math.Abs(c.Torque.LowestNM - in.loadNM(mm))
		}
	}
	return 0
}

// step is the smallest difference between two samples that follow each other and differ; infinite if none do.
func (t *track) step() float64 {
	least, before := math.Inf(1), math.NaN()
	for _, x := range t.samples() {
		if d := math.Abs(x - before); d > 0 {
			least = min(least, d)
		}
		before = x
	}
	return least
}
