package plant

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

func newSensors(seed uint64) sensors {
	table := newZiggurat()
	return sensors{position: newNoise(seed, positionStream, table), current: newNoise(seed, currentStream, table)}
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
