package identify

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// A signal in a wrong unit or scale is named with its column and the flag that mends it, however little of the rig is exact:
// here the mass of the drawing is 10 % too small. What is wrong by far is refused.
func TestWrongScales(t *testing.T) {
	truth := screwAxis()
	drawing := truth
	drawing.Load.MassKG *= 0.9
	rec := recorded(&truth, 1, manoeuvres(&truth))
	for _, c := range []struct {
		name, signal, readAs string
		factor               float64
		massKG               float64
		refused              bool
		want                 []string // parts of the text; nil: nothing is said
	}{
		{"right", "current_rms_a", "", 1, 0, false, nil},
		{"right, weighed", "current_rms_a", "", 1, truth.Load.MassKG, false, nil},
		{"amplitude", "current_rms_a", "", 1.41421, 0, false, []string{`the scale of current_rms_a (column "iq") may be wrong, or the rig is wrong in all that follows`, "likely an amplitude, which is √2 times the rms value, as with --columns current_amp_a=iq"}},
		{"milliampere taken as ampere", "current_rms_a", "", 1000, 0, true, []string{"likely in mA, as with --units current_rms_a=mA; --accept-doubts uses it as it is"}},
		{"ampere taken as milliampere", "current_rms_a", "mA", 1e-3, 0, true, []string{"likely in A, as with --units current_rms_a=A", "load torque at", "inertia at the motor shaft"}},
		{"a scale of 0.001", "current_rms_a", "", 1e-3, 0, true, []string{"it is near 1/1000"}},
		{"a scale of 0.5", "current_rms_a", "", 0.5, 0, false, []string{"about 0.5", "no usual unit explains it"}},
		{"a scale of 0.3, weighed", "current_rms_a", "", 0.3, truth.Load.MassKG, false, []string{"its values are about 0.3 times the right ones, by motor.torque_constant_nm_per_rms_a"}},
		{"half the position", "position_mm", "", 0.5, 0, false, []string{"inertia at the motor shaft", "Either the rig is wrong there, or the scale of position_mm", "The recordings cannot tell which"}},
		{"metres taken as millimetres", "position_mm", "", 1e-3, 0, true, []string{"likely in m, as with --units position_mm=m"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			result, err := Identify(t.Context(), []*recording.Recording{rescaled(rec, c.signal, c.readAs, c.factor)}, &drawing, Options{MassKG: c.massKG})
			text := said(result)
			if c.refused {
				require.Error(t, err)
				text = err.Error()
			} else {
				require.NoError(t, err)
			}
			for _, want := range c.want {
				assert.Contains(t, text, want)
			}
			if c.want == nil {
				assert.NotContains(t, text, "scale")
				assert.NotContains(t, text, "values differ")
			}
		})
	}
}

// One recording of two in another unit is named, though the values of the other are right.
func TestOneRecordingInAnotherUnit(t *testing.T) {
	truth := screwAxis()
	rec := recorded(&truth, 1, manoeuvres(&truth))
	other := rescaled(rec, "position_mm", "um", 1e-3)
	other.Source = "other.csv"
	_, err := Identify(t.Context(), []*recording.Recording{rec, other}, &truth, Options{})
	require.ErrorContains(t, err, "other.csv: position_mm")
	require.ErrorContains(t, err, "likely in mm, as with --units position_mm=mm")
	_, err = Identify(t.Context(), []*recording.Recording{rec, rec}, &truth, Options{})
	require.NoError(t, err)
}

// Doubts that are accepted are warnings.
func TestAcceptedScale(t *testing.T) {
	truth := screwAxis()
	rec := rescaled(recorded(&truth, 1, manoeuvres(&truth)), "current_rms_a", "", 0.1)
	result, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{AcceptDoubts: true})
	require.NoError(t, err)
	assert.Contains(t, said(result), "it is near 1/10")
}

// A weighed mass in grams makes torques and torque constant a thousand times those of the rig, which no data sheet is wrong
// by: it is refused, though no scale of a signal explains it.
func TestWeighedMassInGrams(t *testing.T) {
	truth := screwAxis()
	rec := recorded(&truth, 1, manoeuvres(&truth))
	grams := 1000 * truth.Load.MassKG
	_, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{MassKG: grams})
	require.ErrorContains(t, err, "check --mass-kg")
	require.ErrorContains(t, err, "motor.torque_constant_nm_per_rms_a")
	result, err := Identify(t.Context(), []*recording.Recording{rec}, &truth, Options{MassKG: grams, AcceptDoubts: true})
	require.NoError(t, err)
	assert.Contains(t, said(result), "values differ from those of the rig")
}

// One value that differs is that of the rig or of the load: no signal is blamed.
func TestAnotherMassThanThatOfTheRig(t *testing.T) {
	truth := screwAxis()
	drawing := truth
	drawing.Load.MassKG *= 0.5
	result, _ := identified(t, truth, drawing, Options{}, manoeuvres(&truth))
	assert.Contains(t, said(result), "values differ from those of the rig: load torque at")
}

func said(r *Result) string {
	if r == nil {
		return ""
	}
	return strings.Join(r.Warnings, "\n")
}

// rescaled is a recording with the values of one signal times a factor, read as if its column had a unit.
func rescaled(rec *recording.Recording, signal, readAs string, factor float64) *recording.Recording {
	out := *rec
	out.Channels = nil
	for _, c := range rec.Channels {
		if c.Signal == signal {
			values := make([]float64, len(c.Values))
			for i, x := range c.Values {
				values[i] = factor * x
			}
			c.Values, c.ReadAs, c.Column = values, readAs, "iq"
		}
		out.Channels = append(out.Channels, c)
	}
	return &out
}

// explain takes the scale by which most values go, and none where a value is left.
func TestExplain(t *testing.T) {
	value := func(name string, found, was float64, powers [scales]float64) compared {
		return compared{Value: Value{Name: name, Value: found, Low: found, High: found, Was: was}, powers: powers, apart: otherwise}
	}
	force, rigid := [scales]float64{scaleOfCurrent: 1}, [scales]float64{scaleOfCurrent: 1, scaleOfPosition: -1, scaleOfTime: 2}
	for _, c := range []struct {
		name                  string
		torque, brake, moment float64 // over those of the rig
		of                    int
		scale                 float64 // 0: none
	}{
		{"current", 2, 2.1, 1.9, scaleOfCurrent, 2},
		{"position", 1.05, 0.95, 0.25, scaleOfPosition, 4},
		{"mass alone", 2, 1, 1.1, 0, 0},
		{"all right", 1.1, 1.05, 1.15, 0, 0},
	} {
		e := explain([]compared{value("load torque", c.torque, 1, force), value("brake", c.brake, 1, force), value("inertia", c.moment, 1, rigid)})
		if c.scale == 0 {
			assert.Nil(t, e, c.name)
			continue
		}
		require.NotNil(t, e, c.name)
		assert.Equal(t, c.of, e.of, c.name)
		assert.InEpsilon(t, c.scale, e.scale, 0.05, c.name)
	}
	alone := explain([]compared{value("inertia", 0.5, 1, rigid)})
	require.NotNil(t, alone)
	assert.Len(t, alone.others, 2, "current, position and time explain it alike")
	heavier := []compared{value("load torque", 2, 1, force), value("inertia", 2, 1, rigid)}
	assert.True(t, explain(heavier).certain(), "the inertia is that of the motor")
	heavier[0].byMass, heavier[1].byMass = true, true
	assert.False(t, explain(heavier).certain(), "another mass does the same")
	ratio := explanation{of: scaleOfPosition, scale: 9.7}
	assert.Contains(t, ratio.ratio(&plant.Rig{Transmission: plant.Transmission{GearRatio: 10}}), "gear ratio")
}
