package life

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat"
)

// Sign is something that somebody could have watched from test to test or from stop to
// stop.
type Sign int

// The signs.
const (
	WindUp       Sign = iota // deg, of the brake under the test torque, by the truth
	SeenWindUp               // deg, the same by the sequence's encoder
	Slip                     // deg, until the verdict, by the truth
	StopDistance             // mm, of an emergency stop while lowering
	signs
)

// Signs lists every sign.
func Signs() []Sign { return []Sign{WindUp, SeenWindUp, Slip, StopDistance} }

// String is a sign in words.
func (s Sign) String() string {
	return [...]string{"wind-up under the test torque", "the same by the sequence's encoder", "slip in the test", "distance of an emergency stop"}[s]
}

// Unit is the unit of its values.
func (s Sign) Unit() string {
	if s == StopDistance {
		return "mm"
	}
	return "deg"
}

// The rule of a warning: a value that is off the mean of the first TrendBase of this brake
// by more than TrendSigma of their standard deviations, and by more than TrendShare of
// that mean and TrendLeastDeg or TrendLeastMM. The standard deviations are the usual ones
// of a control chart and one more for the many looks (ISO 7870-2 has 3, from memory); the
// rest stands for the scatter of loads and speeds, which a real machine has and this
// calendar has not (a choice).
const (
	TrendBase     = 20
	TrendSigma    = 4
	TrendShare    = 0.1
	TrendLeastDeg = 0.05
	TrendLeastMM  = 0.2
)

// trend watches one brake.
type trend struct {
	watches [signs]watch
}

type watch struct {
	base      []float64
	mean, off float64 // the centre and how far a value may be from it
	at        time.Duration
}

func newTrend() trend {
	var t trend
	for i := range t.watches {
		t.watches[i].at = never
	}
	return t
}

// take looks at the next value.
func (w *watch) take(at time.Duration, x float64, s Sign) {
	if len(w.base) < TrendBase {
		w.base = append(w.base, x)
		if len(w.base) == TrendBase {
			mean, sd := stat.MeanStdDev(w.base, nil)
			w.mean, w.off = mean, max(TrendSigma*sd, TrendShare*mean, s.least())
		}
		return
	}
	if w.at == never && math.Abs(x-w.mean) > w.off {
		w.at = at
	}
}

func (s Sign) least() float64 {
	if s == StopDistance {
		return TrendLeastMM
	}
	return TrendLeastDeg
}

// Lead is by how much a sign told of a brake ahead of the test or the fall for which it
// was taken out.
type Lead struct {
	Sign  Sign
	Told  bool          // ahead of it
	Ahead time.Duration // 0 if it did not tell
}

// see shows the value of a sign.
func (j *journey) see(s Sign, x float64) {
	if s == StopDistance {
		j.record.StopPoints = append(j.record.StopPoints, StopPoint{j.now, x})
	}
	j.trend.watches[s].take(j.now, x, s)
}

// leads takes down what the signs had said by the moment at which a test or a fall told
// of the brake.
func (j *journey) leads(told time.Duration) {
	for _, s := range Signs() {
		l := Lead{Sign: s}
		if at := j.trend.watches[s].at; at < told {
			l.Told, l.Ahead = true, told-at
		}
		j.record.Leads = append(j.record.Leads, l)
	}
}

// idleWarnings counts what the signs said of a brake that is fit at the end of its life.
func (j *journey) idleWarnings() {
	for s := range j.trend.watches {
		if j.trend.watches[s].at != never {
			j.record.Warnings[s]++
		}
	}
}
