package sim

import (
	"io"
	"math"
	"strconv"

	"holdbench/plant"
	"holdbench/sequence"
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
	SupportN      float64           // with which the support carries the load
	ThermalLoad   float64           // of motor and drive, as a share of the permitted one
	JudgeCurrentA float64           // amplitude that the judge reads, A
	Brake2        *plant.BrakeState // truth of the second brake, nil without one
}

func (b *Bench) traceRow() error {
	thermalLoad, _ := b.plant.ThermalLoad()
	return b.trace.Row(&Row{
		TS: b.seconds(b.tick), State: b.stateName(), In: &b.in, Out: &b.out,
		Truth: b.plant.State(), LoadMM: b.plant.LoadMM(), SupportN: b.plant.SupportN(), Brake2: b.plant.Brake2State(),
		ThermalLoad: thermalLoad, JudgeCurrentA: b.judgeCurrentA(),
	})
}

// truthColumn is one column of truth.
type truthColumn struct {
	name  string
	value func(r *Row) float64
}

func truthColumns() []truthColumn {
	return []truthColumn{
		{"angle_rad", func(r *Row) float64 { return r.Truth.AngleRad }},
		{"speed_rad_s", func(r *Row) float64 { return r.Truth.SpeedRadS }},
		{"current_amp_a", func(r *Row) float64 { return math.Sqrt2 * r.Truth.CurrentRMSA }},
		{"torque_motor_nm", func(r *Row) float64 { return r.Truth.MotorTorqueNM }},
		{"torque_brake_nm", func(r *Row) float64 { return r.Truth.BrakeTorqueNM }},
		{"torque_load_nm", func(r *Row) float64 { return r.Truth.LoadTorqueNM }},
		{"capacity_nm", func(r *Row) float64 { return r.Truth.CapacityNM }},
		{"engagement", func(r *Row) float64 { return r.Truth.Engagement }},
		{"brake_temp_c", func(r *Row) float64 { return r.Truth.BrakeTempC }},
		{"load_mm", func(r *Row) float64 { return r.LoadMM }},
		{"support_n", func(r *Row) float64 { return r.SupportN }},
		{"slip_deg", func(r *Row) float64 { return r.Truth.SlipRad * 180 / math.Pi }},
		{"thermal_load", func(r *Row) float64 { return r.ThermalLoad }},
		{"judge_current_amp_a", func(r *Row) float64 { return r.JudgeCurrentA }},
		ofBrake2("torque_brake_2_nm", func(s *plant.BrakeState) float64 { return s.BrakeTorqueNM }),
		ofBrake2("capacity_2_nm", func(s *plant.BrakeState) float64 { return s.CapacityNM }),
		ofBrake2("engagement_2", func(s *plant.BrakeState) float64 { return s.Engagement }),
		ofBrake2("brake_2_temp_c", func(s *plant.BrakeState) float64 { return s.BrakeTempC }),
		ofBrake2("brake_2_slip_deg", func(s *plant.BrakeState) float64 { return s.SlipRad * 180 / math.Pi }),
	}
}

// ofBrake2 is a column of the second brake. It is there in every trace, without a value where there
// is no second brake, so that traces of any two rigs have the same columns.
func ofBrake2(name string, value func(*plant.BrakeState) float64) truthColumn {
	return truthColumn{name, func(r *Row) float64 {
		if r.Brake2 == nil {
			return math.NaN()
		}
		return value(r.Brake2)
	}}
}

// csvTrace writes the trace as comma-separated values with a heading. Only an alarm is free
// text and needs quotes.
type csvTrace struct {
	out     io.Writer
	inputs  []sequence.Signal
	outputs []sequence.Signal
	kept    []sequence.Signal
	truth   []truthColumn
	line    []byte
}

// NewCSVTrace writes the heading and returns a trace of a sequence that writes to out, which
// should be buffered. What the sequence keeps stands behind the outputs.
func NewCSVTrace(out io.Writer, d *sequence.Description) (Tracer, error) {
	t := &csvTrace{out: out, inputs: sequence.InputSignals(), outputs: sequence.OutputSignals(), kept: d.Kept, truth: truthColumns()}
	t.line = append(t.line, "t_s,state"...)
	for _, list := range [][]sequence.Signal{t.inputs, t.outputs, t.kept} {
		for _, s := range list {
			t.line = append(append(t.line, ','), s.Name...)
		}
	}
	for _, c := range t.truth {
		t.line = append(append(t.line, ','), c.name...)
	}
	_, err := out.Write(append(t.line, '\n'))
	return t, err
}

// Row writes one line.
func (t *csvTrace) Row(r *Row) error {
	t.line = strconv.AppendFloat(t.line[:0], r.TS, 'g', -1, 64)
	t.line = append(append(t.line, ','), r.State...)
	for i := range t.inputs {
		t.line = t.inputs[i].AppendInput(append(t.line, ','), r.In)
	}
	for i := range t.outputs {
		t.line = append(t.line, ',')
		if t.outputs[i].Name == "alarm" {
			t.line = appendQuoted(t.line, r.Out.Alarm)
			continue
		}
		t.line = t.outputs[i].AppendOutput(t.line, r.Out)
	}
	for i := range t.kept {
		t.line = t.kept[i].AppendInput(append(t.line, ','), r.In)
	}
	for _, c := range t.truth {
		t.line = append(t.line, ',')
		if x := c.value(r); !math.IsNaN(x) { // else there is no such value
			t.line = strconv.AppendFloat(t.line, x, 'g', -1, 64)
		}
	}
	t.line = append(t.line, '\n')
	_, err := t.out.Write(t.line)
	return err
}

// appendQuoted writes free text as RFC 4180, section 2, requires.
func appendQuoted(dst []byte, text string) []byte {
	if text == "" {
		return dst
	}
	dst = append(dst, '"')
	for i := range len(text) {
		if text[i] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, text[i])
	}
	return append(dst, '"')
}
