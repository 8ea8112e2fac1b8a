package plant

import (
	"math"
	"math/rand/v2"
)

// sensors holds the noise of each sensor, drawn from a generator of its own, and
// what the encoder last gave.
type sensors struct {
	position noise
	current  noise
	held     int64 // increments, as last read
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

// Sample reads the sensors once; call it once a tick, before [Plant.Step].
func (p *Plant) Sample() Reading {
	count := p.sampleEncoder()
	current := p.state.CurrentRMSA + p.sensor.current.normal(p.rig.Drive.CurrentNoiseRMSA)
	p.drive.observe(p, count)
	return p.drive.report(p, count, current)
}

// sampleEncoder is the position in increments of a single turn: true angle with
// normal noise, rounded, wrapped. Rounding adds an error of variance q²/12 for an
// increment q. Source: Widrow and Kollár, Quantization Noise, 2008, ch. 4 (from
// memory).
func (p *Plant) sampleEncoder() int64 {
	e := &p.rig.Encoder
	deviation := p.sensor.position.normal(rad(e.NoiseDeg))
	if (e.Frozen || e.Lost) && p.sensor.read {
		return p.sensor.held
	}
	count := math.Round((p.state.AngleRad + p.k.encoder0 + deviation) / p.k.encoderStep)
	p.sensor.held, p.sensor.read = wrap(int64(count), int64(p.k.encoderTurn)), true
	return p.sensor.held
}

// wrap brings a count of increments into 0 up to one turn.
func wrap(count, turn int64) int64 {
	count %= turn
	if count < 0 {
		count += turn
	}
	return count
}

// turnDifference is a − b on the shorter way round, in increments.
func turnDifference(a, b, turn int64) int64 {
	d := wrap(a-b, turn)
	if 2*d > turn {
		d -= turn
	}
	return d
}
