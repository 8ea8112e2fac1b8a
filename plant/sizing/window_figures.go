package sizing

import (
	"math"
	"time"

	"holdbench/plant"
	"holdbench/plant/portable"
)

// windowFigures are angles of the motor shaft in increments and degrees.
type windowFigures struct {
	increment float64 // deg
	noise     float64 // increments, standard deviation of a sample
	share     float64 // permitted rate of false alarms of the window per dwell
	dwells    int     // per test
	samples   int     // per dwell, each compared with the latched one

	windUp          float64 // deg, of the brake with its play under the larger press
	afterLatch      float64 // deg, deflection of the brake after the latch
	noiseIncrements int     // increments for noise and rounding
	undetected      float64 // deg, permitted undetected movement, at most half a turn
	low, high       float64 // deg
	highReason      string
	whole           int     // increments inside
	value           float64 // deg

	dwell time.Duration
	creep float64 // deg/s, slowest creep that is always detected

	relevantCreep float64       // deg/s under the test torque, the smallest that matters
	creepDwell    time.Duration // in which it leaves the window
}

// findAlarmShares divides the rate of false alarms per test among its dwells, and in each
// among the causes: a position outside the window, a current below the requirement, a current
// above the ceiling.
func (f *figures) findAlarmShares() {
	w := &f.window
	w.dwells = 1
	if f.down && f.up {
		w.dwells = 2
	}
	if f.rig.Brake2.Exists() {
		w.dwells *= 2 // each brake is tested alone
	}
	w.share = oneDwell(f.w.FalseAlarmRate, w.dwells) / 3
	one := w.share / float64(w.samples+1)
	f.press.dipDeviations, f.press.peakDeviations = deviations(one), deviations(one)
}

// oneDwell is the rate per dwell for a rate per test of n dwells: 1 − (1 − p)^(1/n).
func oneDwell(rate float64, n int) float64 {
	return -portable.Expm1(portable.Log1p(-rate) / float64(n))
}

// scansOf is the number of scans until a time has elapsed.
func scansOf(d, scan time.Duration) int { return int((d + scan - 1) / scan) }

// findWindow calculates the bounds of the window and its value, with the same ratio to both
// bounds; an additional half increment makes it independent of the rounding of figures.
func (f *figures) findWindow() {
	w := &f.window
	w.increment = 360 / f.rig.Encoder.IncrementsPerTurn
	w.noise = f.rig.Encoder.NoiseDeg / w.increment
	f.findWindUp()
	w.noiseIncrements = AlarmWindow(w.noise, w.samples, w.share)
	w.low = (float64(w.noiseIncrements) + math.Ceil(w.afterLatch/w.increment)) * w.increment
	f.findUpperBound()
	w.whole = int(math.Floor(middle(w.low, w.high) / w.increment))
	w.value = (float64(w.whole) + 0.5) * w.increment
	w.dwell = time.Duration(w.samples) * f.scan()
	w.creep = f.detectedDeg() / w.dwell.Seconds()
	f.findCreepDwell()
}

// findCreepDwell is the dwell in which the smallest relevant creep leaves the window, in whole
// scans.
func (f *figures) findCreepDwell() {
	w, r := &f.window, *f.rig
	r.Test.Factor = f.w.Factor
	w.relevantCreep = plant.PermittedCreep(&r) * 180 / math.Pi
	w.creepDwell = time.Duration(scansOf(inTime(f.detectedDeg()/w.relevantCreep), f.scan())) * f.scan()
}

// findUpperBound is the largest window with no more than the permitted undetected movement. A
// movement of n + 1 increments leaves a window of n whole increments; n is therefore one less
// than the whole increments of the permitted movement. The additional half increment is below
// the resolution of the encoder.
func (f *figures) findUpperBound() {
	w := &f.window
	w.undetected, w.highReason = f.degrees(f.w.UndetectedMM), "above it the undetected movement exceeds the permitted one"
	if w.undetected > 180 {
		w.undetected, w.highReason = 180, "half a turn of the motor: above it the single turn is ambiguous"
	}
	whole := max(0, math.Floor(w.undetected/w.increment*(1+sameFigure/2))-1) // within the tolerance of a margin
	w.high = (whole + 0.5) * w.increment
}

// findWindUp is the deflection of the shaft against the closed brake without slip: τ/σ₀ of its
// spring plus the play, which is crossed before the torque reaches the requirement. The spring
// of the guide, which reduces it, is neglected. After the latch the press continues from the
// requirement to its setpoint, by
//
//	Δτ = k (τ_press − τ_required/g)
//
// with k for a torque constant above nominal and g for a current measured too high. It is not
// an upper bound, as it does not include the noise of the current: a peak latches early, and
// the press then rises further by the height of the peak.
func (f *figures) findWindUp() {
	w := &f.window
	perRad, play := f.softest()
	stiffness := perRad * math.Pi / 180 // N·m/deg
	w.windUp = f.press.withoutGuide/stiffness + play
	w.afterLatch = f.riseAfterLatch() * (1 + f.w.TorqueConstantTolerance) / stiffness
}

// softest is the stiffness in N·m/rad and the play in degrees of the brake that gives most under the
// press, at the motor shaft.
func (f *figures) softest() (stiffness, playDeg float64) {
	stiffness, playDeg = f.now.BrakeStiffness, f.rig.Brake.PlayDeg
	if b := &f.rig.Brake2; b.Exists() {
		n := f.gearOfBrake2()
		second := b.StaticNM / n / (b.WindUpDeg * n * math.Pi / 180)
		return min(stiffness, second), max(playDeg, b.PlayDeg*n)
	}
	return stiffness, playDeg
}

// riseAfterLatch is the increase of the press torque after the latch in N·m of the nominal
// torque constant, without the noise that causes an early latch.
func (f *figures) riseAfterLatch() float64 {
	p := &f.press
	return max(p.up-p.requiredUp/(1+f.w.CurrentTolerance), p.down-p.requiredDown/(1+f.w.CurrentTolerance))
}

// degrees of the motor for a movement of the load in mm; also for speeds.
func (f *figures) degrees(mm float64) float64 { return mm / f.now.MMPerRad * 180 / math.Pi }

// millimetres is the inverse of degrees.
func (f *figures) millimetres(deg float64) float64 { return deg * math.Pi / 180 * f.now.MMPerRad }

// detectedDeg is the smallest movement in deg that always leaves the window.
func (f *figures) detectedDeg() float64 { return float64(f.window.whole+1) * f.window.increment }

// extendDwell extends the dwell so that the specified creep is detected, and reports whether it
// has changed. A longer dwell has more samples, which require a wider window.
func (f *figures) extendDwell() bool {
	if f.w.CreepMMS == 0 {
		return false
	}
	needed := f.detectedDeg() / (f.degrees(f.w.CreepMMS) * f.scan().Seconds())
	limit := float64(longestDwell / f.scan())
	samples := int(math.Ceil(min(needed, limit)))
	if samples <= f.window.samples {
		return false
	}
	f.window.samples = samples
	return true
}
