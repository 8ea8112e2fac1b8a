package sizing

import (
	"math"
	"time"
)

// windowFigures are increments and degrees of the motor shaft.
type windowFigures struct {
	increment float64 // deg
	noise     float64 // increments, standard deviation of a sample
	share     float64 // rate of false alarms that a window of one dwell may have
	dwells    int     // in a test
	samples   int     // of a dwell that are compared with the latch

	windUp    float64 // deg, brake and play under the largest press
	afterward float64 // deg, give of the brake after the latch
	quiet     int     // increments that noise and rounding alone do not leave
	allowed   float64 // deg, movement that may go unseen, half a turn at most
	low, high float64 // deg
	highIs    string
	whole     int     // increments that are inside
	value     float64 // deg

	dwell time.Duration
	creep float64 // deg/s, the slowest that is caught for certain
}

// findAlarmShares divides the rate of false alarms a test among its dwells, and in each
// among what can go wrong without a fault: a position that leaves the window, a current
// that dips below the requirement, one that jumps above the ceiling.
func (f *figures) findAlarmShares() {
	w := &f.window
	w.dwells = 1
	if f.params.or("test_up", 1) != 0 {
		w.dwells = 2
	}
	w.share = oneDwell(f.w.FalseAlarm, w.dwells) / 3
	one := w.share / float64(w.samples+1)
	f.press.dipDeviations, f.press.peakDeviations = deviations(one), deviations(one)
}

// oneDwell is the rate a dwell that gives a rate a test: 1 − (1 − p)^(1/n).
func oneDwell(rate float64, n int) float64 { return -math.Expm1(math.Log1p(-rate) / float64(n)) }

// scansOf is how many scans it takes for a time to be over.
func scansOf(d, scan time.Duration) int { return int((d + scan - 1) / scan) }

// findWindow works out the bounds of the window, and puts it as far, by ratio, from one as
// from the other; half an increment on top keeps the rounding of figures out of it.
func (f *figures) findWindow() {
	w := &f.window
	w.increment = 360 / f.rig.Encoder.IncrementsPerTurn
	w.noise = f.rig.Encoder.NoiseDeg / w.increment
	f.findGive()
	w.quiet = AlarmWindow(w.noise, w.samples, w.share)
	w.low = (float64(w.quiet) + math.Ceil(w.afterward/w.increment)) * w.increment
	f.findMost()
	w.whole = int(math.Floor(middle(w.low, w.high) / w.increment))
	w.value = (float64(w.whole) + 0.5) * w.increment
	w.dwell = time.Duration(w.samples) * f.scan()
	w.creep = f.seen() / w.dwell.Seconds()
}

// findMost is the largest window that leaves no more unseen than is allowed. A movement is
// out of a window of n whole increments with the next one, n + 1; so n is one less than the
// whole increments that are allowed. The half on top is below what an encoder tells apart.
func (f *figures) findMost() {
	w := &f.window
	w.allowed, w.highIs = f.degrees(f.w.AllowedMM), "more would leave more unseen than is allowed at the load"
	if w.allowed > 180 {
		w.allowed, w.highIs = 180, "half a turn: beyond it a single turn is ambiguous"
	}
	whole := max(0, math.Floor(w.allowed/w.increment*(1+sameFigure/2))-1) // within what a margin takes for the bound
	w.high = (whole + 0.5) * w.increment
}

// findGive is how far the shaft turns against the closed brake without a slip: τ/σ₀ of
// its spring, and the play that the torque crosses before it reaches the requirement. The
// guide's own spring, which helps, is left out. After the latch the press goes on from the
// requirement to its setpoint, by
//
//	Δτ = k (τ_press − τ_required/g)
//
// with k of strong magnets and g of a current measured too high. It is no bound from above:
// the noise of the current is not in it. A scan with a peak latches early, and the press
// then still rises by as much more as the peak was high.
func (f *figures) findGive() {
	w := &f.window
	stiffness := f.now.BrakeStiffness * math.Pi / 180 // N·m/deg
	w.windUp = f.press.brakeMost/stiffness + f.rig.Brake.PlayDeg
	w.afterward = f.rest() * (1 + f.w.MagnetTolerance) / stiffness
}

// rest is by how much the press still rises after the latch, in N·m as the drive knows it,
// without the noise that latches early.
func (f *figures) rest() float64 {
	p := &f.press
	return max(p.up-p.requiredUp/(1+f.w.CurrentTolerance), p.down-p.requiredDown/(1+f.w.CurrentTolerance))
}

// degrees of the motor for a way of the load in mm, or for a speed.
func (f *figures) degrees(mm float64) float64 { return mm / f.now.MMPerRad * 180 / math.Pi }

// millimetres is the other way round.
func (f *figures) millimetres(deg float64) float64 { return deg * math.Pi / 180 * f.now.MMPerRad }

// seen is the movement in deg that is out of the window wherever it begins.
func (f *figures) seen() float64 { return float64(f.window.whole+1) * f.window.increment }

// lengthen makes the dwell as long as the creep that is wished for needs, and says whether
// that is more than it was. A longer dwell has more samples, which want a wider window.
func (f *figures) lengthen() bool {
	if f.w.CreepMMS == 0 {
		return false
	}
	need := f.seen() / (f.degrees(f.w.CreepMMS) * f.scan().Seconds())
	most := float64(longestDwell / f.scan())
	samples := int(math.Ceil(min(need, most)))
	if samples <= f.window.samples {
		return false
	}
	f.window.samples = samples
	return true
}
