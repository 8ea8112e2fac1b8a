package evaluate_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
	"holdbench/sim/evaluate"
)

// healthy is a healthy test on each kind of rig: a judge of current and of torque, an arm, a counterbalance.
var healthy = []string{"healthy-down-and-up", "healthy-arm", "healthy-counterbalanced", "healthy-with-payload"}

func judged(t *testing.T, rig *plant.Rig, r *recording.Recording) *evaluate.Evaluation {
	t.Helper()
	e, err := evaluate.Evaluate(rig, r, evaluate.Options{})
	require.NoError(t, err)
	return e
}

// What a recorder often lacks is assumed, said, and changes no verdict of a test that runs as it should.
func TestStandIns(t *testing.T) {
	t.Parallel()
	for _, without := range [][]string{
		{"ask"},
		{"judge_current_amp_a"},
		{"judge_current_amp_a", "current_rms_a"},
		{"brake_closed"},
		{"required_current_a"},
		{"ask", "judge_current_amp_a", "current_rms_a", "brake_closed", "required_current_a"},
	} {
		for _, name := range append(slices.Clone(healthy), "lining-worn-thin") {
			c := load(t, name, nil)
			r, result := record(t, c, without...)
			e := judged(t, &c.Rig, r)
			assert.Equal(t, result.Verdict, e.Verdict, "%s without %v: %s", name, without, e.Cause)
			assert.Equal(t, judgeCause(result), e.Cause)
			if slices.Contains(without, "ask") {
				assert.NotEmpty(t, e.Assumptions)
			}
			for _, o := range e.Obligations {
				assert.NotEqual(t, evaluate.Broken, o.State, "%s: %s", o.Name, o.Why)
			}
		}
	}
}

// Without what nothing can stand in for there is no verdict, and the error names what would do.
func TestMissingSignals(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	for _, x := range []struct {
		without []string
		want    string
	}{
		{[]string{"position_mm"}, "must have position_mm, or angle_rad of the motor shaft"},
		{[]string{"torque_nm", "current_rms_a", "judge_current_amp_a"}, "must have one of judge_current_amp_a, current_amp_a, current_rms_a, torque_nm"},
		{[]string{"brake", "brake_closed"}, "must have brake_closed, its feedback, or brake, its command"},
	} {
		r, _ := record(t, c, x.without...)
		_, err := evaluate.Evaluate(&c.Rig, r, evaluate.Options{})
		require.ErrorContains(t, err, x.want)
	}
	_, err := evaluate.Evaluate(&c.Rig, &recording.Recording{Time: []float64{1}}, evaluate.Options{})
	require.ErrorContains(t, err, "less than two samples")
}

// A gap in the dwell ends the check without a verdict; a shorter one than the bound does not.
func TestGaps(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	for _, x := range []struct {
		signal  string
		from    float64
		length  float64
		verdict string
	}{
		{"position_mm", 3.8, 0.03, evaluate.Proven},
		{"position_mm", 3.8, 0.06, evaluate.None},
		{"judge_current_amp_a", 5.5, 0.06, evaluate.None},
		{"position_mm", 1.0, 0.5, evaluate.Proven}, // ahead of the checks
	} {
		r, _ := record(t, c)
		values := r.Values(x.signal)
		for i, at := range r.Time {
			if at > x.from && at < x.from+x.length {
				values[i] = math.NaN()
			}
		}
		e := judged(t, &c.Rig, r)
		assert.Equal(t, x.verdict, e.Verdict, "%+v", x)
		if x.verdict == evaluate.None {
			assert.Equal(t, evaluate.NotJudgeable, e.Cause)
			assert.False(t, e.OK())
		}
	}
}

// Enough torque for one scan more or less is found at some phases only, and the worst counts.
func TestPhaseThatMatters(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c, "judge_current_amp_a", "torque_nm")
	amps := r.Values("current_rms_a")
	for i, at := range r.Time { // a dip of 2 ms in each dwell: one of four phases sees it
		if math.Abs(math.Mod(at, 0.8)-0.002) < 1e-4 && at > 3.3 && at < 6.1 {
			amps[i] = 0
		}
	}
	e := judged(t, &c.Rig, r)
	assert.True(t, e.PhaseMatters)
	verdicts := map[string]int{}
	for _, p := range e.Phases {
		verdicts[p.Verdict]++
	}
	assert.Equal(t, 6, verdicts[evaluate.Proven], "of 8 phases, a sample stands for two")
	assert.NotEqual(t, evaluate.Proven, e.Verdict)
}

// Figures against what the rig says: t11 and t12 of the closing, the load torque, and the spring of the brake.
func TestFigures(t *testing.T) {
	t.Parallel()
	// an encoder that is fine enough for the wind-up, which is 0.1 degrees at the rated torque
	c := load(t, "healthy-down-and-up", map[string]string{"rig.encoder.increments_per_turn": "4194304", "rig.encoder.noise_deg": "0", "rig.brake.play_deg": "0"})
	r, _ := record(t, c)
	f := judged(t, &c.Rig, r).Figures
	d := plant.Derive(&c.Rig)
	holding := d.HoldingCurrentRMSA
	assert.InDelta(t, holding, *f.HoldingBeforeRMSA, d.GuideBreakawayNM/c.Rig.Motor.TorqueConstant)
	assert.InDelta(t, holding, *f.HoldingAfterRMSA, d.GuideBreakawayNM/c.Rig.Motor.TorqueConstant)
	assert.InDelta(t, (c.Rig.Brake.ResponseDelay + c.Rig.Brake.RiseTime).Seconds(), *f.ClosingS, 0.006)
	spring := 180 / math.Pi / d.BrakeStiffness // deg a newton metre
	assert.InEpsilon(t, spring, *f.WindUpDown, 0.15)
	assert.InEpsilon(t, spring, *f.WindUpUp, 0.15)
	assert.Nil(t, f.StoppingMM, "there was no stop")
}

// A stop in travel: the way by the deceleration of the drive, v²/(2a), from the moment of the demand on.
func TestStoppingDistance(t *testing.T) {
	t.Parallel()
	c := load(t, "emergency-stop-in-travel", nil)
	r, _ := record(t, c)
	f := judged(t, &c.Rig, r).Figures
	require.NotNil(t, f.StoppingMM)
	v, a := c.Rig.Drive.SpeedMMS, c.Rig.Drive.AccelerationMMS2
	assert.InEpsilon(t, v*v/(2*a), *f.StoppingMM, 0.15)
	assert.Equal(t, evaluate.ByDrive, f.StoppingBy)
	assert.InEpsilon(t, v, *f.StoppingFromMMS, 0.05)
}

// A run laid beside its own recording is the same but for the phase; beside a recording that began later it is
// aligned again, and another brake shows.
func TestBesideARun(t *testing.T) {
	t.Parallel()
	c := load(t, "healthy-down-and-up", nil)
	r, _ := record(t, c)
	const later = 3.25
	for i := range r.Time {
		r.Time[i] += later
	}
	for i := range r.Channels {
		if s := &r.Channels[i]; s.Signal == "torque_nm" || s.Signal == "position_mm" {
			s.Unit = "unit"
		}
	}
	b, err := judged(t, &c.Rig, r).Run(t.Context(), c, r)
	require.NoError(t, err)
	assert.Equal(t, "brake_closed", b.AlignedBy)
	assert.InDelta(t, -later, b.ShiftS, 1e-6)
	require.Len(t, b.Signals, 2)
	for _, s := range b.Signals {
		assert.InDelta(t, 0, s.Largest, 1e-9, s.Signal)
		assert.Greater(t, s.Samples, 2000)
	}
	worn := load(t, "lining-worn-thin", nil)
	b, err = judged(t, &c.Rig, r).Run(t.Context(), worn, r)
	require.NoError(t, err)
	assert.Equal(t, evaluate.Failed, b.Verdict)
	assert.Greater(t, *b.Figures.MovementDownDeg, c.Rig.Judge.WindowDeg)
	assert.Greater(t, math.Abs(b.Signals[0].Largest), 1.0)
}
