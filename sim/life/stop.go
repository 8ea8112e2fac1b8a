package life

import (
	"math"
	"sync"
	"time"

	"holdbench/plant"
)

// Stopping is a stop of the axis at the full speed of the drive.
type Stopping struct {
	Lowering     bool
	PowerFailure bool // without the drive; else an emergency stop
}

// StopResult is the outcome of a stop.
type StopResult struct {
	WorkJ       float64
	SecondWorkJ float64 // of a second brake
	DistanceMM  float64 // until standstill, or until the end of the run
	SlipDeg     float64
	Held        bool // the axis is at rest within the travel, on the brakes alone
}

// A stop that the brake can hold is over within stopTime after the end of the torque; the axis is at
// rest once nothing has moved for restTime.
const (
	stopTime = 2 * time.Second
	restTime = 50 * time.Millisecond
)

// run stops an axis that moves at its full speed in the middle of its travel with its most payload. An
// emergency stop is that of the safety side: SS1 with a time, in which the drive brings the axis to
// rest and the brakes close, then STO. At a power failure drive torque is gone at once, and the brakes,
// of two both, absorb while lowering
//
//	W = ½ J ω² + τ_L φ
//
// less the friction work of the guide, over the angle φ. Source: energy balance.
func (s Stopping) run(r plant.Rig, b Brake) StopResult {
	b.in(&r)
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = 0, 0
	r.Load.PayloadKG = max(r.Load.PayloadKG, r.Load.PayloadMostKG)
	r.Load.StartMM = (r.Stops.LowMM + r.Stops.HighMM) / 2
	r.Support.Removed = r.Support.Removed || r.Support.AtMM > r.Load.StartMM
	r.Load.StartSpeedMMS = r.Drive.SpeedMMS
	if s.Lowering {
		r.Load.StartSpeedMMS = -r.Drive.SpeedMMS
	}
	p := plant.New(r, 1)
	if !s.PowerFailure {
		safeStop(p, &r)
	}
	rests := comesToRest(p, &r)
	state := p.State()
	second := 0.0
	if b := p.Brake2State(); b != nil {
		second = b.SlipWorkJ
	}
	return StopResult{
		WorkJ: state.SlipWorkJ, SecondWorkJ: second, SlipDeg: state.SlipRad * 180 / math.Pi,
		DistanceMM: math.Abs(p.LoadMM() - r.Load.StartMM),
		Held:       rests && p.LoadMM() > r.Stops.LowMM && p.LoadMM() < r.Stops.HighMM,
	}
}

// safeStop runs the plant from the demand of a stop to STO, as the safety side commands it.
func safeStop(p *plant.Plant, r *plant.Rig) {
	hold := plant.Command{Mode: plant.Hold}
	for t := time.Duration(0); t < r.Safety.StopTime; t += r.Clock.Tick {
		if t >= r.Safety.StopTime-r.Safety.BrakeTime {
			hold.CloseBrakes()
		}
		p.Observe()
		p.StepBy(&hold)
	}
}

// comesToRest runs the plant without torque until the axis is at rest on its brakes, and is false if
// that takes too long.
func comesToRest(p *plant.Plant, r *plant.Rig) bool {
	off := plant.Command{Mode: plant.Off, CloseBrake: true, CloseBrake2: true}
	slow := 1e-3 * r.Drive.SpeedMMS / plant.Derive(r).MMPerRad
	rested, slip := time.Duration(0), p.State().SlipRad
	for t := time.Duration(0); t < stopTime; t += r.Clock.Tick {
		p.Observe()
		p.StepBy(&off)
		s := p.State()
		if s.Engagement > 0 && s.SlipRad == slip && math.Abs(s.SpeedRadS) < slow {
			rested += r.Clock.Tick
		} else {
			rested = 0
		}
		if rested >= restTime {
			return true
		}
		slip = s.SlipRad
	}
	return false
}

// StopCache makes stops. Stops of brakes that are equal to a thousandth of the torque,
// a micrometre and a kelvin are the same stop, which is simulated once.
type StopCache struct {
	rig  plant.Rig
	done sync.Map // of stopKey to StopResult; a pure function, so that the order does not matter
}

type stopKey struct {
	first, second liningKey
	Stopping
}

type liningKey struct{ condition, gap, glaze, temp int }

func keyOf(l Lining) liningKey {
	return liningKey{thousandths(l.Condition), thousandths(l.GapMM), thousandths(l.Glaze), int(math.Round(l.TempC))}
}

func (k liningKey) lining() Lining {
	return Lining{Condition: float64(k.condition) / 1000, GapMM: float64(k.gap) / 1000, Glaze: float64(k.glaze) / 1000, TempC: float64(k.temp)}
}

// NewStopCache makes the stops of a rig.
func NewStopCache(r *plant.Rig) *StopCache { return &StopCache{rig: *r} }

// Stop stops the axis with a brake.
func (s *StopCache) Stop(b Brake, how Stopping) StopResult {
	k := stopKey{first: keyOf(b.Lining), Stopping: how}
	if s.rig.Brake2.Exists() {
		k.second = keyOf(b.Second)
	}
	if h, ok := s.done.Load(k); ok {
		return h.(StopResult) //nolint:forcetypeassert // nothing else is kept
	}
	h := how.run(s.rig, Brake{k.first.lining(), k.second.lining()})
	s.done.Store(k, h)
	return h
}

func thousandths(x float64) int { return int(math.Round(x * 1000)) }
