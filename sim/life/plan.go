package life

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Plan is what is lived through, and how often.
type Plan struct {
	Calendar
	Span          time.Duration
	Interval      time.Duration // how long a proof lasts
	StopsPerShift float64       // emergency stops at speed, in the mean

	DeclinePerDay  float64 // share of the rated torque that the lining loses in a day
	DeclinePerStop float64 // and in an emergency stop
	// FailureEvery is the mean time to a sudden failure, at a moment that owes nothing to
	// the past (exponential); 0 is none. FailureOnce is one failure in each life instead,
	// every moment of it alike.
	FailureEvery time.Duration
	FailureOnce  bool
	FailureTo    [2]float64 // the torque that a sudden failure leaves, a share of the rated one between these

	Service time.Duration // production stands so long after a test that failed
	Lives   int
	Seed    uint64

	Runs      int             // of the bench at each rung of the ladder
	Whole     bool            // every test is a run of its own, and none is drawn from the ladder
	Intervals []time.Duration // that are compared
}

// Default is a plan of half a year of three shifts for a rig's interval.
func Default(interval time.Duration) Plan {
	c := Calendar{ShiftsPerDay: 3, Shift: 8 * time.Hour, DaysPerWeek: 5, Cycle: time.Minute, WindowsPerShift: 1, Window: 10 * time.Minute}
	return Plan{
		Calendar: c, Span: 26 * week, Interval: interval, StopsPerShift: 0.5,
		FailureOnce: true, FailureTo: [2]float64{0.1, 0.5}, Service: 2 * time.Hour,
		Lives: 200, Seed: 1, Runs: 16,
	}
}

// Mistake is a value that cannot be used.
type Mistake struct{ Value, Message string }

// The bounds of a plan: what is more than these is a slip of the finger.
const (
	longestSpan     = 50 * 52 * week
	longestInterval = 100_000_000 * time.Second // of a judge
	mostLives       = 100_000
	mostEvents      = 5_000_000 // each is kept
)

// Check says all that is wrong with a plan at once. A value is named as its flag.
func (p *Plan) Check() []Mistake {
	found := append(p.checkCalendar(), p.checkTimes()...)
	found = append(found, p.checkFailures()...)
	if len(found) > 0 {
		return found // the size of it all rests on these
	}
	return p.checkSize()
}

func (p *Plan) checkCalendar() []Mistake {
	var m mistakes
	m.unless(p.ShiftsPerDay >= 1 && p.ShiftsPerDay <= 24, "shifts", "is %d; must be 1 to 24 shifts a day", p.ShiftsPerDay)
	m.unless(p.Shift >= time.Minute && p.Shift <= day, "shift", "is %s; must be 1m to 24h", Text(p.Shift))
	if len(m) == 0 {
		m.unless(p.PerDay() <= day, "shifts", "is %d of %s each, %s a day; must fit into 24h", p.ShiftsPerDay, Text(p.Shift), Text(p.PerDay()))
	}
	m.unless(p.DaysPerWeek >= 1 && p.DaysPerWeek <= 7, "days", "is %d; must be 1 to 7 days a week", p.DaysPerWeek)
	m.unless(p.DaysPerYear >= 0 && p.DaysPerYear <= 366, "days-a-year", "is %d; must be 0 to 366 days of production a year", p.DaysPerYear)
	m.unless(p.Cycle > 0 && p.Cycle <= week, "cycle", "is %s; must be more than 0s and at most a week", Text(p.Cycle))
	m.unless(p.WindowsPerShift >= 0 && p.WindowsPerShift <= 1000, "windows", "is %d; must be 0 to 1000 idle windows a shift", p.WindowsPerShift)
	m.unless(p.Window >= 0 && (p.Window <= p.Shift || p.Shift <= 0), "window", "is %s; must be 0s to the length of a shift, %s", Text(p.Window), Text(p.Shift))
	if len(m) == 0 {
		idle := time.Duration(p.WindowsPerShift) * p.Window
		m.unless(idle <= p.Shift, "windows", "is %d of %s each, %s in a shift of %s; must fit into the shift", p.WindowsPerShift, Text(p.Window), Text(idle), Text(p.Shift))
	}
	return m
}

func (p *Plan) checkTimes() []Mistake {
	var m mistakes
	m.unless(p.Span >= time.Hour && p.Span <= longestSpan, "span", "is %s; must be 1h to %s", Text(p.Span), Text(longestSpan))
	if len(m) == 0 {
		m.interval("interval", p.Interval, p.Span)
	}
	for _, t := range p.Intervals {
		if len(m) == 0 {
			m.interval("intervals", t, p.Span)
		}
	}
	m.unless(p.Service >= 0 && p.Service <= 52*week, "service", "is %s; must be 0s to a year", Text(p.Service))
	return m
}

func (p *Plan) checkFailures() []Mistake {
	var m mistakes
	m.unless(p.StopsPerShift >= 0 && p.StopsPerShift <= 1000, "stops", "is %g; must be 0 to 1000 emergency stops a shift", p.StopsPerShift)
	m.unless(share(p.DeclinePerDay) && share(p.DeclinePerStop), "decline", "is %g; must be 0%% to 100%%", max(p.DeclinePerDay, p.DeclinePerStop))
	m.unless(p.FailureEvery == 0 || p.FailureEvery >= time.Hour, "failure-every", "is %s; must be at least 1h, or once, or never", Text(p.FailureEvery))
	low, high := p.FailureTo[0], p.FailureTo[1]
	m.unless(share(low) && share(high) && low <= high, "failure-to", "is %g to %g; must be two shares of the rated torque from 0 to 1, the smaller first", low, high)
	return m
}

// checkSize refuses what would take for ever.
func (p *Plan) checkSize() []Mistake {
	var m mistakes
	m.unless(p.Lives >= 1 && p.Lives <= mostLives, "histories", "is %d; must be 1 to %d", p.Lives, mostLives)
	m.unless(p.Runs >= 1 && p.Runs <= 10_000, "runs", "is %d; must be 1 to 10000", p.Runs)
	shifts := p.Scheduled(p.Span).Hours() / p.Shift.Hours()
	shortest := slices.Min(append([]time.Duration{p.Interval}, p.Intervals...))
	events := float64(p.Lives) * (shifts*p.StopsPerShift + p.Span.Hours()/shortest.Hours())
	m.unless(events <= mostEvents, "histories", "is %d, with some %.2g tests and stops together; must be fewer, or --span shorter, for at most %.2g", p.Lives, events, float64(mostEvents))
	return m
}

func share(x float64) bool { return !math.IsNaN(x) && x >= 0 && x <= 1 }

type mistakes []Mistake

func (m *mistakes) unless(good bool, value, format string, values ...any) {
	if !good {
		*m = append(*m, Mistake{value, fmt.Sprintf(format, values...)})
	}
}

func (m *mistakes) interval(value string, t, span time.Duration) {
	m.unless(t >= time.Minute && t <= longestInterval, value, "is %s; must be 1m to %s", Text(t), Text(longestInterval))
	m.unless(t <= span, value, "is %s, longer than the %s that are simulated; must be shorter, or --span longer", Text(t), Text(span))
}
