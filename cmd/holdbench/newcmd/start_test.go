package newcmd

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant"
	"holdbench/scenarios"
	"holdbench/sim"
)

func TestExamplesOfNew(t *testing.T) {
	for _, c := range []struct {
		name     string
		examples []clitest.Example
	}{
		{"new rig", []clitest.Example{
			{Line: "holdbench new rig my-hoist", Prints: []string{`^wrote my-hoist.yaml; review it, then holdbench size my-hoist.yaml$`}},
			{Line: "holdbench new rig slide --set load.mass_kg=420 --set transmission.gear_ratio=2", Prints: []string{`^wrote slide.yaml`}},
		}},
		{"new sequence", []clitest.Example{
			{Line: "holdbench new sequence my-test", Prints: []string{`^wrote my-test.yaml`}},
			{Line: "holdbench new sequence my-test-down --from down-only", Prints: []string{`^wrote my-test-down.yaml`}},
		}},
		{"new scenario", []clitest.Example{
			{Line: "holdbench new scenario healthy-night", Prints: []string{`^wrote healthy-night.yaml`}, Says: "^recorded from one run: sound-pass, pass$"},
			{Line: "holdbench new scenario oil-in-winter --rig kiln-gate --fault oil-on-lining=0.5", Prints: []string{`^wrote oil-in-winter.yaml`}},
		}},
		{"new suite", []clitest.Example{
			{Line: "holdbench new suite my-hoist", Prints: []string{`^wrote my-hoist with 6 files; review them, then holdbench check my-hoist$`}},
			{Line: "holdbench new suite my-lift --rig store-lift", Prints: []string{`^wrote my-lift with 6 files`}},
			{Line: "holdbench new suite press-slide --set load.mass_kg=420", Prints: []string{`^wrote press-slide with 6 files`}},
		}},
		{"new recordings", []clitest.Example{
			{Line: "holdbench new recordings crate-lift", Prints: []string{`^wrote crate-lift with 18 files$`}},
		}},
	} {
		t.Run(c.name, func(t *testing.T) { program().Examples(t, c.name, c.examples) })
	}
}

// A new suite is as expected, and its rig passes without a warning.
func TestANewSuiteIsAsExpected(t *testing.T) {
	t.Chdir(t.TempDir())
	got := program().Invoke(t.Context(), "new", "suite", "shop")
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	_, warnings, err := scenarios.LoadRig("shop/rig.yaml")
	require.NoError(t, err)
	assert.Empty(t, warnings)
	for name, class := range map[string]sim.Class{"healthy": sim.SoundPass, "lining-worn": sim.Caught, "link-down": sim.Refused} {
		ready, warnings, err := scenarios.LoadCase("shop/scenarios/"+name+".yaml", scenarios.Overrides{})
		require.NoError(t, err)
		assert.Empty(t, warnings, name)
		r, err := sim.Run(ready, nil)
		require.NoError(t, err)
		assert.True(t, r.Met(), name)
		assert.Equal(t, class, r.Class, name)
		assert.Empty(t, r.Broken(), name)
	}
}

// On a terminal each value is asked for with its default, and asked again until it is right.
func TestAskedOnATerminal(t *testing.T) {
	t.Chdir(t.TempDir())
	person, tty, err := pty.Open()
	if err != nil {
		t.Skip("no pseudo-terminal: ", err)
	}
	defer person.Close() //nolint:errcheck // at the end of the test
	answers := "heavy\n420\n" + strings.Repeat("\n", len(questions())-1)
	_, err = io.WriteString(person, answers)
	require.NoError(t, err)
	screen := make(chan string)
	go func() {
		var b bytes.Buffer
		_, _ = io.Copy(&b, person) // ends with the terminal
		screen <- b.String()
	}()
	var stdout bytes.Buffer
	a := &command.App{Stdin: tty, Stdout: &stdout, Stderr: tty, Env: func(string) string { return "" }}
	code := a.Execute(t.Context(), program()(a), []string{"new", "rig", "asked"})
	require.NoError(t, tty.Close())
	seen := <-screen
	assert.Equal(t, command.ExitOK, code, seen)
	assert.Contains(t, seen, "mass held by the axis, without payload and counterbalance, in kg [180]: ")
	assert.Contains(t, seen, `load.mass_kg is "heavy"; must be a number in kg`)
	assert.Contains(t, seen, "[21]: ", "the brake follows the load")
	text, err := os.ReadFile("asked.yaml")
	require.NoError(t, err)
	assert.Contains(t, string(text), "  mass_kg: 420 ")
}

// An input that ends is no answer: nothing is written.
func TestTheInputEnds(t *testing.T) {
	k := &asker{lines: bufio.NewScanner(strings.NewReader("200\n")), out: io.Discard}
	_, err := newRig(t.Context(), k, "r", nil)
	require.ErrorContains(t, err, "the input ended before the last answer; nothing was written")
}

// Whatever is set: a rig that vets, or an error.
func TestAnyNewRig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := map[string]string{}
		for _, q := range questions() {
			if f, _ := plant.FindField(q.path); f.Kind == plant.KindNumber && rapid.IntRange(0, 3).Draw(t, q.path) == 0 {
				r := plant.Defaults()
				require.NoError(t, f.SetNumber(&r, rapid.Float64Range(f.Min, f.Max).Draw(t, q.path+" value")))
				set[q.path] = f.Text(&r)
			}
		}
		text, err := newRig(t.Context(), &asker{}, "drawn", set)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		_, _, err = scenarios.ParseRig("drawn.yaml", text)
		require.NoError(t, err)
	})
}
