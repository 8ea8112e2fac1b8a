package plant

import (
	"math"
	"time"
)

// sensors holds the state of the sensors. The noise of each has a generator of its own.
type sensors struct {
	position noise
	current  noise
	count    int64   // increments over several turns, last sample
	held     int64   // increments of the single turn, last reading
	drift    float64 // rad
	read     bool

	now      time.Duration // of the run
	scale    float64       // of the last reload
	rescaled float64       // rad, correction that keeps the reading continuous when the scale changes
	wrapAt   int64         // increments over several turns, position of the faulty wrap
	wraps    bool          // the wrap is faulty
	amps     float64       // A rms, last value of the drive's transducer
	judge    noise         // of the judge's own transducer
}

func newSensors(seed uint64, scale float64) sensors {
	table := layers()
	return sensors{scale: scale, position: newNoise(seed, positionStream, table), current: newNoise(seed, currentStream, table), judge: newNoise(seed, judgeCurrentStream, table)}
}

// Observe samples the encoder for the drive, which counts turns and filters the speed; call it once a tick,
// before [Plant.Step].
//
// The reading is the position in increments of a single turn: true angle with scale, drift and normal noise,
// rounded and wrapped. Rounding adds an error of variance q²/12 for an increment q. Source: Widrow and Kollár,
// Quantization Noise, 2008, ch. 4 (from memory).
func (p *Plant) Observe() {
	s, c, d := &p.sensor, &p.c, &p.drive
	u := s.position.next()
	noise, inside := s.position.table.inside(u)
	if !inside {
		noise = s.position.edge(u)
	}
	s.drift += c.encoderDrift
	if !c.encoderStands || !s.read {
		count := c.increments(p.state.AngleRad, s.rescaled+s.drift+float64(c.encoderNoise*noise))
		moved := count - s.count
		s.held, s.read, s.count = wrap(s.held+moved, c.encoderTurn), true, count
		if 2*moved > c.encoderTurn || 2*moved <= -c.encoderTurn {
			moved = TurnDifference(moved, 0, c.encoderTurn) // what a drive that sees a single turn makes of it
		}
		d.count += moved
	}
	s.now += c.tick
	before := d.angle
	d.angle = float64(float64(d.count)*c.encoderStep) - d.referenceRad
	d.speed += float64(d.filter * (float64((d.angle-before)*d.ticksPerS) - d.speed))
}

// Read returns the signals of sensors and drive in this tick; call it after
// [Plant.Observe] in ticks with a scan.
func (p *Plant) Read() Reading {
	return p.drive.report(p, p.sampleCurrent())
}

// rescale applies a change of scale during a run from the present position on, so that the
// reading is continuous: a disc or gear that loses a share of every turn.
func (s *sensors) rescale(scale, angle float64) {
	if s.scale == 0 { // not initialised yet
		return
	}
	s.rescaled += float64(angle * (s.scale - scale))
	s.scale = scale
}

// judgeTurn is the position of the single turn as received by the judge. With a faulty wrap,
// located where the shaft was when the fault occurred, it falls short by e for each turn n
// begun since, as if the two sides had different numbers of increments per turn:
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
	distance := p.drive.count - s.wrapAt
	turns := (distance - wrap(distance, turn)) / turn // exact: a multiple of a turn
	short := int64(math.Round(e / 360 * float64(turn)))
	return wrap(increments-short*turns, turn)
}

// increments is the count of the encoder at an angle with an error, both in rad.
func (c *conversions) increments(angle, deviation float64) int64 {
	x := float64((float64(angle*c.encoderScale) + c.encoder0 + deviation) * c.perStep)
	if x < 0 {
		return int64(x - 0.5)
	}
	return int64(x + 0.5)
}

// wrap reduces a count of increments to a single turn, from 0.
func wrap(count, turn int64) int64 {
	if uint64(count) < uint64(turn) { // a negative one is large
		return count
	}
	return reduce(count, turn)
}

func reduce(count, turn int64) int64 { return (count%turn + turn) % turn }

// TurnDifference is a − b within half a turn either way, in increments.
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
