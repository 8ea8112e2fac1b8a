package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// A recorded test fills the column measured of its record as far as it shows, and no more than it shows.
func TestReportOfAMeasuredTest(t *testing.T) {
	folder := t.TempDir()
	measured, out := filepath.Join(folder, "measured.csv"), filepath.Join(folder, "record.html")
	require.NoError(t, os.WriteFile(measured, []byte(measuredIn(t, "lining-worn-thin")), 0o600))
	got := invoke(t.Context(), "report", "healthy-down-and-up", "--against", measured, "--out", out)
	require.Equal(t, command.ExitBroken, got.Code, "the brake of the recorded test has failed: %s", got.Stderr)
	assert.Contains(t, got.Stdout, "measured.csv: failed (moved), NOT as expected")
	assert.NotContains(t, got.Stderr, "not compared")
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	cells := func(quantity string) []string {
		row := regexp.MustCompile(`<tr>\s*<td>` + quantity + `</td>(?s:(.*?))</tr>`).FindSubmatch(text)
		require.NotNil(t, row, quantity)
		var list []string
		for _, cell := range regexp.MustCompile(`(?s)<td[^>]*>(.*?)</td>`).FindAllSubmatch(row[1], -1) {
			list = append(list, string(cell[1]))
		}
		return list
	}
	assert.Equal(t, []string{"proven", "proven", "yes", "failed (moved): NOT met"}, cells("verdict"))
	assert.Equal(t, []string{"", "0.022 deg", "", "16.5 deg"}, cells("movement in the check, down"))
	assert.Empty(t, cells("slip of the brake")[3], "no signal shows it")
	assert.Contains(t, string(text), "Column measured: the recorded test judged again by the model of the judge, failed (moved). The verdict of the certified safety function is the one that counts.")
	assert.Contains(t, string(text), "The recorded test measured.csv has the verdict failed (moved), NOT as expected: the validation is not passed.")
	assert.Contains(t, string(text), "recorded test measured.csv of healthy-down-and-up: verdict is failed (moved), expected is proven")
	assert.NotContains(t, string(text), "None: every test case is as expected")
}

// The times of a recording and of a run are not the same: the curves are laid over each other by the closing of the
// brake, as evaluate does, and the record says by how much. A recording of the run itself, whose clock is 1000 s ahead, fits.
func TestReportAlignsAMeasuredTest(t *testing.T) {
	folder := t.TempDir()
	measured, out := filepath.Join(folder, "measured.csv"), filepath.Join(folder, "record.html")
	require.NoError(t, os.WriteFile(measured, []byte(measuredIn(t, "healthy-down-and-up")), 0o600))
	got := invoke(t.Context(), "report", "healthy-down-and-up", "--against", measured, "--columns", "time=t_s+1000", "--out", out)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	assert.Contains(t, string(text), "a time of the recording is -1000 s later in the run.")
	assert.Contains(t, string(text), "position_mm: the largest difference is 0 mm")
	assert.Contains(t, string(text), "The recorded test measured.csv has the verdict proven, as expected; nothing else is measured.")
	assert.Contains(t, string(text), "None: every test case is as expected, and so is the recorded test.")
}

// The trace of a run is no measurement, though --simulated has it read: front page, figure and open points say so.
func TestReportOfATraceMeasuresNothing(t *testing.T) {
	folder := t.TempDir()
	trace, out := filepath.Join(folder, "trace.csv"), filepath.Join(folder, "record.html")
	got := invoke(t.Context(), "run", "healthy-down", "--trace", trace)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	got = invoke(t.Context(), "report", "healthy-down", "--against", trace, "--simulated", "--out", out)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	text, err := os.ReadFile(out)
	require.NoError(t, err)
	for _, says := range []string{
		"The trace of another run is compared in its figure; nothing is measured yet.",
		"Trace of a run, accepted by --simulated; nothing in it is measured: trace.csv",
		"trace.csv is the trace of a run, accepted by --simulated, and no recording of the axis",
		"every column measured of this record is empty until it is filled in",
	} {
		assert.Contains(t, string(text), says)
	}
	for _, never := range []string{"Recorded on the axis", "judged again", "recorded less simulated", "movement in the check"} {
		assert.NotContains(t, string(text), never)
	}
}
