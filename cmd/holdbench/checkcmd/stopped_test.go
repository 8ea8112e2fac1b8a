package checkcmd

import (
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
		{nil, "false-alarm 3.700 s "},
		{[]string{"--junit", "-"}, "<![CDATA["},
		{[]string{"--tap"}, "severity: fail controller_stopped: "},
	}
	for name, c := range map[string]struct {
		flags     []string
		at, where string
	}{
		"DividesByZero": {nil, "0.52", filepath.Join(stopping, "divides.st") + ":30:19: this divides by zero"},
		"Dies":          {[]string{"--controller", answers + "dies"}, "0.002", `its process ended, exit status 7; last line of its standard error: "out of order"`},
		"Late":          {[]string{"--controller", answers + "late", "--answer-within", "1s"}, "0.002", "it did not answer within 1s (--answer-within)"},
		"Nonsense":      {[]string{"--controller", answers + "lies"}, "0.002", `its answer is "{\"outputs\":{\"drive\":\"fly\"}}": drive is "fly"; must be one of off, hold, move, press`},
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
				_, rest, found := strings.Cut(onOneLine(got.Stdout), f.ahead)
				require.True(t, found, got.Stdout)
				rest = strings.TrimLeft(rest, `"'`) // of YAML
				assert.True(t, strings.HasPrefix(rest, "controller stopped at "), rest)
				assert.Contains(t, withoutEscapes(rest), withoutEscapes("controller stopped at "+c.at), rest)
				assert.Contains(t, withoutEscapes(rest), withoutEscapes(c.where), rest)
			}
			got := invoke(t.Context(), append(command, "--json")...)
			assert.Contains(t, withoutEscapes(got.Stdout), withoutEscapes(`"controller_stopped":{"at_s":`+c.at+`,"because":"`+c.where+`"}`))
		})
	}
}

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
	at := "controller stopped at 0.520 s: " + filepath.Join(stopping, "divides.st") + ":30:19: this divides by zero"
	assert.Regexp(t, "ok .*unheld.yaml +false-alarm 3.700 s controller stopped at ", text)
	assert.Equal(t, 2, strings.Count(text, at))
	assert.Contains(t, text, "the controller stopped in 2 of 3 runs, first at 0.520 s: "+filepath.Join(stopping, "divides.st")+":30:19: this divides by zero")
	got = invoke(t.Context(), "check", "healthy-down")
	assert.NotContains(t, got.Stdout, "controller")
}
