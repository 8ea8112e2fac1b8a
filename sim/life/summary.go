package life

import (
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat"
)

// Summary is what came of all lives together.
type Summary struct {
	Lives           int
	Span, Scheduled time.Duration // of all lives

	Tests, Due, InWindow, Overdue, AfterService int
	InVain, Detections, Missed                  int
	InVainRatio                                 Spread // of the brakes, capacity over required
	Failures, Stops, StopsUnfit, Falls          int
	Exchanged, FitExchanged                     int
	Untold                                      int // exposures that nobody told of until the end

	LostToTests, LostToFalseAlarms, LostToRepairs time.Duration

	Exposures    []float64 // h, by rising length; those that nobody told of until the end are at least so long
	Exposure     Spread    // h
	InProduction Spread    // h, of the exposures
	LivesWithout int       // lives without an exposure
	StopWork     Spread    // J, the mean of each life's stops

	Signs [signs]SignSummary
}

// Spread is how figures spread.
type Spread struct {
	N                             int
	Least, Mean, Median, P95, Max float64
	MeanError                     float64 // standard error of the mean
}

// SignSummary is what a sign told.
type SignSummary struct {
	Sign     Sign
	TakenOut int    // brakes that a test or a fall took out
	Told     int    // of them the sign told of earlier
	AheadH   Spread // h, by how much
	Idle     int    // warnings of brakes that were fit in the end
}

// Summarise sums lives up.
func Summarise(records []Record) Summary {
	var s Summary
	var production, ratios, works []float64
	var ahead [signs][]float64
	for i := range records {
		r := &records[i]
		s.count(r)
		for _, e := range r.Exposures {
			s.Exposures = append(s.Exposures, e.Length().Hours())
			production = append(production, e.Production.Hours())
		}
		for _, p := range r.Points {
			if p.Fit && !p.Passed {
				ratios = append(ratios, p.Ratio)
			}
		}
		if r.Stops > 0 {
			works = append(works, r.StopWorkJ/float64(r.Stops))
		}
		s.signs(r, &ahead)
	}
	slices.Sort(s.Exposures)
	s.Exposure, s.InProduction, s.InVainRatio, s.StopWork = spread(s.Exposures), spread(production), spread(ratios), spread(works)
	for i := range s.Signs {
		s.Signs[i].Sign, s.Signs[i].AheadH = Sign(i), spread(ahead[i])
	}
	return s
}

func (s *Summary) count(r *Record) {
	s.Lives++
	s.Span += r.Span
	s.Scheduled += r.Scheduled
	s.Tests, s.Due, s.InWindow, s.Overdue, s.AfterService = s.Tests+r.Tests, s.Due+r.Due(), s.InWindow+r.InWindow, s.Overdue+r.Overdue, s.AfterService+r.AfterService
	s.InVain, s.Detections, s.Missed = s.InVain+r.InVain, s.Detections+r.Detections, s.Missed+r.Missed
	s.Failures, s.Stops, s.StopsUnfit, s.Falls = s.Failures+r.Failures, s.Stops+r.Stops, s.StopsUnfit+r.StopsUnfit, s.Falls+r.Falls
	s.Exchanged, s.FitExchanged = s.Exchanged+r.Exchanged, s.FitExchanged+r.FitExchanged
	s.LostToTests += r.LostToTests
	s.LostToFalseAlarms += r.LostToFalseAlarms
	s.LostToRepairs += r.LostToRepairs
	if len(r.Exposures) == 0 {
		s.LivesWithout++
	}
	for _, e := range r.Exposures {
		if e.By == ToldByNone {
			s.Untold++
		}
	}
}

func (s *Summary) signs(r *Record, ahead *[signs][]float64) {
	for _, l := range r.Leads {
		s.Signs[l.Sign].TakenOut++
		if l.Told {
			s.Signs[l.Sign].Told++
			ahead[l.Sign] = append(ahead[l.Sign], l.Ahead.Hours())
		}
	}
	for i, n := range r.Warnings {
		s.Signs[i].Idle += n
	}
}

// spread sums figures up; quantiles are interpolated.
func spread(x []float64) Spread {
	if len(x) == 0 {
		return Spread{}
	}
	x = slices.Sorted(slices.Values(x))
	s := Spread{
		N: len(x), Least: x[0], Mean: stat.Mean(x, nil), Max: x[len(x)-1],
		Median: stat.Quantile(0.5, stat.LinInterp, x, nil), P95: stat.Quantile(0.95, stat.LinInterp, x, nil),
	}
	if len(x) > 1 {
		s.MeanError = stat.StdDev(x, nil) / math.Sqrt(float64(len(x)))
	}
	return s
}

// TestsPerDemand is the rate of tests over that of demands, which are the emergency stops;
// NaN without any.
func (s *Summary) TestsPerDemand() float64 {
	if s.Stops == 0 {
		return math.NaN()
	}
	return float64(s.Tests) / float64(s.Stops)
}
