package life

import (
	"math"
	"slices"
	"time"

	"holdbench/plant/portable"
)

// Summary sums up all histories.
type Summary struct {
	Histories       int
	Span, Scheduled time.Duration // of all histories

	Tests, Due, InWindow, Overdue, AfterService   int
	NuisanceFailures, Detections, Missed          int
	Restored                                      int
	NuisanceRatio                                 Distribution // capacity over required, of the brakes
	Failures, Stops, StopsInsufficient, LoadDrops int
	Outages, OutagesInsufficient                  int
	Exchanged, ExchangedInVain                    int
	Undetected                                    int // exposures that were not detected until the end

	LostToTests, LostToFalseAlarms, LostToRepairs time.Duration

	Exposures       []float64    // h, by rising length; undetected ones are at least so long
	Exposure        Distribution // h
	InProduction    Distribution // h, of the exposures
	WithoutExposure int          // histories without an exposure
	StopWork        Distribution // J, the mean of the emergency stops of each history
	OutageWork      Distribution // J, that of the power failures
	Drops           [fallings]DropSummary

	Indicators [indicators]IndicatorSummary
}

// Distribution describes a sample.
type Distribution struct {
	N                             int
	Least, Mean, Median, P95, Max float64
	MeanError                     float64 // standard error of the mean
}

// DropSummary is the time in all histories with a brake that does not meet the drop limit.
type DropSummary struct {
	DropExposure
	Histories int // with such a time
}

// IndicatorSummary is how well an indicator warned.
type IndicatorSummary struct {
	Indicator     Indicator
	TakenOut      int          // brakes exchanged after a test or a load drop
	Warned        int          // of these the indicator warned of earlier
	AheadH        Distribution // h, lead time
	FalseWarnings int          // of brakes with sufficient torque at the end
}

// Summarise sums up histories.
func Summarise(records []Record) Summary {
	var s Summary
	var production, ratios, works, outages []float64
	var ahead [indicators][]float64
	for i := range records {
		r := &records[i]
		s.count(r)
		for _, e := range r.Exposures {
			s.Exposures = append(s.Exposures, e.Length().Hours())
			production = append(production, e.Production.Hours())
		}
		for _, p := range r.TestPoints {
			if p.isNuisance() {
				ratios = append(ratios, p.Ratio)
			}
		}
		if r.Stops > 0 {
			works = append(works, r.StopWorkJ/float64(r.Stops))
		}
		if r.Outages > 0 {
			outages = append(outages, r.OutageWorkJ/float64(r.Outages))
		}
		s.countLeads(r, &ahead)
	}
	slices.Sort(s.Exposures)
	s.Exposure, s.InProduction, s.NuisanceRatio, s.StopWork = distributionOf(s.Exposures), distributionOf(production), distributionOf(ratios), distributionOf(works)
	s.OutageWork = distributionOf(outages)
	for i := range s.Indicators {
		s.Indicators[i].Indicator, s.Indicators[i].AheadH = Indicator(i), distributionOf(ahead[i])
	}
	return s
}

func (s *Summary) count(r *Record) {
	s.Histories++
	s.Span += r.Span
	s.Scheduled += r.Scheduled
	s.Tests, s.Due, s.InWindow, s.Overdue, s.AfterService = s.Tests+r.Tests, s.Due+r.Due(), s.InWindow+r.InWindow, s.Overdue+r.Overdue, s.AfterService+r.AfterService
	s.NuisanceFailures, s.Detections, s.Missed = s.NuisanceFailures+r.NuisanceFailures, s.Detections+r.Detections, s.Missed+r.Missed
	s.Restored += r.Restored
	s.Failures, s.Stops, s.StopsInsufficient, s.LoadDrops = s.Failures+r.Failures, s.Stops+r.Stops, s.StopsInsufficient+r.StopsInsufficient, s.LoadDrops+r.LoadDrops
	s.Outages, s.OutagesInsufficient = s.Outages+r.Outages, s.OutagesInsufficient+r.OutagesInsufficient
	s.Exchanged, s.ExchangedInVain = s.Exchanged+r.Exchanged, s.ExchangedInVain+r.ExchangedInVain
	s.LostToTests += r.LostToTests
	s.LostToFalseAlarms += r.LostToFalseAlarms
	s.LostToRepairs += r.LostToRepairs
	if len(r.Exposures) == 0 {
		s.WithoutExposure++
	}
	for _, e := range r.Exposures {
		if e.By == NotDetected {
			s.Undetected++
		}
	}
	for from, e := range r.Drops {
		s.Drops[from].add(e)
	}
}

func (d *DropSummary) add(e DropExposure) {
	d.Times += e.Times
	d.Time += e.Time
	d.Production += e.Production
	if e.Times > 0 {
		d.Histories++
	}
}

func (s *Summary) countLeads(r *Record, ahead *[indicators][]float64) {
	for _, l := range r.Leads {
		s.Indicators[l.Indicator].TakenOut++
		if l.Warned {
			s.Indicators[l.Indicator].Warned++
			ahead[l.Indicator] = append(ahead[l.Indicator], l.Ahead.Hours())
		}
	}
	for i, n := range r.Warnings {
		s.Indicators[i].FalseWarnings += n
	}
}

// distributionOf describes a sample; quantiles are interpolated.
func distributionOf(x []float64) Distribution {
	if len(x) == 0 {
		return Distribution{}
	}
	x = slices.Sorted(slices.Values(x))
	s := Distribution{
		N: len(x), Least: x[0], Mean: portable.Mean(x), Max: x[len(x)-1],
		Median: portable.Quantile(0.5, x), P95: portable.Quantile(0.95, x),
	}
	if len(x) > 1 {
		_, deviation := portable.MeanDeviation(x)
		s.MeanError = deviation / math.Sqrt(float64(len(x)))
	}
	return s
}
