package plant

import (
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// yamlPaths lists the keys of a document in the order of its struct.
func yamlPaths(of reflect.Type, prefix string) []string {
	var paths []string
	for i := range of.NumField() {
		f := of.Field(i)
		key, inline, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if inline == "inline" {
			paths = append(paths, yamlPaths(f.Type, prefix)...)
			continue
		}
		if f.Type.Kind() == reflect.Struct {
			paths = append(paths, yamlPaths(f.Type, prefix+key+".")...)
			continue
		}
		paths = append(paths, prefix+key)
	}
	return paths
}

// Every key of the document has one field and every field a key, in the same order
// (style, point 4: one visible list, from which all others are made). Name, text and
// the sequence's own values are no fields.
func TestFieldsAreTheKeysOfTheDocument(t *testing.T) {
	paths := []string{"rig", "title", "note"}
	for _, f := range Fields() {
		paths = append(paths, f.Path)
	}
	require.Equal(t, yamlPaths(reflect.TypeFor[Rig](), ""), append(paths, "sequence"))
}

// A field points at the value that its path names: a change through the field shows at
// that key and nowhere else.
func TestFieldsPointAtTheirValues(t *testing.T) {
	for i, path := range fieldPaths() {
		r := Defaults()
		before := Defaults()
		switch v := Fields()[i].value.(type) {
		case *typed[float64]:
			*v.at(&r) += 0.125
		case *typed[int]:
			*v.at(&r)++
		case *typed[bool]:
			*v.at(&r) = !*v.at(&r)
		case *typed[string]:
			*v.at(&r) += "x"
		case *typed[time.Duration]:
			*v.at(&r) += time.Millisecond
		}
		require.Equal(t, []string{path}, changedPaths(reflect.ValueOf(before), reflect.ValueOf(r), ""))
	}
}

func fieldPaths() []string {
	var paths []string
	for _, f := range Fields() {
		paths = append(paths, f.Path)
	}
	return paths
}

func changedPaths(a, b reflect.Value, prefix string) []string {
	var paths []string
	for i := range a.NumField() {
		key, _, _ := strings.Cut(a.Type().Field(i).Tag.Get("yaml"), ",")
		switch {
		case key == "": // its keys are those of the struct around it
			paths = append(paths, changedPaths(a.Field(i), b.Field(i), prefix)...)
		case a.Field(i).Kind() == reflect.Struct:
			paths = append(paths, changedPaths(a.Field(i), b.Field(i), prefix+key+".")...)
		case !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()):
			paths = append(paths, prefix+key)
		}
	}
	return paths
}

// What every list of fields shows: a path, a note, a range that is one.
func TestFieldsAreDescribed(t *testing.T) {
	r := Defaults()
	for _, f := range Fields() {
		require.NotEmpty(t, f.Note, f.Path)
		require.NotEmpty(t, f.Range(), f.Path)
		switch f.value.(type) {
		case *typed[float64], *typed[int], *typed[time.Duration]:
			require.Less(t, f.Min, f.Max, f.Path)
		case *typed[string]:
			require.Contains(t, f.Words, f.Text(&r), f.Path)
		}
	}
}

func field(t require.TestingT, path string) *Field {
	f, ok := FindField(path)
	require.True(t, ok, path)
	return f
}

// A value is found by its path and by the keys of a scenario's set: those of the judge stand
// there by their path as well.
func TestFieldsAreFound(t *testing.T) {
	for _, f := range Fields() {
		require.Same(t, f, field(t, f.Path))
		for _, key := range []string{f.Key, "rig." + f.Path} {
			found, ok := FindKey(key)
			require.True(t, ok, key)
			require.Same(t, f, found, key)
		}
	}
	for path, key := range map[string]string{"load.mass_kg": "rig.load.mass_kg", "judge.dwell": "judge.dwell", "partner.brake.condition": "rig.partner.brake.condition"} {
		require.Equal(t, key, field(t, path).Key)
	}
	for _, key := range []string{"load.mass_kg", "rig.", "rig.load", "", "sequence.dwell"} {
		_, ok := FindKey(key)
		require.False(t, ok, key)
	}
	require.Equal(t, "partner", field(t, "partner.brake.condition").Section())
}

// The table is made once, and to look into it and to read a value takes no memory.
func TestFieldsAreMadeOnce(t *testing.T) {
	first, again := Fields()[0], Fields()[0]
	require.Same(t, first, again)
	r := paneRig()
	require.Zero(t, testing.AllocsPerRun(100, func() {
		f, _ := FindKey("rig.drive.ready")
		_ = f.Text(&r)
	}))
	more := append(Fields(), &Field{Path: "more"})
	require.Len(t, Fields(), len(more)-1)
}

// The rules, as a table of their own written by hand: what a run is built on, what it cannot
// take back, and what belongs to a partner or a second brake.
func TestRulesOfFields(t *testing.T) {
	var fixed, permanent []string
	for _, f := range Fields() {
		if f.FixedInRun {
			fixed = append(fixed, f.Path)
		}
		if f.Permanent {
			permanent = append(permanent, f.Path)
		}
		require.Equal(t, f.Section() == "partner" && f.Path != "partner.inertia_kg_m2", f.NeedsPartner, f.Path)
		ofBrake2 := f.Section() == "brake_2" && f.Path != "brake_2.static_nm" || f.Path == "judge.one_brake_at_a_time"
		require.Equal(t, ofBrake2, f.NeedsBrake2, f.Path)
	}
	require.Equal(t, []string{
		"load.arm_mm", "load.arm_angle_deg", "load.start_mm", "load.start_speed_mm_s",
		"transmission.feed_constant_mm_per_turn", "transmission.gear_ratio", "transmission.efficiency", "transmission.efficiency_lowering",
		"support.at_mm", "support.stiffness_n_per_mm", "support.damping_ratio",
		"motor.torque_constant_nm_per_rms_a", "motor.pole_pairs", "motor.commutation", "drive.peak_current_rms_a",
		"brake.feedback", "brake_2.place", "brake_2.static_nm", "brake_2.feedback", "encoder.increments_per_turn", "partner.inertia_kg_m2", "partner.brake.feedback",
		"clock.tick", "clock.functional_scan", "clock.safety_scan", "clock.link_watchdog", "clock.run_limit",
		"test.factor", "test.drop_limit_mm", "test.hold_time", "judge.kind", "judge.directions", "judge.failed_before", "judge.proof_left",
		"judge.transducer", "safety.guard",
	}, fixed)
	require.Equal(t, []string{
		"transmission.severed", "support.removed", "drive.thermal_load", "brake.adhesion", "brake.glaze", "brake.glaze_returns_to", "brake.gap_mm", "brake.excess_k",
		"brake_2.adhesion", "brake_2.glaze", "brake_2.glaze_returns_to", "brake_2.gap_mm", "brake_2.excess_k",
		"partner.brake.adhesion", "partner.brake.glaze", "partner.brake.glaze_returns_to", "partner.brake.gap_mm", "partner.brake.excess_k", "judge.proof_left",
	}, permanent)
}

// The range as a list shows it.
func TestRange(t *testing.T) {
	for path, want := range map[string]string{
		"load.mass_kg":            "0.001 to 1,000,000 kg",
		"transmission.efficiency": "0.05 to 1",
		"clock.link_delay_scans":  "0 to 16",
		"judge.dwell":             "1ms to 10m",
		"drive.ready":             "true or false",
		"judge.sense":             "signed, magnitude",
	} {
		require.Equal(t, want, field(t, path).Range())
	}
}

// Set takes what a document may say.
func TestSet(t *testing.T) {
	r := paneRig()
	for _, c := range []struct{ path, text, want string }{
		{"load.mass_kg", "210", "210"},
		{"load.mass_kg", "2.5e2", "250"},
		{"brake.rise_time", "0.02s", "20ms"},
		{"clock.tick", "125us", "125us"},
		{"clock.link_delay_scans", "3", "3"},
		{"drive.tripped", "true", "true"},
		{"brake.feedback_signal", "open", "open"},
	} {
		f := field(t, c.path)
		require.NoError(t, f.Set(&r, c.text))
		require.Equal(t, c.want, f.Text(&r))
	}
	require.Zero(t, r.Load.MassKG-250)
	require.Equal(t, 20*time.Millisecond, r.Brake.RiseTime)
	require.True(t, r.Drive.Tripped)
}

// Set refuses what is not a value or out of range, says why, and changes nothing.
func TestSetRefuses(t *testing.T) {
	for _, c := range []struct{ path, text, want string }{
		{"load.mass_kg", "heavy", `load.mass_kg is "heavy"; must be a number in kg`},
		{"load.mass_kg", "0", `load.mass_kg is missing or 0; must be between 0.001 and 1,000,000 kg`},
		{"load.mass_kg", "NaN", `load.mass_kg is "NaN"; must be between 0.001 and 1,000,000 kg`},
		{"load.mass_kg", "0.0", `load.mass_kg is missing or 0; must be between 0.001 and 1,000,000 kg`},
		{"load.mass_kg", "1e9", `load.mass_kg is "1e9"; must be between 0.001 and 1,000,000 kg`},
		{"load.mass_kg", "2000000000000", `load.mass_kg is "2000000000000"; must be between 0.001 and 1,000,000 kg`},
		{"judge.dwell", "60m", `judge.dwell is "60m"; must be between 1ms and 10m`},
		{"load.mass_kg", "1e999", `load.mass_kg is "1e999"; must be a number in kg`},
		{"test.factor", "", `test.factor is ""; must be a number`},
		{"clock.link_delay_scans", "1.5", `clock.link_delay_scans is "1.5"; must be a whole number`},
		{"clock.link_delay_scans", "17", `clock.link_delay_scans is "17"; must be between 0 and 16`},
		{"judge.dwell", "1", `judge.dwell is "1"; must be a duration such as 8ms or 1.5s`},
		{"judge.dwell", "0s", `judge.dwell is missing or 0; must be between 1ms and 10m`},
		{"drive.ready", "perhaps", `drive.ready is "perhaps"; must be true or false`},
		{"judge.sense", "both", `judge.sense is "both"; must be signed or magnitude`},
	} {
		r := paneRig()
		require.EqualError(t, field(t, c.path).Check(c.text), c.want)
		require.EqualError(t, field(t, c.path).Set(&r, c.text), c.want)
		require.Equal(t, paneRig(), r)
	}
}

// Whatever the text, Set either takes it, and then the rig's value is in range and
// reads back the same, or refuses it and leaves the rig as it was.
func TestSetProperties(t *testing.T) {
	paths := fieldPaths()
	texts := rapid.OneOf(
		rapid.String(),
		rapid.StringMatching(`-?[0-9]{1,4}(\.[0-9]{1,3})?(e-?[0-9])?`),
		rapid.StringMatching(`-?[0-9]{1,4}(ns|us|ms|s|h)`),
		rapid.SampledFrom([]string{"true", "false", "open", "signed", "inf", "-inf", "nan"}),
	)
	rapid.Check(t, func(t *rapid.T) {
		r := paneRig()
		f := field(t, rapid.SampledFrom(paths).Draw(t, "path"))
		if f.Set(&r, texts.Draw(t, "text")) != nil {
			require.Equal(t, paneRig(), r)
			return
		}
		once := f.Text(&r)
		require.NoError(t, f.Check(once))
		require.NoError(t, f.Set(&r, once))
		require.Equal(t, once, f.Text(&r))
	})
}

// A number goes into a field in the unit of the document, a duration in seconds, a count as
// whole ones; and comes out again.
func TestNumbers(t *testing.T) {
	r := paneRig()
	for _, c := range []struct {
		path string
		x    float64
		want string
	}{
		{"load.mass_kg", 250.5, "250.5"},
		{"brake.rise_time", 0.0205, "20.5ms"},
		{"clock.link_delay_scans", 2.6, "3"},
	} {
		f := field(t, c.path)
		require.NoError(t, f.SetNumber(&r, c.x))
		require.Equal(t, c.want, f.Text(&r))
		x, ok := f.Number(&r)
		require.True(t, ok)
		require.InDelta(t, c.x, x, 0.5)
	}
	require.EqualError(t, field(t, "brake.rise_time").SetNumber(&r, -1), `brake.rise_time is "-1s"; must be between 1µs and 1m`)
	require.Error(t, field(t, "clock.link_delay_scans").SetNumber(&r, math.NaN()))
	for _, path := range []string{"drive.ready", "brake.feedback_signal"} {
		_, ok := field(t, path).Number(&r)
		require.False(t, ok)
	}
}

// MustSet puts back what a rig had, in range or not: a rig without a partner says nothing of
// its brake. A text that is no value is a mistake of the program.
func TestMustSet(t *testing.T) {
	r := paneRig()
	f := field(t, "partner.brake.static_nm")
	before := f.Text(&r)
	require.Error(t, f.Check(before))
	f.MustSet(&r, "5")
	require.Equal(t, 5.0, r.Partner.Brake.StaticNM)
	f.MustSet(&r, before)
	require.Equal(t, paneRig(), r)
	require.PanicsWithValue(t, `plant: a value that was not checked: brake.rise_time is "soon"; must be a duration such as 8ms or 1.5s`,
		func() { field(t, "brake.rise_time").MustSet(&r, "soon") })
}

// A value of the old form is refused with its present path, and that one exists.
func TestRenamedValues(t *testing.T) {
	require.Equal(t, "safety.stop_time", Renamed("rig.judge.ramp_down"))
	require.Empty(t, Renamed("judge.dwell"))
	_, old := FindField("judge.ramp_down")
	require.False(t, old)
	_, now := FindKey(Renamed("judge.ramp_down"))
	require.True(t, now)
}
