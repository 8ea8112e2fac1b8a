package life

import "time"

// DetectedBy is what detected a brake with insufficient torque.
type DetectedBy string

// What can detect it.
const (
	DetectedByTest DetectedBy = "test"
	DetectedByDrop DetectedBy = "drop" // a stop in which the brakes did not hold the load
	NotDetected    DetectedBy = "none" // nothing until the end of the history
)

// Exposure is a time with insufficient brake torque.
type Exposure struct {
	From, To   time.Duration
	Production time.Duration // in this time
	By         DetectedBy
}

// Length is the time from beginning to end.
func (e Exposure) Length() time.Duration { return e.To - e.From }

// TestPoint is one test of a history.
type TestPoint struct {
	At         time.Duration
	Sufficient bool
	Ratio      float64 // static capacity of the cold brake over the required test torque
	Outcome
}

// Record is one simulated history.
type Record struct {
	History         int
	Span, Scheduled time.Duration
	TestPoints      []TestPoint // of every test; see Study.ShownAlone
	StopPoints      []StopPoint

	Tests, InWindow, Overdue, AfterService        int
	NuisanceFailures, Detections, Missed          int
	Restored                                      int // tests that restored insufficient torque by a run-in, and passed
	Failures, Stops, StopsInsufficient, LoadDrops int // stops are emergency stops
	Outages, OutagesInsufficient                  int // power failures
	Exchanged, ExchangedInVain                    int

	LostToTests, LostToFalseAlarms, LostToRepairs time.Duration

	StopWorkJ, OutageWorkJ float64
	Exposures              []Exposure
	Drops                  [fallings]DropExposure
	Leads                  []Lead
	Warnings               [indicators]int // of a brake with sufficient torque at the end
	Brake                  Brake           // at the end
}

// Shown is the history that is shown over time: the first in which a brake was replaced, or else the first.
func Shown(records []Record) *Record {
	for i := range records {
		if len(records[i].Leads) > 0 {
			return &records[i]
		}
	}
	return &records[0]
}

// summed leaves of the tests what a summary needs, and of the stops nothing.
func (r *Record) summed() {
	var nuisance []TestPoint
	for _, p := range r.TestPoints {
		if p.isNuisance() {
			nuisance = append(nuisance, p)
		}
	}
	r.TestPoints, r.StopPoints = nuisance, nil
}

// isNuisance is whether a brake with sufficient torque did not pass.
func (p *TestPoint) isNuisance() bool { return p.Sufficient && !p.Passed }

// StopPoint is one power failure while lowering.
type StopPoint struct {
	At         time.Duration
	DistanceMM float64
}

// Due is the number of tests that the calendar required.
func (r *Record) Due() int { return r.InWindow + r.Overdue }
