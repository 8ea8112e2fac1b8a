package life

import (
	"math"
	"sync"
	"time"

	"holdbench/plant"
)

// Halt is what came of an emergency stop.
type Halt struct {
	WorkJ      float64
	DistanceMM float64 // until it stood, or until it was given up
	SlipDeg    float64
	Held       bool // the brake brought the axis to rest within the travel
}

// The stop of an axis that its brake can hold is over within this time, and it is at
// rest once nothing has moved for restTime.
const (
	stopTime = 2 * time.Second
	restTime = 50 * time.Millisecond
)

// emergencyStop takes the drive away from an axis that moves at its full speed in the
// middle of its travel, and closes the brake. Lowering, the brake takes
//
//	W = ½ J ω² + τ_L φ
//
// less what the guide takes, over the way φ. Source: energy balance.
func emergencyStop(r plant.Rig, b Brake, lowering bool) Halt {
	b.in(&r)
	r.Encoder.NoiseDeg, r.Drive.CurrentNoiseRMSA = 0, 0
	r.Load.StartMM = (r.Stops.LowMM + r.Stops.HighMM) / 2
	r.Load.StartSpeedMMS = r.Drive.SpeedMMS
	if lowering {
		r.Load.StartSpeedMMS = -r.Drive.SpeedMMS
	}
	p := plant.New(r, 1)
	rests := come(p, &r)
	s := p.State()
	return Halt{
		WorkJ: s.SlipWorkJ, SlipDeg: s.SlipRad * 180 / math.Pi,
		DistanceMM: math.Abs(p.LoadMM() - r.Load.StartMM),
		Held:       rests && p.LoadMM() > r.Stops.LowMM && p.LoadMM() < r.Stops.HighMM,
	}
}

// come lets the axis come to rest and tells whether it did.
func come(p *plant.Plant, r *plant.Rig) bool {
	off := plant.Command{Mode: plant.Off, CloseBrake: true}
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

// Stopper makes emergency stops. Stops of brakes that are the same to a thousandth of
// their torque, a micrometre and a kelvin are the same stop, which is made once.
type Stopper struct {
	rig  plant.Rig
	done sync.Map // of stopKey to Halt; a pure function, so that it does not matter who was first
}

type stopKey struct {
	condition, gap, glaze, temp int
	lowering                    bool
}

// NewStopper makes the stops of a rig.
func NewStopper(r *plant.Rig) *Stopper { return &Stopper{rig: *r} }

// Stop stops the axis with a brake.
func (s *Stopper) Stop(b Brake, lowering bool) Halt {
	k := stopKey{thousandths(b.Condition), thousandths(b.GapMM), thousandths(b.Glaze), int(math.Round(b.TempC)), lowering}
	if h, ok := s.done.Load(k); ok {
		return h.(Halt) //nolint:forcetypeassert // nothing else is kept
	}
	h := emergencyStop(s.rig, k.brake(), lowering)
	s.done.Store(k, h)
	return h
}

func (k stopKey) brake() Brake {
	return Brake{Condition: float64(k.condition) / 1000, GapMM: float64(k.gap) / 1000, Glaze: float64(k.glaze) / 1000, TempC: float64(k.temp)}
}

func thousandths(x float64) int { return int(math.Round(x * 1000)) }
