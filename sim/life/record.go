package life

import "time"

// Told is who told of an unfit brake.
type Told string

// Who can tell.
const (
	ToldByTest Told = "test"
	ToldByFall Told = "fall" // an emergency stop did not stop the load
	ToldByNone Told = "none" // nobody until the end of the life
)

// Exposure is a time with an unfit brake.
type Exposure struct {
	From, To   time.Duration
	Production time.Duration // of it
	By         Told
}

// Length is how long it lasted.
func (e Exposure) Length() time.Duration { return e.To - e.From }

// Point is one test of a life.
type Point struct {
	At    time.Duration
	Fit   bool
	Ratio float64 // static capacity of the cold brake over the required test torque
	Outcome
}

// Record is what came of one life.
type Record struct {
	Life            int
	Span, Scheduled time.Duration
	Points          []Point // of every test
	StopPoints      []StopPoint

	Tests, InWindow, Overdue, AfterService int
	InVain, Detections, Missed             int
	Failures, Stops, StopsUnfit, Falls     int
	Exchanged, FitExchanged                int

	LostToTests, LostToFalseAlarms, LostToRepairs time.Duration

	StopWorkJ float64
	Exposures []Exposure
	Leads     []Lead
	Warnings  [signs]int // of a brake that is fit at the end
	Brake     Brake      // in the end
}

// StopPoint is one emergency stop while lowering.
type StopPoint struct {
	At         time.Duration
	DistanceMM float64
}

// Due is how many tests the calendar asked for.
func (r *Record) Due() int { return r.InWindow + r.Overdue }
