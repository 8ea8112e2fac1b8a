package sim

import (
	"io"
	"math"
	"strconv"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim/csvcell"
)

// Tracer takes one row for each functional scan, after the plant has done the tick. The row
// is valid only during the call.
type Tracer interface {
	Row(r *Row) error
}

// Row is one moment of a run: both images of the sequence, and the truth.
type Row struct {
	TS            float64
	State         string
	In            *sequence.Inputs
	Out           *sequence.Outputs
	Truth         *plant.State
	LoadMM        float64
	DropMM        float64           // largest load drop so far
	SupportN      float64           // with which the support carries the load
	ThermalLoad   float64           // of motor and drive, as a share of the permitted one
	JudgeCurrentA float64           // amplitude that the judge reads, A
	Brake2        *plant.BrakeState // truth of the second brake, nil without one
}

func (b *Bench) traceRow() error {
	b.traced = b.row()
	return b.trace.Row(&b.traced)
}

// row is the present moment, as a trace has it.
func (b *Bench) row() Row {
	thermalLoad, _ := b.plant.ThermalLoad()
	return Row{
		TS: b.seconds(b.tick), State: b.stateName(), In: &b.in, Out: &b.out,
		Truth: b.plant.State(), LoadMM: b.plant.LoadMM(), DropMM: b.monitors.drop.largest, SupportN: b.plant.SupportN(), Brake2: b.plant.Brake2State(),
		ThermalLoad: thermalLoad, JudgeCurrentA: b.judgeCurrentA(),
	}
}

// Group is what a column of a trace belongs to.
type Group string

// The groups of columns, in the order of a trace. The time and the state are in none.
const (
	InputGroup  Group = "inputs"
	OutputGroup Group = "outputs"
	KeptGroup   Group = "kept" // values that states of the sequence keep
	TruthGroup  Group = "truth"
)

// Column is one column of a trace behind the time.
type Column struct {
	Name  string
	Group Group
	Kind  sequence.Kind
	Words []string // of a word out of a set; nil for free text

	number func(r *Row) float64
	text   func(dst []byte, r *Row) []byte
}

// Number is a number, or 1 and 0 for true and false; NaN where there is no such value. It has no
// meaning for a word.
func (c *Column) Number(r *Row) float64 { return c.number(r) }

// AppendText appends the value as text: true or false, the shortest exact number, the bare word.
// Nothing where there is no such value.
func (c *Column) AppendText(dst []byte, r *Row) []byte { return c.text(dst, r) }

// Columns are those of a trace of a sequence: the state, the inputs, the outputs, what the sequence
// keeps, the truth.
func Columns(d *sequence.Description) []Column {
	list := []Column{{
		Name: "state", Kind: sequence.KindWord, Words: d.StateNames(),
		number: func(*Row) float64 { return math.NaN() },
		text:   func(dst []byte, r *Row) []byte { return append(dst, r.State...) },
	}}
	for _, s := range sequence.InputSignals() {
		list = append(list, inputColumn(s, InputGroup))
	}
	for _, s := range sequence.OutputSignals() {
		list = append(list, Column{
			Name: s.Name, Group: OutputGroup, Kind: s.Kind, Words: s.Words,
			number: func(r *Row) float64 { return s.OutputNumber(r.Out) },
			text:   func(dst []byte, r *Row) []byte { return s.AppendOutput(dst, r.Out) },
		})
	}
	for _, s := range d.Kept {
		list = append(list, inputColumn(s, KeptGroup))
	}
	return append(list, truthColumns()...)
}

func inputColumn(s sequence.Signal, g Group) Column {
	return Column{
		Name: s.Name, Group: g, Kind: s.Kind, Words: s.Words,
		number: func(r *Row) float64 { return s.InputNumber(r.In) },
		text:   func(dst []byte, r *Row) []byte { return s.AppendInput(dst, r.In) },
	}
}

func truthColumns() []Column {
	return []Column{
		truthColumn("angle_rad", func(r *Row) float64 { return r.Truth.AngleRad }),
		truthColumn("speed_rad_s", func(r *Row) float64 { return r.Truth.SpeedRadS }),
		truthColumn("current_amp_a", func(r *Row) float64 { return math.Sqrt2 * r.Truth.CurrentRMSA }),
		truthColumn("torque_motor_nm", func(r *Row) float64 { return r.Truth.MotorTorqueNM }),
		truthColumn("torque_brake_nm", func(r *Row) float64 { return r.Truth.BrakeTorqueNM }),
		truthColumn("torque_load_nm", func(r *Row) float64 { return r.Truth.LoadTorqueNM }),
		truthColumn("capacity_nm", func(r *Row) float64 { return r.Truth.CapacityNM }),
		truthColumn("engagement", func(r *Row) float64 { return r.Truth.Engagement }),
		truthColumn("brake_temp_c", func(r *Row) float64 { return r.Truth.BrakeTempC }),
		truthColumn("load_mm", func(r *Row) float64 { return r.LoadMM }),
		truthColumn("support_n", func(r *Row) float64 { return r.SupportN }),
		truthColumn("slip_deg", func(r *Row) float64 { return r.Truth.SlipRad * 180 / math.Pi }),
		truthColumn("thermal_load", func(r *Row) float64 { return r.ThermalLoad }),
		truthColumn("judge_current_amp_a", func(r *Row) float64 { return r.JudgeCurrentA }),
		ofBrake2("torque_brake_2_nm", func(s *plant.BrakeState) float64 { return s.BrakeTorqueNM }),
		ofBrake2("capacity_2_nm", func(s *plant.BrakeState) float64 { return s.CapacityNM }),
		ofBrake2("engagement_2", func(s *plant.BrakeState) float64 { return s.Engagement }),
		ofBrake2("brake_2_temp_c", func(s *plant.BrakeState) float64 { return s.BrakeTempC }),
		ofBrake2("brake_2_slip_deg", func(s *plant.BrakeState) float64 { return s.SlipRad * 180 / math.Pi }),
	}
}

// truthColumn is a number of the truth.
func truthColumn(name string, value func(r *Row) float64) Column {
	return Column{
		Name: name, Group: TruthGroup, Kind: sequence.KindNumber, number: value,
		text: func(dst []byte, r *Row) []byte {
			if x := value(r); !math.IsNaN(x) { // else there is no such value
				return strconv.AppendFloat(dst, x, 'g', -1, 64)
			}
			return dst
		},
	}
}

// ofBrake2 is a column of the second brake. It is there in every trace, without a value where there
// is no second brake, so that traces of any two rigs have the same columns.
func ofBrake2(name string, value func(*plant.BrakeState) float64) Column {
	return truthColumn(name, func(r *Row) float64 {
		if r.Brake2 == nil {
			return math.NaN()
		}
		return value(r.Brake2)
	})
}

// csvTrace writes the trace as comma-separated values with a heading.
type csvTrace struct {
	out     io.Writer
	columns []Column
	line    []byte
	word    []byte
}

// NewCSVTrace writes the heading and returns a trace of a sequence that writes to out, which
// should be buffered. What the sequence keeps stands behind the outputs.
func NewCSVTrace(out io.Writer, d *sequence.Description) (Tracer, error) {
	t := &csvTrace{out: out, columns: Columns(d)}
	t.line = append(t.line, "t_s"...)
	for i := range t.columns {
		t.line = append(append(t.line, ','), t.columns[i].Name...)
	}
	_, err := out.Write(append(t.line, '\n'))
	return t, err
}

// Row writes one line.
func (t *csvTrace) Row(r *Row) error {
	t.line = strconv.AppendFloat(t.line[:0], r.TS, 'g', -1, 64)
	for i := range t.columns {
		c := &t.columns[i]
		t.line = append(t.line, ',')
		if c.Kind != sequence.KindWord {
			t.line = c.AppendText(t.line, r)
			continue
		}
		t.word = c.AppendText(t.word[:0], r)
		t.line = t.appendWord(t.line, c.Words == nil)
	}
	t.line = append(t.line, '\n')
	_, err := t.out.Write(t.line)
	return err
}

// appendWord writes a word that is no formula; free text, and what needs them, in quotes.
func (t *csvTrace) appendWord(dst []byte, free bool) []byte {
	if len(t.word) == 0 || isPlain(t.word) && !free {
		return append(dst, t.word...)
	}
	return appendQuoted(dst, csvcell.Text(string(t.word)))
}

// isPlain is whether a word is of lower-case letters and what stands between them, as nearly all are.
func isPlain(word []byte) bool {
	for i, c := range word {
		if (c < 'a' || c > 'z') && (i == 0 || c != '_' && c != '-' && (c < '0' || c > '9')) {
			return false
		}
	}
	return true
}

// appendQuoted writes text as RFC 4180, section 2, requires.
func appendQuoted(dst []byte, text string) []byte {
	dst = append(dst, '"')
	for i := range len(text) {
		if text[i] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, text[i])
	}
	return append(dst, '"')
}
