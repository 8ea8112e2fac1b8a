package evaluate

import (
	"cmp"
	"errors"
	"fmt"
	"time"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/safety"
)

// Evaluation is a recorded test, judged again.
type Evaluation struct {
	Rig      string  `json:"rig"`
	Source   string  `json:"source"` // file of the recording
	SHA256   string  `json:"sha256"`
	Date     string  `json:"date"` // of the test, as given or as the file has it; empty if it is not known
	FromS    float64 `json:"from_s"`
	ToS      float64 `json:"to_s"`
	MaxGapS  float64 `json:"max_gap_s"` // for which the last sample of position or current stands
	SampleMS float64 `json:"sample_ms"` // typical time between two samples of the position

	Inputs      []Input  `json:"inputs"`
	Assumptions []string `json:"assumptions"` // without which there would be no verdict
	Requirement string   `json:"requirement"` // judge, recorded; assumed: sized, test-torque

	Verdict string `json:"verdict"` // proven, failed or none
	Cause   string `json:"cause"`   // of a failure; not-judgeable where a gap prevented the verdict
	// The verdict depends on when the safety side scans; the one that is reported is the worst.
	PhaseMatters bool    `json:"phase_matters"`
	Phases       []Phase `json:"phases"`
	PhaseMS      float64 `json:"phase_ms"` // that is reported

	Directions  []Direction  `json:"directions"`
	Checks      []Check      `json:"checks"`          // all, in order
	Figures     Figures      `json:"figures"`         // of two brakes those of the first
	Figures2    *Figures     `json:"figures_brake_2"` // what the checks show of a second brake; null without one
	Obligations []Obligation `json:"obligations"`

	Reservations []string `json:"reservations"` // why a proof by this recording is not to be relied on
	Remarks      []string `json:"remarks"`      // what changes no verdict and is no sign of a healthy brake
}

// Phase is what comes of the test if the safety side scans so long after the beginning of the recording.
type Phase struct {
	PhaseMS float64 `json:"phase_ms"`
	Verdict string  `json:"verdict"`
	Cause   string  `json:"cause"`
}

// Direction is what a proof needs of one brake in one direction.
type Direction struct {
	Brake     string `json:"brake"` // brake; of two brake 1 and brake 2
	Direction string `json:"direction"`
	Required  bool   `json:"required"` // for a proof
	Outcome   string `json:"outcome"`  // of its newest check; not-tested if there is none
	Cause     string `json:"cause"`
	Detail    string `json:"detail"` // why it was not tested
	Check     *int   `json:"check"`  // its place in the list of checks
}

// NotTested is the outcome of a direction in which no check was asked for.
const NotTested = "not-tested"

// Evaluate judges a recording with the judge of a rig. The rig must have passed [plant.Validate]. The error
// says what the recording lacks.
func Evaluate(rig *plant.Rig, r *recording.Recording, o Options) (*Evaluation, error) {
	o, err := o.complete(rig.Clock.SafetyScan)
	if err != nil {
		return nil, err
	}
	if len(r.Time) < 2 {
		return nil, errors.New("the recording has less than two samples")
	}
	in, err := readInputs(rig, r)
	if err != nil {
		return nil, err
	}
	e := &Evaluation{Rig: rig.Rig, Source: r.Source, SHA256: r.SHA256, Date: cmp.Or(o.Date, r.Start), Inputs: in.list, MaxGapS: o.MaxGap.Seconds(), SampleMS: 1000 * in.mm.typicalStep()}
	e.FromS, e.ToS = in.span()
	if e.ToS-e.FromS < 2*rig.Clock.SafetyScan.Seconds() {
		return nil, fmt.Errorf("position and current have %.3g s in common; must be longer than two safety scans of %v", max(0, e.ToS-e.FromS), rig.Clock.SafetyScan)
	}
	if e.SampleMS > 1000*rig.Clock.SafetyScan.Seconds() {
		in.assume("The position was recorded every %.3g ms, and the safety side scans every %v: what happened in between is not seen.", e.SampleMS, rig.Clock.SafetyScan)
	}
	scans, run := e.phases(in, o)
	e.FromS, e.ToS = tidy(e.FromS), tidy(e.ToS)
	e.report(in, scans, run)
	watched := in.watch(r, run)
	e.Figures, e.Obligations = in.figures(e, scans, watched), watched.obligations(e)
	if rig.Brake2.Exists() {
		second := Figures{Date: e.Date, Verdict: e.Verdict, Cause: e.Cause}
		in.figuresOfChecks(e, scans, run, safety.SecondBrake, &second)
		e.Figures2 = &second
	}
	e.Assumptions, e.Requirement = in.assumed, in.requirement
	e.Reservations, e.Remarks = in.reservations(e, watched), in.remarks(e, run)
	weaker, err := e.relaxed(o.Own, rig, r, o)
	e.Reservations = append(e.Reservations, weaker...)
	return e, err
}

// phases judges at each phase, and gives the scans and the run of the worst verdict: of several the first.
func (e *Evaluation) phases(in *inputs, o Options) ([]scan, *replay) {
	var worst *replay
	var scansOf []scan
	period := in.rig.Clock.SafetyScan
	for k := range o.Phases {
		phase := period * time.Duration(k) / time.Duration(o.Phases)
		scans, run := in.judged(e.FromS+phase.Seconds(), o)
		verdict, cause := run.verdict()
		p := Phase{tidy(1000 * phase.Seconds()), verdict, cause}
		e.Phases = append(e.Phases, p)
		first := e.Phases[0]
		e.PhaseMatters = e.PhaseMatters || verdict != first.Verdict || cause != first.Cause
		if worst == nil || badness(verdict, cause) > badness(e.Verdict, e.Cause) {
			worst, scansOf = run, scans
			e.Verdict, e.Cause, e.PhaseMS = p.Verdict, p.Cause, p.PhaseMS
		}
	}
	return scansOf, worst
}

// badness orders verdicts.
func badness(verdict, cause string) int {
	switch {
	case verdict == Failed:
		return 3
	case cause == NotJudgeable:
		return 2
	case verdict == None:
		return 1
	}
	return 0
}

// report writes down checks, and the newest of each brake and direction.
func (e *Evaluation) report(in *inputs, scans []scan, run *replay) {
	e.Checks, e.Directions = []Check{}, []Direction{}
	for _, c := range run.checks {
		e.Checks = append(e.Checks, run.report(in, c, in.thresholds(scans, c)))
	}
	all := run.side.Brakes()
	for _, brake := range []safety.Brakes{safety.FirstBrake, safety.SecondBrake} {
		for _, d := range []safety.Directions{safety.Down, safety.Up} {
			place := run.newest(brake, d)
			required := run.side.Directions()&d != 0
			if all&brake == 0 || !required && place < 0 {
				continue
			}
			of := Direction{Brake: brake.Name(all), Direction: d.String(), Required: required, Outcome: NotTested, Detail: in.notTested(d, &run.withheld)}
			if place >= 0 {
				of.Outcome, of.Cause, of.Detail, of.Check = e.Checks[place].Outcome, e.Checks[place].Cause, "", &place
			}
			e.Directions = append(e.Directions, of)
		}
	}
}

// newest is the place of the newest check of a brake in a direction, -1 without one. A check in which no brake
// was closed is one of the first.
func (r *replay) newest(brake safety.Brakes, d safety.Directions) int {
	for i := len(r.checks) - 1; i >= 0; i-- {
		c := r.checks[i]
		if c.direction == d && (c.brakes&brake != 0 || c.brakes == 0 && brake == safety.FirstBrake) {
			return i
		}
	}
	return -1
}

// OK is whether the brake was proven, by a recording that proves it, and no obligation was seen to be broken.
func (e *Evaluation) OK() bool { return e.Reliable() && len(e.Broken()) == 0 }

// Reliable is whether there is a proof, against more than the bare test torque, and no reservation about it.
func (e *Evaluation) Reliable() bool {
	return e.Verdict == Proven && e.Requirement != RequirementBare && len(e.Reservations) == 0
}

// Broken names the obligations that were seen to be broken.
func (e *Evaluation) Broken() []string {
	var names []string
	for _, o := range e.Obligations {
		if o.State == Broken {
			names = append(names, o.Name)
		}
	}
	return names
}
