package identify

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// solved is one recording of an axis solved by SciPy, without noise, and the values of that axis. The script
// beside it wrote it; the fits below do not know its values.
type solved struct {
	Name           string
	PeriodS        float64   `json:"period_s"`
	Brake          []float64 `json:"brake_changes_s"`
	Switch         []float64 `json:"switch_changes_s"`
	AngleStepRad   float64   `json:"angle_step_rad"`
	Angle          []int64   `json:"angle_second_differences"`
	CurrentStepA   float64   `json:"current_step_a"`
	Current        []int64   `json:"current_differences"`
	Truth          map[string]any
	angle, amperes []float64
}

func solvedRecordings(t *testing.T) []solved {
	t.Helper()
	text, err := os.ReadFile("../testdata/solver/recordings.json")
	require.NoError(t, err)
	var file struct{ Recordings []solved }
	require.NoError(t, json.Unmarshal(text, &file))
	for i := range file.Recordings {
		s := &file.Recordings[i]
		s.angle = summed(summed2(s.Angle), s.AngleStepRad)
		s.amperes = summed(s.Current, s.CurrentStepA)
	}
	return file.Recordings
}

func summed2(differences []int64) []int64 {
	sum, out := int64(0), make([]int64, len(differences))
	for i, d := range differences {
		sum += d
		out[i] = sum
	}
	return out
}

func summed(differences []int64, step float64) []float64 {
	out := make([]float64, len(differences))
	for i, whole := range summed2(differences) {
		out[i] = float64(whole) * step
	}
	return out
}

// sensor is the noise that a recorder adds.
type sensor struct{ angleDeg, increments, current float64 }

// recording adds noise from a generator of its own to a solved recording.
func (s *solved) recording(with sensor, seed uint64) *recording.Recording {
	source := rand.New(rand.NewPCG(seed, 17))
	rec := &recording.Recording{Source: s.Name + ".csv"}
	names := []string{"angle_rad", "current_rms_a", "brake", "brake_closed"}
	values := make([][]float64, len(names))
	for i, x := range s.angle {
		at := float64(i) * s.PeriodS
		x += with.angleDeg * math.Pi / 180 * source.NormFloat64()
		if with.increments > 0 {
			step := 2 * math.Pi / with.increments
			x = math.Round(x/step) * step
		}
		rec.Time = append(rec.Time, at)
		row := []float64{x, s.amperes[i] + with.current*source.NormFloat64(), changed(s.Brake, at), changed(s.Switch, at)}
		for n, y := range row {
			values[n] = append(values[n], y)
		}
	}
	for n, name := range names {
		rec.Channels = append(rec.Channels, recording.Channel{Signal: name, Values: values[n]})
	}
	return rec
}

// changed is a signal of 0 and 1 that changes at some moments.
func changed(moments []float64, t float64) float64 {
	n := 0
	for _, m := range moments {
		if t >= m {
			n++
		}
	}
	return float64(n % 2)
}

func (s *solved) number(t *testing.T, name string) float64 {
	t.Helper()
	switch x := s.Truth[name].(type) {
	case float64:
		return x
	case string:
		d, err := time.ParseDuration(x)
		require.NoError(t, err)
		return d.Seconds()
	}
	require.Fail(t, "no value", name)
	return 0
}

// guess is a rig as its owner wrote it from data sheets: the structure is right, what is to be found is not.
func (s *solved) guess(t *testing.T) plant.Rig {
	t.Helper()
	r := plant.Defaults()
	r.Rig = s.Name
	r.Load.MassKG = 0.8 * s.number(t, "load.mass_kg")
	r.Load.StartMM = s.number(t, "load.start_mm")
	r.Transmission.FeedConstantMMPerTurn = s.number(t, "transmission.feed_constant_mm_per_turn")
	if _, geared := s.Truth["transmission.gear_ratio"]; geared {
		r.Load.CounterbalanceKG = s.number(t, "load.counterbalance_kg")
		r.Transmission.GearRatio = s.number(t, "transmission.gear_ratio")
		r.Transmission.Efficiency = s.number(t, "transmission.efficiency")
	}
	r.Stops.LowMM, r.Stops.HighMM = 0, 2*r.Load.StartMM
	r.Guide.SlidingNM, r.Guide.BreakawayNM = 0.15, 0.2
	r.Motor.InertiaKGM2 = 0.7 * s.number(t, "motor.inertia_kg_m2")
	r.Motor.TorqueConstant = s.number(t, "motor.torque_constant_nm_per_rms_a")
	r.Brake.StaticNM, r.Brake.SlidingNM = s.number(t, "brake.static_nm"), 0.9*s.number(t, "brake.static_nm")
	r.Brake.ResponseDelay, r.Brake.RiseTime = 25*time.Millisecond, 20*time.Millisecond
	r.Brake.ReleaseTime, r.Brake.ReleaseDelay = 35*time.Millisecond, 20*time.Millisecond
	return r
}
