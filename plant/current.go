package plant

import (
	"math"

	"holdbench/plant/portable"
)

// currentLoop is the current controller of the drive with its transducer inside the loop: the
// measured current follows the command,
//
//	i_meas = g i + i_0,  di/dt = (i_cmd − i_meas)/τ_i
//
// with i the true torque-forming current in A rms, g the gain and i_0 the offset of the
// transducer, τ_i the time constant of a loop with a correct one. The loop thus settles at
// i = (i_cmd − i_0)/g with the time constant τ_i/g. A frozen reading does not follow (g = 0,
// i_0 the value that it keeps), so that i rises by (i_cmd − i_0)/τ_i without end; a negative
// gain is positive feedback. Both end at ±i_peak, what power stage and supply can deliver.
// With the power stage off no transducer matters, and i decays with τ_i; below 1e-300 A it is 0.
//
// Source: closed loop of an integrating controller with a faulty sensor in its feedback, any
// text on control. Limit: i_peak is a clamp of the current; saturation of the motor, the
// voltage limit at speed and a trip on overcurrent are not modelled. Noise and rounding of
// the measurement do not enter the loop.
type currentLoop struct {
	gain, offset             float64 // of the transducer, offset in A rms
	wrong                    bool    // it does not measure the true current
	step, mean               float64 // see response
	correctStep, correctMean float64 // with a correct transducer, and with the drive off
	peak                     float64 // A rms
	frozen                   bool
	held                     float64 // A rms, reading of a frozen transducer
}

// start determines what holds for a whole run: the peak current, and the reading of a
// transducer that is frozen from the start at a true current.
func (l *currentLoop) start(r *Rig, currentRMSA float64) {
	l.peak = peakCurrentRMSA(r)
	l.held = float64(r.Drive.CurrentGain*currentRMSA) + r.Drive.CurrentOffsetRMSA
	if l.frozen {
		l.offset = l.held
	}
}

// reload recalculates the constants; the reading is the last one before a transducer freezes.
func (l *currentLoop) reload(r *Rig, readingRMSA float64) {
	x := r.Clock.Tick.Seconds() / r.Drive.CurrentLag.Seconds()
	l.gain, l.offset = r.Drive.CurrentGain, r.Drive.CurrentOffsetRMSA
	if r.Drive.CurrentFrozen {
		if !l.frozen {
			l.held = readingRMSA
		}
		l.gain, l.offset = 0, l.held
	}
	l.frozen = r.Drive.CurrentFrozen
	l.step, l.mean = response(x, l.gain)
	l.correctStep, l.correctMean = response(x, 1)
	l.wrong = l.gain != 1 || l.offset != 0
}

// response is by how much the current changes within a tick, at its end and in the mean, for
// a unit deviation i_cmd − i_meas at its beginning. With x = h/τ_i, exactly,
//
//	step = x φ₁(g x),  mean = x φ₂(g x),  φ₁(y) = (1 − e^−y)/y,  φ₂(y) = (1 − φ₁(y))/y
//
// Source: variation of constants.
func response(x, gain float64) (step, mean float64) {
	const (
		small   = 1e-3 // below it two terms of the series are exact to 1e-10
		largest = 600  // e^600 is beyond any peak current, and finite
	)
	y := max(gain*x, -largest)
	if math.Abs(y) < small {
		return x * (1 - float64(y/2) + y*y/6), x * (0.5 - y/6 + y*y/24)
	}
	phi := -portable.Expm1(-y) / y
	return x * phi, x * (1 - phi) / y
}

// measured is the reading of the transducer without noise for a true current.
func (l *currentLoop) measured(currentRMSA float64) float64 {
	return float64(l.gain*currentRMSA) + l.offset
}

// peakCurrentRMSA is the maximum true current of a rig's drive, which delivers its limit at least.
func peakCurrentRMSA(r *Rig) float64 {
	return max(r.Drive.PeakCurrentRMSA, r.Drive.CurrentLimitRMSA)
}

// stepCurrent solves the current loop over the tick and returns the motor's mean torque,
// τ_m = k_t i cos(p Δθ), in N·m; see [fieldAngle] for the cosine. In the tick in which the
// current reaches its peak, the mean is that of the unlimited current, limited.
func (p *Plant) stepCurrent() float64 {
	l := &p.loop
	deviation := p.drive.commandRMSA - p.state.CurrentRMSA
	mean := p.state.CurrentRMSA + float64(l.correctMean*deviation)
	if l.wrong && p.drive.mode != Off {
		mean = l.stepWrong(p)
	} else {
		p.state.CurrentRMSA += float64(l.correctStep * deviation)
	}
	if p.drive.mode == Off && math.Abs(p.state.CurrentRMSA) < noCurrentRMSA {
		p.state.CurrentRMSA = 0
	}
	p.state.MotorTorqueNM = mean * p.c.torqueConstant
	if p.angle.wrong {
		p.state.MotorTorqueNM *= p.angle.cosine(p)
	}
	return p.state.MotorTorqueNM
}

// noCurrentRMSA is the current in A below which one that decays is none. It is far below any that matters,
// and above the denormal numbers, with which a processor is slow.
const noCurrentRMSA = 1e-300

// stepWrong advances the current with a wrong transducer and returns its mean over the tick. A
// correct one keeps it within the command, and needs no clamp.
func (l *currentLoop) stepWrong(p *Plant) (mean float64) {
	i := p.state.CurrentRMSA
	deviation := p.drive.commandRMSA - l.measured(i)
	p.state.CurrentRMSA = clamp(i+float64(l.step*deviation), l.peak)
	return clamp(i+float64(l.mean*deviation), l.peak)
}

// sampleCurrent is the current measured by the drive, i_meas with noise; a frozen value is
// kept.
func (p *Plant) sampleCurrent() float64 {
	s := &p.sensor
	noise := s.current.normal(p.rig.Drive.CurrentNoiseRMSA)
	if !p.loop.frozen {
		s.amps = p.loop.measured(p.state.CurrentRMSA) + noise
	}
	return s.amps
}

// JudgeCurrentRMSA is the current that the judge reads in a tick with a safety scan: that of the
// drive in the reading of this tick, or, measured by a transducer of its own, g i + i_0 with
// noise of its own.
func (p *Plant) JudgeCurrentRMSA(r *Reading) float64 {
	j := &p.rig.Judge
	if j.Transducer != TransducerOwn {
		return r.CurrentRMSA
	}
	noise := p.sensor.judge.normal(j.CurrentNoiseRMSA)
	return float64(j.CurrentGain*p.state.CurrentRMSA) + j.CurrentOffsetRMSA + noise
}
