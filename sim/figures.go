package sim

import (
	"math"

	"holdbench/plant"
	"holdbench/sequence"
)

// figureMoment is a moment of a run from which a lesson takes its figures.
type figureMoment struct {
	bench  *Bench
	row    Row
	sinceS float64 // since the stop before, s
}

// FigureValue is a value of a moment that is in no trace, for the figures of lessons.
type FigureValue struct {
	Name, Unit, Note string

	of func(m *figureMoment) float64
}

// FigureValues are the values beside the columns of a trace and the settings: times, what follows from the
// rig, and the speed of the motor shaft as travel of the load.
func FigureValues() []FigureValue {
	derived := func(of func(*plant.Derived) float64) func(*figureMoment) float64 {
		return func(m *figureMoment) float64 { d := plant.Derive(&m.bench.c.Rig); return of(&d) }
	}
	return []FigureValue{
		{"t_s", "s", "time of the run", func(m *figureMoment) float64 { return m.row.TS }},
		{"since_stop_s", "s", "time since the stop before", func(m *figureMoment) float64 { return m.sinceS }},
		{"since_latch_s", "s", "time since the judge's newest check latched the position", func(m *figureMoment) float64 { return m.bench.sinceLatchS() }},
		{"fault_in_s", "s", "time until the next fault whose moment is known", func(m *figureMoment) float64 { return m.bench.untilFaultS() }},
		{"operator_in_s", "s", "time until the next action of the operator", func(m *figureMoment) float64 { return m.bench.untilOperatorS() }},
		{"peak_torque_nm", "N·m", "largest motor torque so far", func(m *figureMoment) float64 { return m.bench.monitors.peakNM }},
		{"power_failure_drop_mm", "mm", "load drop from rest if the power failed now", func(m *figureMoment) float64 { return m.bench.powerFailureDropMM() }},
		{"load_drop_mm", "mm", "largest load drop so far", func(m *figureMoment) float64 { return m.row.DropMM }},
		{"shaft_mm_s", "mm/s", "speed of the motor shaft as travel of the load", func(m *figureMoment) float64 { return m.row.Truth.SpeedRadS * plant.Derive(&m.bench.c.Rig).MMPerRad }},
		{"static_capacity_nm", "N·m", "static capacity of the brake, if it were closed", func(m *figureMoment) float64 { return m.bench.plant.StaticCapacityNM() }},
		{"static_capacity_2_nm", "N·m", "the same of the second brake, at the motor shaft", func(m *figureMoment) float64 { return m.bench.plant.StaticCapacity2NM() }},
		{"required_torque_nm", "N·m", "required test torque", func(m *figureMoment) float64 { return m.bench.plant.RequiredTestNM() }},
		{"mm_per_deg", "mm/deg", "travel of the load per degree of the motor shaft", derived(func(d *plant.Derived) float64 { return d.MMPerRad * math.Pi / 180 })},
		{"encoder_increment_deg", "deg", "increment of the encoder", derived(func(d *plant.Derived) float64 { return d.IncrementDeg })},
		{"guide_breakaway_nm", "N·m", "breakaway friction of the guide", derived(func(d *plant.Derived) float64 { return d.GuideBreakawayNM })},
	}
}

// FigureNames are the names that the texts of a lesson can use in figures: columns of a trace, further values
// of a moment, and the settings of rig, judge and sequence.
func FigureNames(d *sequence.Description) []string {
	names := momentNames(d)
	rig := plant.Defaults()
	for _, f := range plant.Fields() {
		if _, isNumber := f.Number(&rig); isNumber {
			names = append(names, f.Key)
		}
	}
	for _, p := range d.Params {
		if p.Kind == sequence.KindNumber {
			names = append(names, "sequence."+p.Name)
		}
	}
	return names
}

// momentNames are the names of numbers that a moment of a run has.
func momentNames(d *sequence.Description) []string {
	var names []string
	for _, c := range Columns(d) {
		if c.Kind == sequence.KindNumber {
			names = append(names, c.Name)
		}
	}
	for _, v := range FigureValues() {
		names = append(names, v.Name)
	}
	return names
}

// figureScope is what the figures of a lesson can name.
type figureScope struct {
	about *sequence.Description
	own   map[string]bool // columns and values of a moment
	rig   *plant.Rig      // any: which fields are numbers does not depend on it
}

func newFigureScope(d *sequence.Description) *figureScope {
	rig := plant.Defaults()
	s := &figureScope{about: d, own: map[string]bool{}, rig: &rig}
	for _, name := range momentNames(d) {
		s.own[name] = true
	}
	return s
}

// known is whether there is a value of a name.
func (s *figureScope) known(name string) bool {
	return s.own[name] || !math.IsNaN(settingNumber(s.rig, s.about, name))
}

// names lists all of them, for the nearest to a wrong one.
func (s *figureScope) names() []string { return FigureNames(s.about) }

// value is a value of the moment, NaN where there is none.
func (m *figureMoment) value(name string) float64 {
	for _, v := range FigureValues() {
		if v.Name == name {
			return v.of(m)
		}
	}
	about := m.bench.c.Sequence
	columns := Columns(about)
	for i := range columns {
		if c := &columns[i]; c.Name == name && c.Kind == sequence.KindNumber {
			return c.Number(&m.row)
		}
	}
	return settingNumber(m.bench.plant.Rig(), about, name)
}

// settingNumber is the value of a setting, as it is now: faults change those of the rig.
func settingNumber(rig *plant.Rig, about *sequence.Description, key string) float64 {
	if f, ok := plant.FindKey(key); ok {
		if x, isNumber := f.Number(rig); isNumber {
			return x
		}
	}
	for _, p := range about.Params {
		if "sequence."+p.Name == key && p.Kind == sequence.KindNumber {
			return p.Number
		}
	}
	return math.NaN()
}

// untilFaultS is the time until the next fault whose moment is known, NaN if there is none.
func (b *Bench) untilFaultS() float64 {
	next := int64(-1)
	for _, f := range b.schedule {
		if f.due >= b.tick && !f.active && !f.over && (next < 0 || f.due < next) {
			next = f.due
		}
	}
	return b.secondsUntil(next)
}

// untilOperatorS is the time until the next action of the operator, NaN if there is none.
func (b *Bench) untilOperatorS() float64 {
	if len(b.script) == 0 {
		return math.NaN()
	}
	return b.secondsUntil(b.script[0].tick)
}

func (b *Bench) secondsUntil(tick int64) float64 {
	if tick < 0 {
		return math.NaN()
	}
	return b.seconds(tick - b.tick)
}

// sinceLatchS is the time since the judge's newest check latched the position, NaN before the first.
func (b *Bench) sinceLatchS() float64 {
	if b.latchTick == 0 {
		return math.NaN()
	}
	return b.seconds(b.tick - b.latchTick)
}

// powerFailureDropMM is by how much the load would drop from rest if the power failed now, with the first brake
// alone; NaN if it would not stop.
func (b *Bench) powerFailureDropMM() float64 {
	if drop := brakeDropOf(b.plant.RigNow(), false).AtRestMM; drop != nil {
		return *drop
	}
	return math.NaN()
}
