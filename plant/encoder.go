package plant

import (
	"math/rand/v2"
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
}

// noise is one stream of standard normal values.
type noise struct {
	source *rand.PCG
	draw   *rand.Rand
}

// The streams of the sensors; a new sensor takes a new number.
const (
	positionStream uint64 = iota + 1
	currentStream
)

func newNoise(seed, stream uint64) noise {
	source := rand.NewPCG(seed, stream)
	return noise{source: source, draw: rand.New(source)}
}

func (n noise) clone() noise {
	source := *n.source
	return noise{source: &source, draw: rand.New(&source)}
}

// normal draws even when its size is zero, so that a change of one rig value leaves
// the later draws alone.
func (n noise) normal(size float64) float64 { return size * n.draw.NormFloat64() }

func newSensors(seed uint64) sensors {
	return sensors{position: newNoise(seed, positionStream), current: newNoise(seed, currentStream)}
}

func (s *sensors) clone() sensors {
	c := *s
	c.position, c.current = s.position.clone(), s.current.clone()
	return c
}

// Observe samples the encoder for the drive; call it once a tick, before [Plant.Step].
func (p *Plant) Observe() {
	p.drive.observe(p.sampleEncoder(), &p.c)
}

// Read reports what sensors and drive say in this tick; call it after
// [Plant.Observe] when somebody wants to know.
func (p *Plant) Read() Reading {
	noise := p.sensor.current.normal(p.rig.Drive.CurrentNoiseRMSA)
	return p.drive.report(p, p.state.CurrentRMSA+noise)
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
	count := p.c.increments(p.state.AngleRad, s.drift+deviation)
	s.held, s.read = wrap(s.held+count-s.count, p.c.encoderTurn), true
	s.count = count
	return s.held
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

// turnDifference is a − b on the shorter way round, in increments.
func turnDifference(a, b, turn int64) int64 {
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
