package life

import (
	"math"
	"sync"
	"time"

	"holdbench/plant"
)

// StopResult is the outcome of an emergency stop.
type StopResult struct {
	WorkJ       float64
	SecondWorkJ float64 // of a second brake
	DistanceMM  float64 // until standstill, or until the end of the run
	SlipDeg     float64
	Held        bool // the brake brought the axis to rest within the travel
}

// A stop that the brake can hold is over within stopTime; the axis is at rest once nothing has
// moved for restTime.
const (
	stopTime = 2 * time.Second
	restTime = 50 * time.Millisecond
)

// emergencyStop switches off the drive of an axis that moves at its full speed in the middle of
// its travel with its most payload, and closes the brake, of two both. Lowering, they absorb
//
//	W = ½ J ω² + τ_L φ
//
// less the friction work of the guide, over the angle φ. Source: energy balance.
func emergencyStop(r plant.Rig, b Brake, lowering bool) StopResult {
	b.in(&r)
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = 0, 0
	r.Load.PayloadKG = max(r.Load.PayloadKG, r.Load.PayloadMostKG)
	r.Load.StartMM = (r.Stops.LowMM + r.Stops.HighMM) / 2
	r.Support.Removed = r.Support.Removed || r.Support.AtMM > r.Load.StartMM
	r.Load.StartSpeedMMS = r.Drive.SpeedMMS
	if lowering {
		r.Load.StartSpeedMMS = -r.Drive.SpeedMMS
	}
	p := plant.New(r, 1)
	rests := comesToRest(p, &r)
	s := p.State()
	second := 0.0
	if b := p.Brake2State(); b != nil {
		second = b.SlipWorkJ
	}
	return StopResult{
		WorkJ: s.SlipWorkJ, SecondWorkJ: second, SlipDeg: s.SlipRad * 180 / math.Pi,
		DistanceMM: math.Abs(p.LoadMM() - r.Load.StartMM),
		Held:       rests && p.LoadMM() > r.Stops.LowMM && p.LoadMM() < r.Stops.HighMM,
	}
}

// comesToRest runs the plant until the axis is at rest, and is false if that takes too long.
func comesToRest(p *plant.Plant, r *plant.Rig) bool {
	off := plant.Command{Mode: plant.Off, CloseBrake: true, CloseBrake2: true}
	slow := 1e-3 * math.Abs(p.State().SpeedRadS)
	rested, slip := time.Duration(0), 0.0
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

// StopCache makes emergency stops. Stops of brakes that are equal to a thousandth of the torque,
// a micrometre and a kelvin are the same stop, which is simulated once.
type StopCache struct {
	rig  plant.Rig
	done sync.Map // of stopKey to StopResult; a pure function, so that the order does not matter
}

type stopKey struct {
	first, second liningKey
	lowering      bool
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
func (s *StopCache) Stop(b Brake, lowering bool) StopResult {
	k := stopKey{first: keyOf(b.Lining), lowering: lowering}
	if s.rig.Brake2.Exists() {
		k.second = keyOf(b.Second)
	}
	if h, ok := s.done.Load(k); ok {
		return h.(StopResult) //nolint:forcetypeassert // nothing else is kept
	}
	h := emergencyStop(s.rig, Brake{k.first.lining(), k.second.lining()}, lowering)
	s.done.Store(k, h)
	return h
}

func thousandths(x float64) int { return int(math.Round(x * 1000)) }
