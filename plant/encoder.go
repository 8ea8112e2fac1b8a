package plant

import (
	"math"
	"time"
)

// sensors holds the noise of each sensor, drawn from a generator of its own, and
// what the encoder last gave.
type sensors struct {
	position noise
	current  noise
	count    int64   // increments, turns counted, as last sampled
	held     int64   // increments of the single turn, as last read
	drift    float64 // rad
	read     bool

	now      time.Duration // of the run
	scale    float64       // as last seen
	rescaled float64       // rad, what keeps the reading where it was when the scale changed
	wrapAt   int64         // increments, turns counted, where the judge's turn wraps wrongly
	wraps    bool          // it does
	amps     float64       // A rms, as last measured
	measured bool
}

func newSensors(seed uint64, scale float64) sensors {
	table := newZiggurat()
	return sensors{scale: scale, position: newNoise(seed, positionStream, table), current: newNoise(seed, currentStream, table)}
}

// Observe samples the encoder for the drive; call it once a tick, before [Plant.Step].
func (p *Plant) Observe() {
	p.drive.observe(p.sampleEncoder(), &p.c)
	p.sensor.now += p.rig.Clock.Tick
}

// Read reports what sensors and drive say in this tick; call it after
// [Plant.Observe] when somebody wants to know.
func (p *Plant) Read() Reading {
	return p.drive.report(p, p.sampleCurrent())
}

// sampleCurrent is the current that drive and judge measure, i_m = g i + i_0 + noise; one
// that is frozen stays. The current loop itself is not touched: its torque is right.
func (p *Plant) sampleCurrent() float64 {
	d, s := &p.rig.Drive, &p.sensor
	noise := s.current.normal(d.CurrentNoiseRMSA)
	if !d.CurrentFrozen || !s.measured {
		s.amps, s.measured = float64(d.CurrentGain*p.state.CurrentRMSA)+d.CurrentOffsetRMSA+noise, true
	}
	return s.amps
}

// Sample is Observe and Read in one.
func (p *Plant) Sample() Reading {
	p.Observe()
	return p.Read()
}

// sampleEncoder is the position in increments of a single turn: true angle with
// scale, drift and normal noise, rounded, wrapped. Rounding adds an error of variance
// q²/12 for an increment q. Source: Widrow and Kollár, Quantization Noise, 2008, ch. 4
// (from memory).
func (p *Plant) sampleEncoder() int64 {
	e, s := &p.rig.Encoder, &p.sensor
	deviation := s.position.normal(p.c.encoderNoise)
	s.drift += p.c.encoderDrift
	if (e.Frozen || e.Lost) && s.read {
		return s.held
	}
	count := p.c.increments(p.state.AngleRad, s.rescaled+s.drift+deviation)
	s.held, s.read = wrap(s.held+count-s.count, p.c.encoderTurn), true
	s.count = count
	return s.held
}

// rescale lets a scale that changes in a run count from the present position on, so that
// the reading does not jump: a disc or a gear that loses a share of every turn.
func (s *sensors) rescale(scale, angle float64) {
	if s.scale == 0 { // not made yet
		return
	}
	s.rescaled += float64(angle * (s.scale - scale))
	s.scale = scale
}

// judgeTurn is the single turn as it comes to the judge. One whose wrap is wrong, and lies
// where the shaft stood when that came, falls short of a turn by e for every turn n that was
// begun since, as when the two sides differ in how many increments make a turn:
//
//	x_judge = wrap(x − e n),  n = ⌊(x − x_0)/turn⌋
func (p *Plant) judgeTurn(increments int64) int64 {
	s, e, turn := &p.sensor, p.rig.Encoder.WrapErrorDeg, p.c.encoderTurn
	if e == 0 {
		s.wraps = false
		return increments
	}
	if !s.wraps {
		s.wrapAt, s.wraps = p.drive.count, true
	}
	away := p.drive.count - s.wrapAt
	turns := (away - wrap(away, turn)) / turn // exact: whole turns are left
	short := int64(math.Round(e / 360 * float64(turn)))
	return wrap(increments-short*turns, turn)
}

// increments is what the encoder counts at an angle with an error, both in rad.
func (c *conversions) increments(angle, deviation float64) int64 {
	x := (float64(angle*c.encoderScale) + c.encoder0 + deviation) * c.perStep
	if x < 0 {
		return int64(x - 0.5)
	}
	return int64(x + 0.5)
}

// wrap brings a count of increments into 0 up to one turn.
func wrap(count, turn int64) int64 {
	if 0 <= count && count < turn {
		return count
	}
	count %= turn
	if count < 0 {
		count += turn
	}
	return count
}

// TurnDifference is a − b on the shorter way round, in increments.
func TurnDifference(a, b, turn int64) int64 {
	d := a - b
	if d < 0 {
		d += turn
	}
	d = wrap(d, turn)
	if 2*d > turn {
		d -= turn
	}
	return d
}
