package sequence

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUnitOf(t *testing.T) {
	t.Parallel()
	tests := map[string]string{
		"position_mm": "mm", "position_deg": "deg", "speed": "mm/s", "move_speed_mm_s": "mm/s",
		"brake_mm_s2": "mm/s^2", "torque_nm": "N·m", "press_rate_nm_s": "N·m/s", "turn_deg_s": "deg/s",
		"current_rms_a": "A rms", "required_current_a": "A", "torque_constant_nm_per_rms_a": "N·m/A rms",
		"in_state_s": "s", "load_kg": "kg", "press_margin": "", "times": "", "mm": "",
	}
	for name, want := range tests {
		assert.Equal(t, want, UnitOf(name).String(), name)
	}
}

// A row without a message is a valid expression.
func TestUnitsOfExpressions(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text string
		says []string
	}{
		{"position_mm < 3", nil},
		{"position_mm < way_mm", nil},
		{"position_mm < load_nm", []string{"position_mm is in mm, load_nm in N·m", "<"}},
		{"position_mm + load_nm > 1", []string{"position_mm is in mm, load_nm in N·m", "+"}},
		{"position_mm < factor", []string{"position_mm is in mm, factor a plain number"}},
		{"position_mm < factor * way_mm", nil},
		{"position_mm / in_state_s > speed", nil},
		{"position_mm > speed * in_state_s + 2 * 3", nil},
		{"abs(position_mm - way_mm) <= 0.5 * way_mm", nil},
		{"min(position_mm, 3, way_mm) > 1", nil},
		{"max(position_mm, load_nm) > 1", []string{"max", "position_mm is in mm, load_nm in N·m"}},
		{"(trigger ? position_mm : load_nm) > 1", []string{"? :"}},
		{"sqrt(way_mm * way_mm) == position_mm", nil},
		{"cos_deg(position_deg) < 0.5", nil},
		{"cos_deg(position_mm) < 0.5", []string{"position_mm is in mm", "angle in deg"}},
		{"previous(position_mm) == way_mm", nil},
		{"previous(position_mm) == limit_a", []string{"previous(position_mm) is in mm, limit_a in A"}},
		{"previous(way_mm) == way_mm", []string{"way_mm is none"}},
		{"previous(position_mm + 1) == way_mm", []string{"previous needs an input"}},
		{"sqrt(way_mm) > 1", []string{"sqrt needs a squared unit", "in mm"}},
		{"sign(position_mm) == factor", nil},
		{"sign(position_mm) == way_mm", []string{"sign(position_mm) is a plain number"}},
		{"current_rms_a > limit_a", []string{"current_rms_a is in A rms, limit_a in A", "amplitude() and rms() convert"}},
		{"amplitude(current_rms_a) > limit_a", nil},
		{"current_rms_a > rms(limit_a)", nil},
		{"amplitude(limit_a) > limit_a", []string{"limit_a is in A", "A rms"}},
		{"rms(load_nm) > 1", []string{"load_nm is in N·m"}},
		{"torque_nm / constant_nm_per_rms_a > current_rms_a", nil},
		{"torque_nm / constant_nm_per_rms_a > limit_a", []string{"A rms", "amplitude()"}},
		{"in_state_s * in_state_s > in_state_s", []string{"in s^2", "in s;"}},
		{"1 / in_state_s > factor", []string{"in 1/s"}},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			t.Parallel()
			problems := checkText(t, test.text)
			if test.says == nil {
				require.Empty(t, problems)
				return
			}
			require.NotEmpty(t, problems)
			for _, words := range test.says {
				assert.Contains(t, problems[0].Message, words)
			}
		})
	}
}

func checkText(t *testing.T, text string) []*ExprError {
	t.Helper()
	s := newScope()
	for _, name := range []string{"way_mm", "load_nm", "factor", "limit_a", "constant_nm_per_rms_a"} {
		s.add(name, symbol{kind: KindNumber, unit: UnitOf(name), code: fixedNumber(2)})
	}
	e, err := ParseExpr(text)
	require.NoError(t, err)
	return s.check(e, KindUnknown)
}

// The unit in the table of signals is the one of the name.
func TestSignalUnits(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range append(InputSignals(), OutputSignals()...) {
		assert.False(t, seen[s.Name], s.Name)
		seen[s.Name] = true
		assert.NotEmpty(t, s.Note)
		assert.True(t, isName(s.Name))
		assert.Equal(t, UnitOf(s.Name), s.Unit, s.Name)
	}
}

func TestSignalAccess(t *testing.T) {
	t.Parallel()
	text := map[Kind]string{KindBoolean: "true", KindNumber: "-12.5"}
	var in Inputs
	var out Outputs
	for _, s := range InputSignals() {
		want := text[s.Kind]
		if s.Kind == KindWord {
			want = s.Words[1]
		}
		require.NoError(t, s.SetInput(&in, want), s.Name)
		assert.Equal(t, want, string(s.AppendInput(nil, &in)), s.Name)
		require.Error(t, s.SetInput(&in, "no such value"), s.Name)
		require.Error(t, s.SetOutput(&out, want), s.Name)
	}
	for _, s := range OutputSignals() {
		want := text[s.Kind]
		if s.Kind == KindWord {
			want = append(s.Words, "free text", "free text")[1]
		}
		require.NoError(t, s.SetOutput(&out, want), s.Name)
		assert.Equal(t, want, string(s.AppendOutput(nil, &out)), s.Name)
		require.Error(t, s.SetInput(&in, want), s.Name)
		if s.Name != "alarm" {
			require.Error(t, s.SetOutput(&out, "NaN"), s.Name)
		}
	}
	assert.Equal(t, Outputs{
		Drive: DriveHold, TargetMM: -12.5, TargetDeg: -12.5, PressTorqueNM: -12.5, PressRateNMS: -12.5,
		TorqueLimitNM: -12.5, MoveSpeed: -12.5, RequiredCurrentA: -12.5, Brake: BrakeClosed, Brake2: Brake2Closed,
		Decouple: true, Ask: AskDown, Operation: OperationInhibited, Alarm: "free text",
	}, out)
}

func TestSignalAccessAllocatesNothing(t *testing.T) {
	inputs, outputs := InputSignals(), OutputSignals()
	in, out := &Inputs{JudgeCause: CauseMoved}, &Outputs{Alarm: "x"}
	row := make([]byte, 0, 1024)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		row = row[:0]
		for i := range inputs {
			row = inputs[i].AppendInput(row, in)
		}
		for i := range outputs {
			row = outputs[i].AppendOutput(row, out)
		}
	}))
}

// SetInput writes a value given as text (true, 12.5, a word) into the image.
func (s *Signal) SetInput(in *Inputs, text string) error {
	switch {
	case s.in.boolean != nil:
		return s.setBoolean(s.in.boolean(in), text)
	case s.in.number != nil:
		return s.setNumber(s.in.number(in), text)
	case s.in.word != nil:
		if indexOf(s.Words, text) < 0 {
			return s.badWord(text)
		}
		*s.in.word(in) = text
		return nil
	}
	return fmt.Errorf("%s is not an input", s.Name)
}
