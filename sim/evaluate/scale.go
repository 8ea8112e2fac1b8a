package evaluate

import (
	"fmt"
	"math"
)

// The bounds of what the scales of position and time may differ by, from the axis of the rig.
const (
	speedFactor   = 1.5 // by which a travel may be faster than that of the drive
	inertiaFactor = 1.8 // by which the inertia that the travel shows may differ
	timesFactor   = 2   // by which the brake may be slower, in both directions
)

// wrongScale is why the position or the time of the recording contradicts the axis of the rig: with another scale of the
// position the movement in the window is as wrong, and with another one of the time the dwell is.
func (in *inputs) wrongScale(e *Evaluation, w *watched) []string {
	return append(in.wrongMotion(w), in.slowBrake(e)...)
}

// slowBrake finds a brake that closes and opens more slowly than that of the rig, both: a brake that ages does not become
// slower in both directions, and a time of another unit shows it so.
func (in *inputs) slowBrake(e *Evaluation) []string {
	b, f := &in.rig.Brake, &e.Figures
	if f.ClosingS == nil || f.OpeningS == nil {
		return nil
	}
	closing, opening := (b.ResponseDelay + b.RiseTime).Seconds(), max(b.ReleaseDelay, b.ReleaseTime).Seconds()
	scan := in.rig.Clock.SafetyScan.Seconds()
	if *f.ClosingS < float64(timesFactor*closing)+scan || *f.OpeningS < float64(timesFactor*opening)+scan {
		return nil
	}
	return []string{fmt.Sprintf("The brake closes in %.3g s and opens in %.3g s, and that of the rig in %.3g s and %.3g s: the unit or the scale of the time, or the times of the brake in the rig, are wrong, and with the time the dwell.", *f.ClosingS, *f.OpeningS, closing, opening)}
}

// wrongMotion compares the travel with the open brake with the speed of the drive and with the inertia of the rig.
func (in *inputs) wrongMotion(w *watched) []string {
	m, rig := w.motion(), in.rig
	if limit := rig.Drive.SpeedMMS; m.fastest > speedFactor*limit {
		return []string{fmt.Sprintf("The axis travels at %.3g mm/s, and that of the rig at %.3g mm/s: the unit or the scale of the position or of the time, or drive.speed_mm_s, is wrong, and with it the movement or the dwell.", m.fastest, limit)}
	}
	inertia, known := m.inertia()
	ratio := inertia / in.derived.InertiaKGM2
	coupled := inertia / (in.derived.InertiaKGM2 + rig.Partner.InertiaKGM2) // with the partner, where there is one
	if !known || coupled < inertiaFactor && ratio*inertiaFactor > 1 {
		return nil
	}
	return []string{fmt.Sprintf("By torque and acceleration in travel the axis has an inertia of %.3g kg·m² at the motor shaft, and that of the rig is %.3g kg·m²: the position is likely %.2g times, or the time %.2g times what it should be, or the masses of the rig are wrong. With the scale of the position the movement is wrong, and with the scale of the time the dwell.", inertia, in.derived.InertiaKGM2, 1/ratio, math.Sqrt(ratio))}
}

// motion is what the travel with the open brake shows of speed and inertia. With the torque T less the load torque and the
// sliding friction, an inertia J and an acceleration α of the motor shaft,
//
//	T − T_load − T_f·sgn(ω) = T_0 + J·α
//
// is fitted by least squares; T_0 is what is not known of load and friction. Source: Newton's second law with Coulomb
// friction, and linear regression.
type motion struct {
	fastest         float64 // mm/s, of the load
	unsureNM        float64 // that a torque in travel must exceed to tell something
	n               float64
	a, y            float64 // sums: rad/s², N·m
	aa, ay, yy      float64
	greatest        float64 // rad/s²
	restsBehind     int     // windows at rest since the newest travel
	fastWindows     int
	standstill      float64 // mm/s
	speedLimitMMS   float64
	mmPerRad        float64
	slidingUpDownNM [2]float64
}

// sample is one of the position, with the torque at its time.
type sample struct{ t, mm, torque float64 }

// motion goes over the samples of the position for which the brake is open.
func (w *watched) motion() *motion {
	in := w.in
	m := &motion{
		unsureNM: in.derived.GuideBreakawayNM, standstill: w.standstillMMS(), speedLimitMMS: speedFactor * in.rig.Drive.SpeedMMS,
		mmPerRad: in.derived.MMPerRad, slidingUpDownNM: [2]float64{in.derived.GuideSlidingNM, in.derived.GuideLoweringNM},
	}
	const least, seconds = 5, 0.02 // half of a window: samples, and s
	half := max(least, int(math.Ceil(seconds/max(in.mm.typicalStep(), 1e-6))))
	torque, closed, closed2, command := reader{of: w.tracks.torque}, reader{of: in.closed}, reader{of: in.closed2}, reader{of: w.tracks.command}
	support := &in.rig.Support
	var list []sample
	for t, mm := range in.mm.samples() {
		s := sample{t: t, mm: mm}
		s.torque, _ = torque.at(t)
		a, _ := closed.at(t)
		b, _ := closed2.at(t)
		c, _ := command.at(t)
		supported := support.StiffnessNPerMM > 0 && mm <= support.AtMM
		if is(a) || is(b) || is(c) || supported || math.IsNaN(a) || math.IsNaN(s.torque) {
			list = list[:0]
			continue
		}
		if list = append(list, s); len(list) == 2*half+1 {
			m.window(in, list)
			list = append(list[:0], list[half:]...)
		}
	}
	return m
}

// window takes one stretch of an odd number of samples.
func (m *motion) window(in *inputs, list []sample) {
	half := len(list) / 2
	first, middle, last := &list[0], &list[half], &list[len(list)-1]
	const uneven = 2
	before, after := middle.t-first.t, last.t-middle.t
	if before > uneven*after || after > uneven*before {
		return // a gap
	}
	earlier, later := (middle.mm-first.mm)/before, (last.mm-middle.mm)/after
	speed := (last.mm - first.mm) / (last.t - first.t)
	m.speed(math.Abs(speed))
	if math.Abs(speed) <= m.standstill {
		const rests = 10
		if m.restsBehind++; m.restsBehind > rests {
			return
		}
	} else {
		m.restsBehind = 0
	}
	y := -in.loadNM(middle.mm)
	switch {
	case speed > m.standstill:
		y -= m.slidingUpDownNM[0]
	case speed < -m.standstill:
		y += m.slidingUpDownNM[1]
	}
	sum := 0.0
	for i := range list { // weighted as the difference of two mean speeds weighs the acceleration: a triangle
		weight := float64(half + 1 - max(i-half, half-i))
		sum += float64(weight * list[i].torque)
	}
	y += sum / float64((half+1)*(half+1))
	m.add((later-earlier)/((last.t-first.t)/2)/m.mmPerRad, y)
}

// speed keeps a speed that more than two windows have.
func (m *motion) speed(mmPerS float64) {
	const few = 3
	if mmPerS > m.speedLimitMMS {
		m.fastWindows++
	}
	if mmPerS <= m.speedLimitMMS || m.fastWindows >= few {
		m.fastest = max(m.fastest, mmPerS)
	}
}

func (m *motion) add(a, y float64) {
	m.n, m.a, m.y = m.n+1, m.a+a, m.y+y
	m.aa, m.ay, m.yy = m.aa+float64(a*a), m.ay+float64(a*y), m.yy+float64(y*y)
	m.greatest = max(m.greatest, math.Abs(a))
}

// inertia is that of the fit in kg·m², and whether torque and acceleration are related closely enough to know it: by more
// torque than friction leaves open.
func (m *motion) inertia() (kgm2 float64, known bool) {
	const (
		fewestWindows = 8
		correlated    = 0.9
	)
	aa, ay, yy := m.aa-m.a*m.a/m.n, m.ay-m.a*m.y/m.n, m.yy-m.y*m.y/m.n
	if m.n < fewestWindows || aa <= 0 || yy <= 0 || ay/math.Sqrt(aa*yy) < correlated {
		return 0, false
	}
	kgm2 = ay / aa
	return kgm2, kgm2*m.greatest > m.unsureNM
}
