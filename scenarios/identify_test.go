package scenarios_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/identify"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sim"
)

// manoeuvres is a sequence that makes what an identification asks for: travel up and down at two speeds, a
// press in both directions, and stops by the brake from speed with the drive off.
func manoeuvres(r *plant.Rig) string {
	d := plant.Derive(r)
	start, fast := r.Load.StartMM, r.Drive.SpeedMMS
	up := start + min(1.5*fast, 0.8*(r.Stops.HighMM-start))
	var b strings.Builder
	fmt.Fprintf(&b, "sequence: manoeuvres\nstart: s0\nstates:\n")
	n := 0
	state := func(set, when string) {
		fmt.Fprintf(&b, "  s%d:\n    set: {%s}\n    go: [{to: s%d, %s}]\n", n, set, n+1, when)
		n++
	}
	const open = "drive: hold, brake: open"
	alone := fmt.Sprintf("ask: none, decouple: %v, operation: inhibited", r.Partner.InertiaKGM2 > 0)
	if r.Brake2.Exists() {
		alone += ", brake_2: open"
	}
	state(open+", "+alone, "after: 1s")
	for _, speed := range []float64{fast, fast / 3} {
		for _, to := range []float64{up, start} {
			state(fmt.Sprintf("drive: move, target_mm: %g, move_speed_mm_s: %g", to, speed), "when: in_position and standstill, for: 200ms")
		}
	}
	state("drive: hold, brake: closed", "after: 500ms")
	for _, torque := range []float64{d.PressDownNM, d.PressUpNM, d.StartLoadTorqueNM} {
		state(fmt.Sprintf("drive: press, press_torque_nm: %g, press_rate_nm_s: %g", torque, 3*d.RequiredTestNM), "after: 1500ms")
	}
	state(open, "after: 500ms")
	for _, to := range []float64{up, start} {
		state(fmt.Sprintf("drive: move, target_mm: %g, move_speed_mm_s: %g", to, fast), "after: 700ms")
		state("drive: \"off\", brake: closed", "after: 500ms")
		state("drive: hold", "after: 300ms")
		state(open, "after: 400ms")
	}
	fmt.Fprintf(&b, "  s%d:\n    set: {drive: hold}\nends: {s%d: pass}\n", n, n)
	return b.String()
}

// recorder keeps what a recorder of the machine's controller would.
type recorder struct{ rec *recording.Recording }

func newRecorder(name string) *recorder {
	rec := &recording.Recording{Source: name + ".csv", Simulated: true}
	for _, signal := range []string{"position_mm", "current_rms_a", "brake", "brake_closed"} {
		rec.Channels = append(rec.Channels, recording.Channel{Signal: signal})
	}
	return &recorder{rec}
}

func (k *recorder) Row(r *sim.Row) error {
	k.rec.Time = append(k.rec.Time, r.TS)
	yes := map[bool]float64{true: 1}
	for i, x := range []float64{r.In.PositionMM, r.In.CurrentRMSA, yes[r.Out.Brake == 1], yes[r.In.BrakeClosed]} {
		k.rec.Channels[i].Values = append(k.rec.Channels[i].Values, x)
	}
	return nil
}

// recordOnBench runs the manoeuvres of a rig on the bench.
func recordOnBench(t *testing.T, rig *plant.Rig, seed uint64) *recording.Recording {
	t.Helper()
	document, _, err := scenarios.ParseSequence("manoeuvres", []byte(manoeuvres(rig)))
	require.NoError(t, err)
	c, _, err := sim.NewCase(sim.Scenario{Scenario: "manoeuvres", Title: "manoeuvres", Seed: seed, Expect: sim.Expect{}}, *rig, *document)
	require.NoError(t, err)
	k := newRecorder(rig.Rig)
	result, err := sim.Run(c, k)
	require.NoError(t, err)
	require.Equal(t, "pass", result.End, "the manoeuvres end")
	return k.rec
}

// doubted is the rig as its owner might have it: with values that are wrong.
func doubted(r plant.Rig) plant.Rig {
	r.Load.MassKG *= 0.85
	r.Motor.InertiaKGM2 *= 0.7
	r.Guide.SlidingNM *= 1.5
	r.Guide.ViscousNMS *= 2
	r.Brake.SlidingNM *= 0.8
	r.Brake.WindUpDeg *= 1.5
	r.Brake.ResponseDelay, r.Brake.RiseTime = r.Brake.ResponseDelay*3/2, r.Brake.RiseTime*2/3
	return r
}

// On every built-in rig, recorded on the bench with its noise, the fit finds the values of the rig again from
// others. Intervals of 95 % leave out a few of eighty true values, and half as wide again hardly any.
func TestIdentifyBenchRecordings(t *testing.T) {
	t.Parallel()
	within, all := 0, 0
	for _, name := range scenarios.Names(scenarios.RigKind) {
		rig, _, err := scenarios.LoadRig(name)
		require.NoError(t, err)
		wrong := doubted(*rig)
		result, err := identify.Identify(t.Context(), []*recording.Recording{recordOnBench(t, rig, 1)}, &wrong, identify.Options{})
		require.NoError(t, err)
		found := map[string]identify.Value{}
		for _, v := range result.Values {
			found[v.Path] = v
			f, ok := plant.FindField(v.Path)
			if !ok || v.Standing == identify.NotDetermined {
				continue
			}
			want, _ := f.Number(rig)
			all++
			if v.Low <= want && want <= v.High {
				within++
			}
			reach := (v.High - v.Low) / 4
			assert.True(t, v.Low-reach <= want && want <= v.High+reach, "%s %s: %g in the rig, found %g to %g", name, v.Path, want, v.Low, v.High)
		}
		for path, share := range map[string]float64{
			"load.mass_kg": 0.001, "motor.inertia_kg_m2": 0.01, "guide.sliding_nm": 0.02, "guide.viscous_nm_s": 0.1,
			"brake.sliding_nm": 0.01, "brake.rise_time": 0.01, "brake.response_delay": 0.06, "brake.wind_up_deg": 0.1,
		} {
			f, _ := plant.FindField(path)
			want, _ := f.Number(rig)
			assert.Equal(t, identify.Fitted, found[path].Standing, "%s %s", name, path)
			assert.InEpsilon(t, want, found[path].Value, share, "%s %s", name, path)
		}
		assert.Equal(t, identify.AtLeast, found["brake.static_nm"].Standing, "%s: no press made the brake slip", name)
		assert.NotEqual(t, identify.Fitted, found["brake.damping_ratio"].Standing, name)
		if !rig.Brake2.Exists() {
			for _, w := range result.Warnings { // the rig of the owner is wrong, the model is right
				assert.Regexp(t, `^(values differ from those of the rig|the scale of current_rms_a .* may be wrong, or the rig is wrong in all that follows)`, w, name)
			}
		}
	}
	assert.GreaterOrEqual(t, float64(within)/float64(all), 0.88, "%d of %d", within, all)
}
