package trend

import (
	"math"
	"time"
)

// Axis is what a history is drawn over: days since its first test, or the numbers of its tests from 1 where
// no dates are known.
type Axis struct {
	Dated bool
	First time.Time // of a dated one
}

// Unit of the axis.
func (a Axis) Unit() string {
	if a.Dated {
		return "days"
	}
	return "tests"
}

// Per is the stretch for which slopes are given: 30 days, or 100 tests.
func (a Axis) Per() float64 {
	if a.Dated {
		return 30
	}
	return 100
}

// Horizon is the default: half a year, an interval at which brakes are usually serviced (common practice), or
// 100 tests.
func (a Axis) Horizon() float64 {
	if a.Dated {
		return 180
	}
	return 100
}

// Moment is a place on an axis.
type Moment struct {
	At   float64 `json:"at"`   // days since the first test, or the number of the test
	Date string  `json:"date"` // empty without dates
}

// farthest is what is still called a date: a hundred years, or a million tests.
func (a Axis) farthest() float64 {
	if a.Dated {
		return 36525
	}
	return 1e6
}

// Moment is a place with its date, on which it falls; nil if it is too far away to mean anything.
func (a Axis) Moment(at float64) *Moment {
	if math.IsNaN(at) || math.Abs(at) > a.farthest() {
		return nil
	}
	m := &Moment{At: at}
	if a.Dated {
		m.Date = a.First.Add(time.Duration(at * float64(24*time.Hour))).Format(time.DateOnly)
	}
	return m
}

// at is where a date is on the axis.
func (a Axis) at(date time.Time) float64 { return date.Sub(a.First).Hours() / 24 }
