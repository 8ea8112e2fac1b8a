package evaluate

import (
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/sim/safety"
)

// scan is what the safety side reads in one of its scans.
type scan struct {
	t        float64 // s
	request  safety.Request
	readings safety.Readings
	stale    string // signal whose last sample is too old; empty if none is
	staleFor float64
}

// closed is whether a brake is closed.
func (n *scan) closed() bool { return n.readings.BrakeClosed || n.readings.Brake2Closed }

// sampler makes the scans of one phase.
type sampler struct {
	in     *inputs
	maxGap float64

	mm, position, current    reader
	closed, closed2          reader
	down, up, required, acks reader

	press *press
	link  []safety.Request // on the way, newest last
}

func newSampler(in *inputs, maxGap float64) *sampler {
	_, start := in.mm.first()
	return &sampler{
		in: in, maxGap: maxGap,
		mm: reader{of: in.mm}, position: reader{of: in.position}, current: reader{of: in.current},
		closed: reader{of: in.closed}, closed2: reader{of: in.closed2},
		down: reader{of: in.down}, up: reader{of: in.up}, required: reader{of: in.required}, acks: reader{of: in.ack},
		press: newPress(in, start),
	}
}

// span is from when to when the signals that the judge needs were recorded, in s.
func (in *inputs) span() (from, to float64) {
	from, to = math.Inf(-1), math.Inf(-1)
	for _, t := range []*track{in.position, in.current} {
		first, _ := t.first()
		from, to = max(from, first), max(to, t.end())
	}
	return from, to
}

// judged runs the judge through the scans of the safety side from a moment on, in s, and gives those that margins
// are taken from: with a closed brake or an ask, and the one behind each of them. A recording can be long, and most
// of it is neither.
func (in *inputs) judged(first float64, o Options) ([]scan, *replay) {
	_, last := in.span()
	period := in.rig.Clock.SafetyScan.Seconds()
	s, run := newSampler(in, o.MaxGap.Seconds()), newReplay(in, 1, nil)
	var list []scan
	var n scan
	before := false
	for k := 0; ; k++ {
		t := first + float64(float64(k)*period)
		if t > last+sameTime {
			break
		}
		n = s.at(t)
		run.step(len(list), &n)
		counts := n.closed() || n.request.Ask != 0
		if counts || before {
			list = append(list, n)
		}
		before = counts
	}
	run.end(&n)
	run.withheld = s.press.withheld
	return list, run
}

// at is the scan at a time.
func (s *sampler) at(t float64) scan {
	n := scan{t: t}
	position := s.fresh(&n, &s.position)
	amp := s.fresh(&n, &s.current)
	closed, closed2 := s.known(&n, &s.closed), s.in.closed2 != nil && s.known(&n, &s.closed2)
	failing, _ := s.acks.at(t)
	n.readings = safety.Readings{
		GuardClosed: true, Standstill: true, Acknowledge: is(failing),
		BrakeClosed: closed, Brake2Closed: closed2,
		SingleTurn: singleTurn(position, s.in.rig), CurrentAmpA: amp,
	}
	n.request = s.request(t, amp*s.in.constant()/math.Sqrt2, position, n.closed())
	return n
}

// fresh is a value that must not be too old.
func (s *sampler) fresh(n *scan, r *reader) float64 {
	value, age := r.at(n.t)
	if age > s.maxGap+sameTime && n.stale == "" {
		n.stale, n.staleFor = r.of.name, age
	}
	if math.IsNaN(value) {
		return 0
	}
	return value
}

// known is a switch, which stays as it is between its samples, however far apart they are.
func (s *sampler) known(n *scan, r *reader) bool {
	value, age := r.at(n.t)
	if math.IsNaN(value) && n.stale == "" {
		n.stale, n.staleFor = r.of.name, age
	}
	return is(value)
}

// singleTurn is a count of increments within one turn.
func singleTurn(count float64, rig *plant.Rig) int64 {
	turn := rig.Encoder.IncrementsPerTurn
	within := math.Mod(count, turn)
	if within < 0 {
		within += turn
	}
	return int64(within)
}

// request is what the judge reads of the sequence: what was recorded comes over the link, what is assumed
// does not.
func (s *sampler) request(t, torque, inc float64, closed bool) safety.Request {
	if s.in.down == nil {
		ask := s.press.step(s.in, t, torque, inc, closed)
		return safety.Request{Ask: ask, RequiredA: s.requiredA(t, ask)}
	}
	ask := safety.Directions(0)
	if down, _ := s.down.at(t); is(down) {
		ask = safety.Down
	}
	if up, _ := s.up.at(t); is(up) {
		ask = safety.Up
	}
	s.link = append(s.link, safety.Request{Ask: ask, RequiredA: s.requiredA(t, ask)})
	if len(s.link) <= s.in.rig.Clock.LinkDelayScans {
		return safety.Request{}
	}
	read := s.link[0]
	s.link = slices.Delete(s.link, 0, 1) // in place: there is one for each scan
	return read
}

// requiredA is the current that the sequence requires.
func (s *sampler) requiredA(t float64, ask safety.Directions) float64 {
	if s.in.required != nil {
		if value, _ := s.required.at(t); !math.IsNaN(value) {
			return value
		}
		return 0
	}
	if ask == 0 {
		return 0
	}
	return s.in.assumedRequired(ask)
}
