package sizing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// Assumptions are the inputs that a rig does not contain: tolerances, limits of motor and
// mechanics, and choices.
type Assumptions struct {
	Factor                  float64
	MinimumLoadKG           float64
	MaximumLoadKG           float64
	MassTolerance           float64 // share of the mass on the axis, either way
	CounterbalanceLoss      float64 // share of the counterbalance force
	CreditFriction          bool    // no allowance for the friction of the guide
	TestPositionMM          float64 // NaN for the best position
	ClearanceMM             float64
	GuaranteedShare         float64 // share of the rated torque
	TorqueConstantTolerance float64
	CurrentTolerance        float64
	MotorPeakNM             float64 // 0: not specified
	MechanicalLimitNM       float64 // 0: not specified
	PressMargin             float64
	PressRateNMS            float64
	FalseAlarmRate          float64 // per test
	UndetectedMM            float64
	CreepMMS                float64 // 0: the dwell is not derived from a creep
	Dwell                   time.Duration
	MarginScans             int
	Interval                time.Duration
	Tests                   int // in a row
	TestPause               time.Duration

	specified []string // names of those that were set explicitly
}

// DefaultAssumptions are the defaults for a rig and the parameters of its sequence. Without a
// value in either they are choices or from memory; [Assumptions.Fields] states which.
func DefaultAssumptions(r *plant.Rig, params Params) Assumptions {
	return Assumptions{
		Factor: r.Test.Factor, MinimumLoadKG: r.Load.MassKG + r.Load.PayloadKG, MaximumLoadKG: r.Load.MassKG + r.Load.PayloadKG,
		TestPositionMM: math.NaN(), ClearanceMM: 5 * r.Test.DropLimitMM,
		GuaranteedShare: 0.8, TorqueConstantTolerance: 0.05, CurrentTolerance: 0.02,
		PressMargin: params.or("press_margin", 1.08), PressRateNMS: params.or("press_rate", 10),
		FalseAlarmRate: 1e-6, UndetectedMM: r.Test.DropLimitMM / 20,
		Dwell: r.Judge.Dwell, MarginScans: 5, Interval: r.Judge.Interval, Tests: 10, TestPause: defaultTestPause,
	}
}

func (p Params) or(role string, value float64) float64 {
	if v, ok := p[role]; ok {
		return v.Value
	}
	return value
}

// Assumption describes one assumption: its name, range and meaning.
type Assumption struct {
	Name     string // name of its flag
	Unit     string
	Min, Max float64 // both included; of a duration in seconds
	Note     string  // meaning and default
	value    any     // *float64, *int, *bool or *time.Duration
}

// Fields lists the assumptions in the order of the sections.
func (w *Assumptions) Fields() []Assumption {
	return []Assumption{
		{"factor", "", 0.1, 10, "test torque divided by worst-case load torque; default: that of the rig. 1.3 is that of the information sheet of the German accident insurers (DGUV) on gravity-loaded axes (from memory)", &w.Factor},
		{"minimum-load-kg", "kg", 1e-3, 1e6, "minimum mass on the axis at the test; default: that of the rig with its present payload", &w.MinimumLoadKG},
		{"maximum-load-kg", "kg", 1e-3, 1e6, "maximum mass on the axis at the test; default: that of the rig with its present payload. The required test torque follows the most payload of the rig as well", &w.MaximumLoadKG},
		{"mass-tolerance", "", 0, 0.5, "tolerance of the mass on the axis, either way, as the spread of a mass in a sweep; default 0, the mass is as stated", &w.MassTolerance},
		{"counterbalance-loss", "", 0, 1, "share of the counterbalance force that can be lost; default 0, and the loss of all of it is a finding. State it, 0 as well, if the design excludes more", &w.CounterbalanceLoss},
		{"credit-friction", "", 0, 0, "credit the breakaway friction of the guide: no allowance for it in the press", &w.CreditFriction},
		{"test-position-mm", "mm", -1e6, 1e6, "test position; default: the best position", &w.TestPositionMM},
		{"clearance-mm", "mm", 0, 1e5, "minimum distance from the stops and the support; default: 5 times the drop limit (a choice)", &w.ClearanceMM},
		{"guaranteed-share", "", 0.01, 1, "share of the rated brake torque guaranteed by the manufacturer, hot and worn; default 0.8 (from memory)", &w.GuaranteedShare},
		{"torque-constant-tolerance", "", 0, 0.5, "tolerance of the torque constant, with the temperature of the magnets; default 0.05 (from memory)", &w.TorqueConstantTolerance},
		{"current-tolerance", "", 0, 0.5, "tolerance of the measured current; default 0.02 (from memory)", &w.CurrentTolerance},
		{"motor-peak-nm", "N·m", 1e-3, 1e6, "peak torque of the motor; default: not considered", &w.MotorPeakNM},
		{"mechanical-limit-nm", "N·m", 1e-3, 1e6, "torque limit of screw, belt, gear and coupling at the shaft; default: not considered", &w.MechanicalLimitNM},
		{"press-margin", "", 1, 3, "press torque divided by required torque; default: that of the sequence, else 1.08 (a choice)", &w.PressMargin},
		{"press-rate-nm-s", "N·m/s", 1e-3, 1e6, "torque rate of the press; default: that of the sequence, else 10 (a choice)", &w.PressRateNMS},
		{"false-alarm-rate", "", 1e-12, 0.1, "permitted rate of false alarms per test; default 1e-6 (a choice)", &w.FalseAlarmRate},
		{"undetected-mm", "mm", 1e-6, 1e5, "movement of the load that may remain undetected; default: 1/20 of the drop limit (a choice)", &w.UndetectedMM},
		{"creep-mm-s", "mm/s", 1e-9, 1e5, "slowest creep to be detected, determines the dwell; default: the dwell of the rig", &w.CreepMMS},
		{"dwell", "s", 1e-3, 600, "dwell of the judge; default: that of the rig", &w.Dwell},
		{"margin-scans", "", 0, 1000, "margin of each time in safety scans; default 5 (a choice)", &w.MarginScans},
		{"interval", "s", 1, 1e8, "validity of a proof; default: that of the rig. One shift of 8h is common practice (from memory)", &w.Interval},
		{"tests", "", 1, 1000, "tests in a row, for the thermal load of motor and drive; default 10 (a choice)", &w.Tests},
		{"test-pause", "s", 0, 1e5, "time between the presses of two such tests, holding the load; default 5s (a choice)", &w.TestPause},
	}
}

// Set sets an assumption by its name. The error states why the text is not permitted.
func (w *Assumptions) Set(name, text string) error {
	fields := w.Fields()
	i := slices.IndexFunc(fields, func(f Assumption) bool { return f.Name == name })
	if i < 0 {
		return fmt.Errorf("%s is not an assumption of a sizing", name)
	}
	if err := fields[i].set(text); err != nil {
		return err
	}
	w.specified = append(w.specified, name)
	return nil
}

func (f Assumption) set(text string) error {
	switch v := f.value.(type) {
	case *float64:
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(x) || x < f.Min || x > f.Max {
			return f.wrong(text, f.span())
		}
		*v = x
	case *int:
		n, err := strconv.Atoi(text)
		if err != nil || float64(n) < f.Min || float64(n) > f.Max {
			return f.wrong(text, "a whole number "+f.span())
		}
		*v = n
	case *bool:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return f.wrong(text, "true or false")
		}
		*v = b
	case *time.Duration:
		d, err := time.ParseDuration(text)
		if err != nil || d.Seconds() < f.Min || d.Seconds() > f.Max {
			return f.wrong(text, problem.Text("a duration such as 8ms, 1.5s or 8h, between %g and %g s", f.Min, f.Max))
		}
		*v = d
	}
	return nil
}

func (f Assumption) wrong(found, want string) error {
	return fmt.Errorf("is %q; must be %s", found, want)
}

func (f Assumption) span() string {
	text := problem.Text("between %g and %g", f.Min, f.Max)
	if f.Unit != "" {
		text += " " + f.Unit
	}
	if f.isShare() {
		text += "; 0.05 is 5 %"
	}
	return text
}

// isShare reports an assumption that is often stated as a percentage.
func (f Assumption) isShare() bool { return f.Unit == "" && f.Max >= 0.5 && f.Max <= 1 }

// IsSwitch reports whether the assumption is a flag without a value.
func (f Assumption) IsSwitch() bool {
	_, ok := f.value.(*bool)
	return ok
}

// source is the source of the value of an assumption.
func (w *Assumptions) source(name, otherwise string) string {
	if slices.Contains(w.specified, name) {
		return "--" + name
	}
	return otherwise
}

// check reports assumptions that contradict each other or the rig.
func (w *Assumptions) check(r *plant.Rig) error {
	var found problem.List
	present, of := r.Load.MassKG+r.Load.PayloadKG, "load.mass_kg"
	if r.Load.PayloadKG > 0 {
		of = "load.mass_kg and load.payload_kg"
	}
	if w.MinimumLoadKG > present {
		found.Add("minimum-load-kg", "is %g kg; must be at most the rig's %s, which is %g kg", w.MinimumLoadKG, of, present)
	}
	if w.MaximumLoadKG < present {
		found.Add("maximum-load-kg", "is %g kg; must be at least the rig's %s, which is %g kg", w.MaximumLoadKG, of, present)
	}
	if w.TestPositionMM < r.Stops.LowMM || w.TestPositionMM > r.Stops.HighMM {
		found.Add("test-position-mm", "is %g mm; must lie between the hard stops at %g and %g mm", w.TestPositionMM, r.Stops.LowMM, r.Stops.HighMM)
	}
	if s := &r.Support; s.StiffnessNPerMM > 0 && w.TestPositionMM <= s.AtMM {
		found.Add("test-position-mm", "is %g mm; must be above the support of the rig, which is at %g mm", w.TestPositionMM, s.AtMM)
	}
	if slices.Contains(w.specified, "counterbalance-loss") && w.CounterbalanceLoss > 0 && !counterbalanced(&r.Load) {
		found.Add("counterbalance-loss", "is %g, and the rig has no load.counterbalance_kg; must be omitted", w.CounterbalanceLoss)
	}
	if slices.Contains(w.specified, "creep-mm-s") && slices.Contains(w.specified, "dwell") {
		found.Add("creep-mm-s", "determines the dwell, and --dwell is specified as well; must be one of them")
	}
	return found.OrNil()
}
