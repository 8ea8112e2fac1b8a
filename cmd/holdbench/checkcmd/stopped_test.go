package checkcmd

import (
	"fmt"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
)

// stopping is the folder of scenarios whose controller stops by itself.
var stopping = filepath.Join("testdata", "stopped")

// Where the controller stopped by itself stands ahead of all that follows from it, in the words of run:
// in the page, in JUnit's failure, in TAP and in JSON.
func TestWhereTheControllerStopped(t *testing.T) {
	t.Parallel()
	answers := "sh " + filepath.ToSlash(filepath.Join(stopping, "answers.sh")) + " "
	forms := []struct {
		flags []string
		ahead string
	}{
		{nil, `false-alarm [0-9.]+ s `},
		{[]string{"--junit", "-"}, `<!\[CDATA\[`},
		{[]string{"--tap"}, "severity: fail controller_stopped: "},
	}
	started, scan := triggered(t)
	atDivision, atSecondScan := secondsText(started+10*scan), secondsText(scan)
	for name, c := range map[string]struct {
		flags     []string
		at, where string
	}{
		"DividesByZero": {nil, atDivision, filepath.Join(stopping, "divides.st") + ":30:19: this divides by zero"},
		"Dies":          {[]string{"--controller", answers + "dies"}, atSecondScan, `its process ended, exit status 7; last line of its standard error: "out of order"`},
		"Late":          {[]string{"--controller", answers + "late", "--answer-within", "1s"}, atSecondScan, "it did not answer within 1s (--answer-within)"},
		"Nonsense":      {[]string{"--controller", answers + "lies"}, atSecondScan, `its answer is "{\"outputs\":{\"drive\":\"fly\"}}": drive is "fly"; must be one of off, hold, move, press`},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if len(c.flags) > 0 && runtime.GOOS == "windows" {
				t.Skip("there is no sh")
			}
			command := append([]string{"check", filepath.Join(stopping, "started.yaml")}, c.flags...)
			for _, f := range forms {
				got := invoke(t.Context(), append(command, f.flags...)...)
				require.Equal(t, 1, got.Code, got.Stderr)
				text := onOneLine(got.Stdout)
				found := regexp.MustCompile(f.ahead).FindStringIndex(text)
				require.NotNil(t, found, got.Stdout)
				rest := strings.TrimLeft(text[found[1]:], `"'`) // of YAML
				assert.True(t, strings.HasPrefix(rest, "controller stopped at "), rest)
				assert.Contains(t, withoutEscapes(rest), withoutEscapes("controller stopped at "+c.at), rest)
				assert.Contains(t, withoutEscapes(rest), withoutEscapes(c.where), rest)
			}
			got := invoke(t.Context(), append(command, "--json")...)
			assert.Contains(t, withoutEscapes(got.Stdout), withoutEscapes(`"controller_stopped":{"at_s":`+c.at+`,"because":"`+c.where+`"}`))
		})
	}
}

// triggered is when the operator starts the test, and the time of a scan.
func triggered(t *testing.T) (at, scan time.Duration) {
	t.Helper()
	c, _, err := scenarios.LoadCase(filepath.Join(stopping, "started.yaml"), scenarios.Overrides{})
	require.NoError(t, err)
	return c.Scenario.Script[0].At, c.Rig.Clock.FunctionalScan
}

// secondsText is a time as JSON has it.
func secondsText(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) }

// onOneLine undoes the breaks of lines.
func onOneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// withoutEscapes is a text as JSON, YAML and a page have it alike.
func withoutEscapes(text string) string { return strings.ReplaceAll(text, `\`, "") }

// A scenario that is met says it too, and the sum counts the runs and has the first message once. Of a
// controller that does not stop nothing is said.
func TestControllerStopsAreCounted(t *testing.T) {
	t.Parallel()
	got := invoke(t.Context(), "check", filepath.Join(stopping, "unheld.yaml"), filepath.Join(stopping, "started.yaml"), "healthy-down")
	text := onOneLine(got.Stdout)
	started, scan := triggered(t)
	stopped := fmt.Sprintf("%.3f s: ", (started + 10*scan).Seconds())
	at := "controller stopped at " + stopped + filepath.Join(stopping, "divides.st") + ":30:19: this divides by zero"
	assert.Regexp(t, "ok .*unheld.yaml +false-alarm [0-9.]+ s controller stopped at ", text)
	assert.Equal(t, 2, strings.Count(text, at))
	assert.Contains(t, text, "the controller stopped in 2 of 3 runs, first at "+stopped+filepath.Join(stopping, "divides.st")+":30:19: this divides by zero")
	got = invoke(t.Context(), "check", "healthy-down")
	assert.NotContains(t, got.Stdout, "controller")
}
