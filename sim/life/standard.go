package life

import (
	"math"
	"time"
)

// Operations are the figures of a component that wears with its operations:
//
//	n_op  = d_op h_op 3600/t_cycle
//	T10d  = B10d/n_op
//	MTTFd = B10d/(0.1 n_op)
//
// n_op operations a year, d_op days a year, h_op hours a day, t_cycle s between two
// operations, B10d operations until a tenth of the components have failed dangerously,
// T10d years until then, MTTFd years. Source: EN ISO 13849-1:2015, annex C.4.2 (from
// memory), which assumes exponentially distributed failures over T10d. B10d is a figure of
// the maker.
type Operations struct {
	DaysPerYear, HoursPerDay float64
	Cycle                    time.Duration
	B10d                     float64 // 0 if unknown
}

// PerYear is n_op.
func (o Operations) PerYear() float64 {
	return o.DaysPerYear * o.HoursPerDay * 3600 / o.Cycle.Seconds()
}

// T10dYears is T10d.
func (o Operations) T10dYears() float64 { return o.B10d / o.PerYear() }

// MTTFdYears is MTTFd of the component.
func (o Operations) MTTFdYears() float64 { return o.B10d / (0.1 * o.PerYear()) }

// MaxMTTFdYears is the largest MTTFd that a channel is credited with, outside category 4 (EN ISO
// 13849-1:2015, 4.5.2, from memory).
const MaxMTTFdYears = 100

// ChannelMTTFdYears is MTTFd as a channel of this component alone is credited with.
func (o Operations) ChannelMTTFdYears() float64 { return min(o.MTTFdYears(), MaxMTTFdYears) }

// The least ratios of test rate to demand rate in category 2 (EN ISO 13849-1:2015, from memory). A
// test on each demand, before the hazard, takes the place of both (4.5.4).
const (
	RequiredTestsPerDemand = 100 // 4.5.4
	ReducedTestsPerDemand  = 25  // annex K, with a tenth more failures
)

// Demands are the emergency stops, the power failures at speed and the accesses through a guard in
// histories of a plan.
func (p *Plan) Demands(s *Summary) float64 {
	return float64(s.Stops+s.Outages) + float64(p.AccessesPerShift*s.Scheduled.Hours()/p.Shift.Hours())
}

// TestsPerDemand is the rate of tests over that of demands; NaN without any.
func (p *Plan) TestsPerDemand(s *Summary) float64 {
	demands := p.Demands(s)
	if demands == 0 {
		return math.NaN()
	}
	return float64(s.Tests) / demands
}

// weeksPerYear turns days a week into days a year.
const weeksPerYear = 52

// Operations of the calendar, with one operation a cycle.
func (c *Calendar) Operations(b10d float64) Operations {
	days := c.DaysPerYear
	if days == 0 {
		days = c.DaysPerWeek * weeksPerYear
	}
	return Operations{DaysPerYear: float64(days), HoursPerDay: c.PerDay().Hours(), Cycle: c.Cycle, B10d: b10d}
}
