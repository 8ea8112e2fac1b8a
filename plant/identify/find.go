package identify

import (
	"math"

	"holdbench/plant/problem"
)

// The choices of the search for pieces. They are times that a servo axis needs at least, and shares of
// the largest value in the recording.
const (
	smoothingTime   = 0.025 // s, half the time over which speed and current are averaged
	leastSamples    = 3     // in half of it
	shortest        = 0.04  // s, of a piece; a shorter one joins its longer neighbour
	restShare       = 0.005 // of the greatest speed
	steadyShare     = 0.05  // of the greatest acceleration
	pressShare      = 0.03  // of the greatest current
	deviations      = 8     // standard deviations of the noise that are no change
	transitionTime  = 0.3   // s, of a brake whose switch is not recorded
	settlingTime    = 0.05  // s, after a stop and after the switch
	longestStop     = 5.0   // s
	closedAtMoving  = 0.02  // s, before a close command in which the axis moves
	sigmaFromMedian = 1.4826
)

// finder holds what is derived from the signals of one recording to find its pieces.
type finder struct {
	k            *track
	speed, accel []float64 // at the samples of the angle
	current      series    // smoothed
	rest, steady float64   // limits of speed in rad/s and of acceleration in rad/s²
	low, high    float64   // A, between them the motor does not press
	changes      []change
}

// find divides a recording into pieces by its signals: by the brake, by the speed and its change, and
// with the brake closed by the current. Limits follow from the noise of the recording itself and from
// its greatest values, so that they depend on no data of the rig.
func find(k *track) []Piece {
	if len(k.angle.t) < 2*leastSamples+1 {
		return nil
	}
	f := newFinder(k)
	kinds := make([]kindCode, len(k.angle.t))
	for i, t := range k.angle.t {
		kinds[i] = f.kind(i, t).code()
	}
	f.markChanges(kinds)
	pieces := joined(runs(k.angle.t, kinds))
	for i := range pieces {
		pieces[i].Why = f.why(&pieces[i])
	}
	return pieces
}

func newFinder(k *track) *finder {
	f := &finder{k: k, changes: k.changes()}
	period := k.period
	half := max(leastSamples, int(smoothingTime/period))
	f.speed = make([]float64, len(k.angle.t))
	off := make([]float64, len(k.angle.t))
	for i := range off {
		f.speed[i], off[i] = k.angle.lineAt(i, half)
	}
	f.accel = series{k.angle.t, f.speed}.slopes(half)
	n := float64(2*half + 1)
	noise := spread(off)
	if q := k.angle.quantum(); q < 20*noise || noise == 0 {
		noise = max(noise, q/math.Sqrt(12))
	}
	speedNoise := noise * math.Sqrt(12/(n*n*n)) / period
	f.rest = max(deviations*speedNoise, restShare*f.freeSpeed())
	f.steady = max(deviations*speedNoise/(n*period), steadyShare*largest(f.accel))
	f.findPress()
	return f
}

// spread is the standard deviation of values around 0 by their median, which a few large ones do not change. It
// leaves their sizes in the list, sorted: a long one needs no copy.
func spread(values []float64) float64 {
	for i, x := range values {
		values[i] = math.Abs(x)
	}
	return sigmaFromMedian * sortedMedian(values)
}

func largest(values []float64) float64 {
	size := 0.0
	for _, x := range values {
		size = max(size, math.Abs(x))
	}
	return size
}

// freeSpeed is the greatest speed with the brake open.
func (f *finder) freeSpeed() float64 {
	size := 0.0
	signal := f.k.brakeSignal()
	for i, t := range f.k.angle.t {
		if !(signal.last(t) > 0.5) { // also without the signal
			size = max(size, math.Abs(f.speed[i]))
		}
	}
	return size
}

// findPress finds the limits of the current beyond which the motor presses: zero and the current that
// holds the load, which is the median at rest with the brake open.
func (f *finder) findPress() {
	c := f.k.current
	if c.empty() {
		return
	}
	f.current = c.smoothed(max(1, int(smoothingTime/max(c.period(), 1e-9))))
	list := make([]float64, 0, max(len(f.k.angle.t), len(c.x)))
	signal := f.k.brakeSignal()
	for i, t := range f.k.angle.t {
		if math.Abs(f.speed[i]) <= f.rest && !(signal.last(t) > 0.5) {
			list = append(list, f.current.at(t))
		}
	}
	hold := sortedMedian(list)
	list = list[:0]
	for i, x := range c.x {
		list = append(list, x-f.current.x[i])
	}
	least := max(deviations*spread(list)/math.Sqrt(2*leastSamples+1), pressShare*largest(f.current.x))
	f.low, f.high = min(0, hold)-least, max(0, hold)+least
}

// kind is what the axis does at a sample, without the changes of the brake.
func (f *finder) kind(i int, t float64) Kind {
	moving := math.Abs(f.speed[i]) > f.rest
	closed := f.k.brakeSignal().last(t) > 0.5
	switch {
	case closed:
		return f.pressed(t)
	case !moving:
		if f.k.brakeSignal().empty() {
			if kind := f.pressed(t); kind != StandstillClosed {
				return kind
			}
		}
		return StandstillOpen
	case math.Abs(f.accel[i]) > f.steady:
		return Acceleration
	case f.speed[i] > 0:
		return TravelUp
	}
	return TravelDown
}

func (f *finder) pressed(t float64) Kind {
	switch i := f.current.at(t); {
	case i > f.high:
		return PressUp
	case i < f.low:
		return PressDown
	}
	return StandstillClosed
}

// markChanges gives the samples in which the brake changes their kind: from the command, or the switch
// without one, until the switch has followed, or until the axis has stopped.
func (f *finder) markChanges(kinds []kindCode) {
	for n, c := range f.changes {
		end := c.t + transitionTime
		if c.follows {
			end = c.felt.t + settlingTime
		}
		kind := Opening
		if c.rises {
			kind = Closing
			if math.Abs(f.speedAt(c.t-closedAtMoving)) > f.rest {
				kind, end = StopByBrake, max(end, f.restAfter(c.t)+settlingTime)
			}
		}
		if n+1 < len(f.changes) {
			end = min(end, f.changes[n+1].t)
		}
		for i := f.k.angle.index(c.t); i < len(kinds) && f.k.angle.t[i] <= end; i++ {
			kinds[i] = kind.code()
		}
	}
}

func (f *finder) speedAt(t float64) float64 { return series{f.k.angle.t, f.speed}.at(t) }

// restAfter is when the axis comes to rest after a moment.
func (f *finder) restAfter(t float64) float64 {
	for i := f.k.angle.index(t); i < len(f.speed) && f.k.angle.t[i] < t+longestStop; i++ {
		if math.Abs(f.speed[i]) <= f.rest {
			return f.k.angle.t[i]
		}
	}
	return t + longestStop
}

// why says by which signals a piece was found.
func (f *finder) why(p *Piece) string {
	middle := (p.FromS + p.ToS) / 2
	switch p.Kind {
	case Closing, Opening, StopByBrake:
		for _, c := range f.changes {
			if c.t >= p.FromS-c.spread && c.t <= p.ToS {
				return c.words()
			}
		}
		return "brake changes"
	case PressUp, PressDown, StandstillClosed:
		return problem.Text("brake closed, %.3g A", f.current.at(middle))
	case StandstillOpen:
		return problem.Text("brake open, %.3g A", f.current.at(middle))
	}
	return problem.Text("%.3g rad/s, %.3g rad/s²", f.speedAt(middle), series{f.k.angle.t, f.accel}.at(middle))
}

func (c *change) words() string {
	way, by := "open", "switch"
	if c.rises {
		way = "closed"
	}
	if c.commanded {
		by = "command"
	}
	text := way + " by its " + by
	if c.commanded && c.follows {
		text += problem.Text(", switch after %.3g ms", 1000*(c.felt.t-c.t))
	}
	return text
}

// runs are the pieces of equal kinds. A piece ends where the next one begins.
func runs(t []float64, kinds []kindCode) []Piece {
	var found []Piece
	names := Kinds()
	for i, code := range kinds {
		k := names[code]
		if n := len(found); n > 0 && found[n-1].Kind == k {
			found[n-1].ToS = t[i]
			continue
		}
		if n := len(found); n > 0 {
			found[n-1].ToS = t[i]
		}
		found = append(found, Piece{Kind: k, FromS: t[i], ToS: t[i]})
	}
	return found
}
