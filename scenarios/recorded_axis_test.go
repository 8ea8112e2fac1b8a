package scenarios_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant"
	"holdbench/plant/identify"
	"holdbench/plant/recording"
	"holdbench/scenarios"
	"holdbench/sim"
)

// The recordings of the lesson are made from a rig that the program does not have. All seeds are the dates
// that the recordings carry, which were chosen before the first of them was read.
const (
	recordedAxis   = "testdata/recordings/crate-lift.yaml"
	recordedFolder = "recordings"
	surveyDate     = "2026-02-17"
)

func seedOf(t *testing.T, date string) uint64 {
	t.Helper()
	seed, err := strconv.ParseUint(strings.ReplaceAll(date, "-", ""), 10, 64)
	require.NoError(t, err)
	return seed
}

// recorderFile is how the recorder of this axis writes a part of a recording.
type recorderFile struct {
	about    string
	date     string
	from, to float64 // s, of the run
	every    int     // of its rows one is written
	late     int     // rows by which the current comes later than the rest
	gap      [2]float64
}

// text is the file: semicolons, a decimal comma, lines ahead of a heading with names of its own, the position in
// micrometres of resolution, the current as an amplitude in hundredths of an ampere.
func (f *recorderFile) text(r *recording.Recording) []byte {
	var b bytes.Buffer
	interval := 2 * f.every
	fmt.Fprintf(&b, "Axis recorder;crate lift\nNote;%s\nBegin;%s 09:30:00\nInterval;%d ms\n\n", f.about, f.date, interval)
	b.WriteString("Clock [ms];Carriage [mm];Motor current peak [A];Clamp order;Clamp contact\n")
	comma := func(x float64, decimals int) string {
		return strings.ReplaceAll(strconv.FormatFloat(x, 'f', decimals, 64), ".", ",")
	}
	lines := 0
	for i, t := range r.Time {
		if t < f.from || t >= f.to || i%f.every != 0 {
			continue
		}
		v := func(n, i int) float64 { return r.Channels[n].Values[max(0, i)] }
		position, current := comma(v(0, i), 3), comma(v(1, i-f.late)*math.Sqrt2, 2)
		if t >= f.gap[0] && t < f.gap[1] {
			position, current = "", ""
		}
		fmt.Fprintf(&b, "%d;%s;%s;%g;%g\n", lines*interval, position, current, v(2, i), v(3, i))
		lines++
	}
	return b.Bytes()
}

// firstClosed is when the brake is first commanded to close, and lastOpened when it last opened.
func firstClosed(r *recording.Recording) float64 {
	for i, t := range r.Time {
		if r.Channels[2].Values[i] > 0 {
			return t
		}
	}
	return math.Inf(1)
}

// survey are the recordings of the manoeuvres.
func survey(t *testing.T, rig *plant.Rig) map[string][]byte {
	t.Helper()
	r := recordOnBench(t, rig, seedOf(t, surveyDate))
	border := firstClosed(r) - 0.5
	travel := recorderFile{about: "travel up and down at two speeds", date: surveyDate, to: border, every: 1, late: 2, gap: [2]float64{4, 4.07}}
	brake := recorderFile{about: "presses against the closed brake, stops by the brake", date: surveyDate, from: border, to: math.Inf(1), every: 1, late: 2}
	return map[string][]byte{"travel.csv": travel.text(r), "brake.csv": brake.text(r)}
}

// test is a recording of a brake test of the machine, from half a second before the brake closes on.
func test(t *testing.T, rig *plant.Rig, about, date string) []byte {
	t.Helper()
	logic, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	require.NoError(t, err)
	c, _, err := sim.NewCaseOf(sim.Scenario{Scenario: "test", Title: "test", Seed: seedOf(t, date)}, *rig, logic)
	require.NoError(t, err)
	k := newRecorder(rig.Rig)
	_, err = sim.Run(c, k)
	require.NoError(t, err)
	from := firstClosed(k.rec) - 0.5
	f := recorderFile{about: about, date: date, from: from, to: from + 5.5, every: 2}
	return f.text(k.rec)
}

// aged is the axis with a brake in some condition: with the lining its torque goes, and with the air gap it
// closes later and deflects more.
func aged(rig *plant.Rig, condition float64) *plant.Rig {
	r := *rig
	r.Brake.Condition = condition
	r.Brake.ResponseDelay = time.Duration(float64(r.Brake.ResponseDelay) * (2 - condition)).Round(10 * time.Microsecond)
	r.Brake.WindUpDeg *= 2 - condition
	return &r
}

// recordedFiles are all files of the folder but the data sheet.
func recordedFiles(t *testing.T) map[string][]byte {
	t.Helper()
	rig, warnings, err := scenarios.LoadRig(recordedAxis)
	require.NoError(t, err)
	require.Empty(t, warnings)
	made := survey(t, rig)
	made["good.csv"] = test(t, aged(rig, 1), "brake test", "2026-02-18")
	made["tired.csv"] = test(t, aged(rig, 0.65), "brake test", "2026-09-02")
	made["worn.csv"] = test(t, aged(rig, 0.36), "brake test", "2026-11-25")
	begin := time.Date(2026, 2, 23, 0, 0, 0, 0, time.UTC)
	for n := range 12 {
		date := begin.AddDate(0, 0, 14*n).Format(time.DateOnly)
		made["months/"+date+".csv"] = test(t, aged(rig, 1-0.025*float64(n)), "brake test", date)
	}
	return made
}

// The recordings that come with the program are those that the rig makes, byte for byte.
func TestRecordingsAreMadeFromTheirRig(t *testing.T) {
	t.Parallel()
	made := recordedFiles(t)
	size := 0
	for name, text := range made {
		size += len(text)
		file := filepath.Join(recordedFolder, filepath.FromSlash(name))
		if flag.Lookup("update").Value.String() == "true" {
			require.NoError(t, os.WriteFile(file, text, 0o644))
		}
		kept, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(kept, text), "%s is not what the rig makes; -update rewrites it", name)
	}
	assert.Less(t, size, 1_000_000, "all recordings together")
	assert.Len(t, scenarios.RecordingFiles(), len(made)+1, "and the data sheet")
}

// What identify finds is compared with the rig that made the recordings: each value within its interval of 95 %, but
// for one that is not of the recordings alone: t2 by a switch goes with the share of t21 that the data sheet has, and the
// brake has another. With the true share it is within.
func TestRecordingsTellTheirRig(t *testing.T) {
	t.Parallel()
	truth, _, err := scenarios.LoadRig(recordedAxis)
	require.NoError(t, err)
	sheet, _, err := scenarios.LoadRig(recordedFolder + "/data-sheet.yaml")
	require.NoError(t, err)
	found := map[string]identify.Value{}
	for _, v := range identified(t, sheet, identify.Options{}).Values {
		f, ok := plant.FindField(v.Path)
		if !ok || v.Standing == identify.NotDetermined {
			continue
		}
		found[v.Path] = v
		if want, _ := f.Number(truth); v.Path != "brake.release_time" {
			assert.True(t, v.Low <= want && want <= v.High, "%s: %g made the recordings, found %g to %g", v.Path, want, v.Low, v.High)
		}
	}
	assert.Len(t, found, 14, "as many values")
	for _, path := range []string{
		"load.mass_kg", "guide.sliding_nm", "guide.viscous_nm_s", "motor.inertia_kg_m2", "brake.wind_up_deg", "brake.play_deg",
		"brake.response_delay", "brake.rise_time", "brake.sliding_nm", "encoder.noise_deg", "drive.current_noise_rms_a",
	} {
		assert.Equal(t, identify.Fitted, found[path].Standing, path)
	}
	sheet.Brake.ReleaseDelay = time.Duration(float64(sheet.Brake.ReleaseTime) * truth.Brake.ReleaseDelay.Seconds() / truth.Brake.ReleaseTime.Seconds())
	for _, v := range identified(t, sheet, identify.Options{}).Values {
		if v.Path == "brake.release_time" {
			want := truth.Brake.ReleaseTime.Seconds()
			assert.True(t, v.Low <= want && want <= v.High, "%g to %g", v.Low, v.High)
		}
	}
}

// The recorder is the bench, which commands the brake: with that said, t11 is known to a tenth of a millisecond in place of two.
func TestRecordedByController(t *testing.T) {
	t.Parallel()
	sheet, _, err := scenarios.LoadRig(recordedFolder + "/data-sheet.yaml")
	require.NoError(t, err)
	for _, sampled := range []bool{false, true} {
		for _, v := range identified(t, sheet, identify.Options{CommandsSampled: sampled}).Values {
			if v.Path != "brake.response_delay" {
				continue
			}
			assert.Equal(t, sampled, v.High-v.Low < 0.2e-3)
			assert.Equal(t, !sampled, v.High-v.Low > 2e-3)
			assert.True(t, v.Low <= 0.029 && 0.029 <= v.High, "%v", v)
		}
	}
}

// identified is what the recordings tell, read as the lesson reads them.
func identified(t *testing.T, sheet *plant.Rig, o identify.Options) *identify.Result {
	t.Helper()
	var columns []recording.Column
	for signal, name := range map[string]string{
		"t_s": "Clock", "position_mm": "Carriage", "current_amp_a": "Motor current peak", "brake": "Clamp order", "brake_closed": "Clamp contact",
	} {
		columns = append(columns, recording.Column{Signal: signal, Column: name})
	}
	var list []*recording.Recording
	for _, name := range []string{"travel.csv", "brake.csv"} {
		text, err := os.ReadFile(filepath.Join(recordedFolder, name))
		require.NoError(t, err)
		r, err := recording.Read(name, bytes.NewReader(text), recording.Options{Columns: columns, Late: []recording.Late{{Signal: "current_amp_a", Seconds: 0.004}}})
		require.NoError(t, err)
		list = append(list, r)
	}
	result, err := identify.Identify(t.Context(), list, sheet, o)
	require.NoError(t, err)
	return result
}
