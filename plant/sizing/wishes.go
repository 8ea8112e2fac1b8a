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

// Wishes are what a rig does not hold: tolerances, limits of others, and choices.
type Wishes struct {
	Factor           float64
	LightestKG       float64
	HeaviestKG       float64
	CounterLoss      float64 // share of the counterbalance's pull
	LendFriction     bool    // count on no more torque for what the guide takes
	TestPositionMM   float64 // NaN: the best place
	ClearanceMM      float64
	BrakeGuaranteed  float64 // share of the rated torque
	MagnetTolerance  float64
	CurrentTolerance float64
	MotorPeakNM      float64 // 0: not known
	MechanicsNM      float64 // 0: not known
	PressMargin      float64
	PressRateNMS     float64
	FalseAlarm       float64 // rate a test
	AllowedMM        float64
	CreepMMS         float64 // 0: the dwell stays as it is
	Dwell            time.Duration
	MarginScans      int
	Interval         time.Duration

	given []string // names of those that somebody has set
}

// DefaultWishes are those for a rig and the parameters of its sequence. Where both say
// nothing the values are choices or from memory; [Wishes.Fields] says which.
func DefaultWishes(r *plant.Rig, params Params) Wishes {
	return Wishes{
		Factor: r.Test.Factor, LightestKG: r.Load.MassKG, HeaviestKG: r.Load.MassKG,
		TestPositionMM: math.NaN(), ClearanceMM: 5 * r.Test.DropLimitMM,
		BrakeGuaranteed: 0.8, MagnetTolerance: 0.05, CurrentTolerance: 0.02,
		PressMargin: params.or("press_margin", 1.08), PressRateNMS: params.or("press_rate_nm_s", 10),
		FalseAlarm: 1e-6, AllowedMM: r.Test.DropLimitMM / 20,
		Dwell: r.Judge.Dwell, MarginScans: 5, Interval: r.Judge.Interval,
	}
}

func (p Params) or(name string, value float64) float64 {
	if v, ok := p[name]; ok {
		return v
	}
	return value
}

// Wish is one of the wishes: its name, its range and what it means.
type Wish struct {
	Name     string // as a flag has it
	Unit     string
	Min, Max float64 // both included; of a duration in seconds
	Note     string  // meaning and default
	value    any     // *float64, *int, *bool or *time.Duration
}

// Fields lists the wishes in the order of the sections.
func (w *Wishes) Fields() []Wish {
	return []Wish{
		{"factor", "", 0.1, 10, "test torque over load torque; default the rig's. 1.3 is common practice for gravity-loaded axes (from memory)", &w.Factor},
		{"lightest-kg", "kg", 1e-3, 1e6, "lightest mass ever on the axis; default the rig's", &w.LightestKG},
		{"heaviest-kg", "kg", 1e-3, 1e6, "heaviest mass ever on the axis; default the rig's", &w.HeaviestKG},
		{"counter-loss", "", 0, 1, "share of the counterbalance that may be lost; default 0", &w.CounterLoss},
		{"lend-friction", "", 0, 0, "press no more for the friction of the guide, which holds along", &w.LendFriction},
		{"test-position-mm", "mm", -1e6, 1e6, "where to test; default the best place", &w.TestPositionMM},
		{"clearance-mm", "mm", 0, 1e5, "least way to a stop or the support; default 5 times the drop limit (a choice)", &w.ClearanceMM},
		{"brake-guaranteed", "", 0.01, 1, "share of the rated brake torque that its maker guarantees, hot and worn; default 0.8 (from memory)", &w.BrakeGuaranteed},
		{"magnet-tolerance", "", 0, 0.5, "torque constant, either way, with the temperature of the magnets; default 0.05 (from memory)", &w.MagnetTolerance},
		{"current-tolerance", "", 0, 0.5, "measured current, either way; default 0.02 (from memory)", &w.CurrentTolerance},
		{"motor-peak-nm", "N·m", 1e-3, 1e6, "short-time torque of the motor; default not looked at", &w.MotorPeakNM},
		{"mechanics-nm", "N·m", 1e-3, 1e6, "torque at the shaft that screw, belt, gear and coupling can take; default not looked at", &w.MechanicsNM},
		{"press-margin", "", 1, 3, "press torque over the required one; default the sequence's, else 1.08 (a choice)", &w.PressMargin},
		{"press-rate-nm-s", "N·m/s", 1e-3, 1e6, "rate of the press; default the sequence's, else 10 (a choice)", &w.PressRateNMS},
		{"false-alarm", "", 1e-12, 0.1, "rate of false alarms a test; default 1e-6 (a choice)", &w.FalseAlarm},
		{"allowed-mm", "mm", 1e-6, 1e5, "movement of the load that the judge may leave unseen; default 1/20 of the drop limit (a choice)", &w.AllowedMM},
		{"creep-mm-s", "mm/s", 1e-9, 1e5, "slowest creep to be caught, sets the dwell; default the rig's dwell", &w.CreepMMS},
		{"dwell", "s", 1e-3, 600, "how long torque must stand; default the rig's", &w.Dwell},
		{"margin-scans", "", 0, 1000, "safety scans of margin in every time; default 5 (a choice)", &w.MarginScans},
		{"interval", "s", 1, 1e8, "how long a proof lasts; default the rig's. One shift of 8h is common practice (from memory)", &w.Interval},
	}
}

// Set gives a wish its value. The error says what is wrong with the text.
func (w *Wishes) Set(name, text string) error {
	fields := w.Fields()
	i := slices.IndexFunc(fields, func(f Wish) bool { return f.Name == name })
	if i < 0 {
		return fmt.Errorf("%s is no wish of a sizing", name)
	}
	if err := fields[i].set(text); err != nil {
		return err
	}
	w.given = append(w.given, name)
	return nil
}

func (f Wish) set(text string) error {
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
			return f.wrong(text, fmt.Sprintf("a duration such as 8ms, 1.5s or 8h, between %g and %g s", f.Min, f.Max))
		}
		*v = d
	}
	return nil
}

func (f Wish) wrong(found, want string) error {
	return fmt.Errorf("is %q; must be %s", found, want)
}

func (f Wish) span() string {
	text := fmt.Sprintf("between %g and %g", f.Min, f.Max)
	if f.Unit != "" {
		text += " " + f.Unit
	}
	if f.isShare() {
		text += "; 0.05 is 5 %"
	}
	return text
}

// isShare tells wishes that people like to give as a percentage.
func (f Wish) isShare() bool { return f.Unit == "" && f.Max >= 0.5 && f.Max <= 1 }

// Switch is whether the wish is one that is there or not.
func (f Wish) Switch() bool {
	_, ok := f.value.(*bool)
	return ok
}

// origin is where the value of a wish comes from.
func (w *Wishes) origin(name, otherwise string) string {
	if slices.Contains(w.given, name) {
		return "--" + name
	}
	return otherwise
}

// check reports wishes that do not go together, or not with the rig.
func (w *Wishes) check(r *plant.Rig) error {
	var found problem.List
	if w.LightestKG > r.Load.MassKG {
		found.Add("lightest-kg", "is %g kg; must be at most the rig's load.mass_kg, which is %g kg", w.LightestKG, r.Load.MassKG)
	}
	if w.HeaviestKG < r.Load.MassKG {
		found.Add("heaviest-kg", "is %g kg; must be at least the rig's load.mass_kg, which is %g kg", w.HeaviestKG, r.Load.MassKG)
	}
	if w.TestPositionMM < r.Stops.LowMM || w.TestPositionMM > r.Stops.HighMM {
		found.Add("test-position-mm", "is %g mm; must lie between the hard stops at %g and %g mm", w.TestPositionMM, r.Stops.LowMM, r.Stops.HighMM)
	}
	if slices.Contains(w.given, "counter-loss") && w.CounterLoss > 0 && r.Load.CounterbalanceKG == 0 {
		found.Add("counter-loss", "is %g, and the rig has no load.counterbalance_kg; must be left out", w.CounterLoss)
	}
	if slices.Contains(w.given, "creep-mm-s") && slices.Contains(w.given, "dwell") {
		found.Add("creep-mm-s", "sets the dwell, and --dwell is given as well; must be one of them")
	}
	return found.OrNil()
}
