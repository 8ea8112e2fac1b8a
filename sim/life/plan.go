package life

import (
	"math"
	"slices"
	"time"

	"holdbench/plant/problem"
)

// Plan is what is simulated, and how often.
type Plan struct {
	Calendar
	Span          time.Duration
	Interval      time.Duration // how long a proof lasts
	StopsPerShift float64       // emergency stops at speed, in the mean
	// PowerFailuresPerYear are those at speed, in the mean: the brakes stop the load alone.
	PowerFailuresPerYear float64
	// AccessesPerShift are accesses through a guard while the brake holds the load up. They are
	// demands and change nothing else.
	AccessesPerShift float64

	DeclinePerDay  float64 // share of the rated torque that the lining loses in a day
	DeclinePerStop float64 // and in a stop, an emergency stop or a power failure
	// FailureEvery is the mean time to a sudden failure, independent of the past (exponential);
	// 0 is none. FailureOnce is one failure in each history instead, uniformly distributed.
	FailureEvery time.Duration
	FailureOnce  bool
	FailureTo    [2]float64 // the torque that a sudden failure leaves, a share of the rated one between these

	Service   time.Duration // production is stopped for this time after a failed test
	Histories int
	Seed      uint64

	RunsPerEntry int             // of the bench for each entry of the table
	WholeRuns    bool            // every test is a run of its own, and none is taken from the table
	Intervals    []time.Duration // that are compared
}

// Default is a plan of half a year of three shifts for a rig's interval.
func Default(interval time.Duration) Plan {
	c := Calendar{ShiftsPerDay: 3, Shift: 8 * time.Hour, DaysPerWeek: 5, Cycle: time.Minute, WindowsPerShift: 1, Window: 10 * time.Minute}
	return Plan{
		Calendar: c, Span: 26 * week, Interval: interval, StopsPerShift: 0.5, PowerFailuresPerYear: 4,
		FailureOnce: true, FailureTo: [2]float64{0.1, 0.5}, Service: 2 * time.Hour,
		Histories: 200, Seed: 1, RunsPerEntry: 16,
	}
}

// The limits of a plan.
const (
	maxSpan      = 50 * 52 * week
	maxInterval  = 100_000_000 * time.Second // of a judge
	maxHistories = 100_000
	maxEvents    = 5_000_000 // each is kept

	maxPowerFailures = 100_000 // a year
	maxAccesses      = 10_000  // a shift
	maxRuns          = 10_000  // for each entry of the table
)

// Check says all that is wrong with a plan at once. The path of a problem is the flag of the
// value.
func (p *Plan) Check() problem.List {
	found := append(p.checkCalendar(), p.checkTimes()...)
	found = append(found, p.checkFailures()...)
	if len(found) > 0 {
		return found // the size depends on these
	}
	return p.checkSize()
}

func (p *Plan) checkCalendar() problem.List {
	var c checks
	c.require(p.ShiftsPerDay >= 1 && p.ShiftsPerDay <= 24, "shifts", "is %d; must be 1 to 24 shifts a day", p.ShiftsPerDay)
	c.require(p.Shift >= time.Minute && p.Shift <= day, "shift", "is %s; must be 1m to 24h", Text(p.Shift))
	if len(c.found) == 0 {
		c.require(p.PerDay() <= day, "shifts", "is %d of %s each, %s a day; must fit into 24h", p.ShiftsPerDay, Text(p.Shift), Text(p.PerDay()))
	}
	c.require(p.DaysPerWeek >= 1 && p.DaysPerWeek <= 7, "days", "is %d; must be 1 to 7 days a week", p.DaysPerWeek)
	c.require(p.DaysPerYear >= 0 && p.DaysPerYear <= 366, "days-a-year", "is %d; must be 0 to 366 days of production a year", p.DaysPerYear)
	c.require(p.Cycle > 0 && p.Cycle <= week, "cycle", "is %s; must be more than 0s and at most a week", Text(p.Cycle))
	c.require(p.WindowsPerShift >= 0 && p.WindowsPerShift <= 1000, "windows", "is %d; must be 0 to 1000 idle windows a shift", p.WindowsPerShift)
	c.require(p.Window >= 0 && (p.Window <= p.Shift || p.Shift <= 0), "window", "is %s; must be 0s to the length of a shift, %s", Text(p.Window), Text(p.Shift))
	if len(c.found) == 0 {
		idle := time.Duration(p.WindowsPerShift) * p.Window
		c.require(idle <= p.Shift, "windows", "is %d of %s each, %s in a shift of %s; must fit into the shift", p.WindowsPerShift, Text(p.Window), Text(idle), Text(p.Shift))
	}
	return c.found
}

func (p *Plan) checkTimes() problem.List {
	var c checks
	c.require(p.Span >= time.Hour && p.Span <= maxSpan, "span", "is %s; must be 1h to %s", Text(p.Span), Text(maxSpan))
	if len(c.found) == 0 {
		c.interval("interval", p.Interval, p.Span)
	}
	for _, t := range p.Intervals {
		if len(c.found) == 0 {
			c.interval("intervals", t, p.Span)
		}
	}
	c.require(p.Service >= 0 && p.Service <= 52*week, "service", "is %s; must be 0s to a year", Text(p.Service))
	return c.found
}

func (p *Plan) checkFailures() problem.List {
	var c checks
	c.require(p.StopsPerShift >= 0 && p.StopsPerShift <= 1000, "stops", "is %g; must be 0 to 1000 emergency stops a shift", p.StopsPerShift)
	c.require(p.PowerFailuresPerYear >= 0 && p.PowerFailuresPerYear <= maxPowerFailures, "power-failures", "is %g; must be 0 to %g power failures a year", p.PowerFailuresPerYear, float64(maxPowerFailures))
	c.require(p.AccessesPerShift >= 0 && p.AccessesPerShift <= maxAccesses, "accesses", "is %g; must be 0 to %g accesses a shift", p.AccessesPerShift, float64(maxAccesses))
	c.require(share(p.DeclinePerDay) && share(p.DeclinePerStop), "decline", "is %g; must be 0%% to 100%%", max(p.DeclinePerDay, p.DeclinePerStop))
	c.require(p.FailureEvery == 0 || p.FailureEvery >= time.Hour && p.FailureEvery <= maxSpan, "failure-every", "is %s; must be 1h to %s, or once, or never", Text(p.FailureEvery), Text(maxSpan))
	low, high := p.FailureTo[0], p.FailureTo[1]
	c.require(share(low) && share(high) && low <= high, "failure-to", "is %g to %g; must be two shares of the rated torque from 0 to 1, the smaller first", low, high)
	return c.found
}

// checkSize refuses a simulation that is too large.
func (p *Plan) checkSize() problem.List {
	var c checks
	c.require(p.Histories >= 1 && p.Histories <= maxHistories, "histories", "is %d; must be 1 to %g", p.Histories, float64(maxHistories))
	c.require(p.RunsPerEntry >= 1 && p.RunsPerEntry <= maxRuns, "runs", "is %d; must be 1 to %g", p.RunsPerEntry, float64(maxRuns))
	shifts := p.Scheduled(p.Span).Hours() / p.Shift.Hours()
	shortest := slices.Min(append([]time.Duration{p.Interval}, p.Intervals...))
	events := float64(p.Histories) * (float64(shifts*p.StopsPerShift) + p.PowerFailuresPerYear*p.Span.Hours()/(weeksPerYear*week).Hours() + p.Span.Hours()/shortest.Hours())
	c.require(events <= maxEvents, "histories", "is %d, with some %.2g tests and stops together; must be fewer, or --span shorter, for at most %.2g", p.Histories, events, float64(maxEvents))
	return c.found
}

func share(x float64) bool { return !math.IsNaN(x) && x >= 0 && x <= 1 }

// checks collects the problems of a plan.
type checks struct{ found problem.List }

// require adds a problem of a flag unless it is good.
func (c *checks) require(good bool, flag, format string, values ...any) {
	if !good {
		c.found.Add(flag, format, values...)
	}
}

// interval checks an interval of the judge.
func (c *checks) interval(flag string, t, span time.Duration) {
	c.require(t >= time.Minute && t <= maxInterval, flag, "is %s; must be 1m to %s", Text(t), Text(maxInterval))
	c.require(t <= span, flag, "is %s, longer than the %s that are simulated; must be shorter, or --span longer", Text(t), Text(span))
}
