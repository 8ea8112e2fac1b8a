package checkcmd

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

const (
	watchedScenario = "scenario: NAME\ntitle: t\nrig: RIG\nsequence: reference\nexpect: {end: pass, obligations: all}\n"
	ownRig          = "axis.yaml"
)

// watched is a folder of two scenarios, one of them with a rig of its own, and a watch over it.
type watched struct {
	*watch
	t      *testing.T
	folder string
	out    *bytes.Buffer
}

func newWatched(t *testing.T) *watched {
	t.Helper()
	w := &watched{t: t, folder: t.TempDir(), out: &bytes.Buffer{}}
	rig, err := os.ReadFile(filepath.Join("..", "..", "..", "scenarios", "rigs", "pane-hoist.yaml"))
	require.NoError(t, err)
	w.write(ownRig, string(rig))
	w.write("one.yaml", scenarioText("one", ownRig))
	w.write("two.yaml", scenarioText("two", "pane-hoist"))
	a := &command.App{Stdout: w.out, Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}
	w.watch = &watch{app: a, flags: &checkFlags{workers: 1}, paths: []string{w.folder}}
	require.NoError(t, w.run(t.Context(), nil))
	return w
}

func scenarioText(name, rig string) string {
	return strings.NewReplacer("NAME", name, "RIG", rig).Replace(watchedScenario)
}

// write replaces a file by another with its name, as editors do.
func (w *watched) write(name, text string) {
	w.t.Helper()
	beside := filepath.Join(w.folder, "."+name+".new")
	require.NoError(w.t, os.WriteFile(beside, []byte(text), 0o600))
	require.NoError(w.t, os.Rename(beside, filepath.Join(w.folder, name)))
}

// next looks until the files are settled, runs what has changed and gives what was printed, with names
// instead of paths.
func (w *watched) next() string {
	w.t.Helper()
	w.out.Reset()
	w.files.settled()
	if changed := w.files.settled(); len(changed) > 0 {
		require.NoError(w.t, w.run(w.t.Context(), changed))
	}
	assert.Empty(w.t, w.files.settled(), "what was run is run once")
	return strings.ReplaceAll(w.out.String(), w.folder+string(filepath.Separator), "")
}

func TestWatchRunsWhatChanged(t *testing.T) {
	w := newWatched(t)
	assert.Contains(t, w.out.String(), "watching 2 scenarios: 2 as expected, 0 other than expected, 0 unusable\n")
	assert.Empty(t, w.next(), "nothing has changed")

	w.write("two.yaml", strings.Replace(scenarioText("two", "pane-hoist"), "end: pass", "end: fail", 1))
	got := w.next()
	assert.True(t, strings.HasPrefix(got, "\nchanged: two.yaml; 1 of 2 scenarios again\n"), got)
	assert.Contains(t, got, "end: expected fail, got pass")
	assert.NotContains(t, got, "one.yaml")
	assert.Contains(t, got, "watching 2 scenarios: 1 as expected, 1 other than expected, 0 unusable\n")

	w.write(ownRig, "rig: [broken\n")
	got = w.next()
	assert.True(t, strings.HasPrefix(got, "\nchanged: axis.yaml; 1 of 2 scenarios again\n"), got)
	assert.Contains(t, got, "unusable one.yaml")
	assert.Contains(t, got, "0 as expected, 1 other than expected, 1 unusable\n")

	require.NoError(t, os.Remove(filepath.Join(w.folder, ownRig)))
	assert.Contains(t, w.next(), "changed: axis.yaml; 1 of 2 scenarios again\n")

	rig, err := os.ReadFile(filepath.Join("..", "..", "..", "scenarios", "rigs", "pane-hoist.yaml"))
	require.NoError(t, err)
	w.write(ownRig, string(rig))
	assert.Contains(t, w.next(), "1 as expected, 1 other than expected, 0 unusable\n")

	w.write("three.yaml", scenarioText("three", "pane-hoist"))
	got = w.next()
	assert.Contains(t, got, "changed: three.yaml; 1 of 3 scenarios again\n")
	require.NoError(t, os.Remove(filepath.Join(w.folder, "three.yaml")))
	assert.Contains(t, w.next(), "changed: three.yaml; 0 of 2 scenarios again\nwatching 2 scenarios: ")

	w.write("notes.yaml", "title: no scenario\n")
	assert.Contains(t, w.next(), "changed: notes.yaml; 0 of 2 scenarios again\n")
}

// A file that is touched or written with the same text is no change, and one that is being written is
// waited for.
func TestWatchWaitsUntilFilesAreSettled(t *testing.T) {
	w := newWatched(t)
	require.NoError(t, os.Chtimes(filepath.Join(w.folder, "two.yaml"), time.Time{}, time.Unix(1, 0)))
	assert.Empty(t, w.next())
	w.write("two.yaml", scenarioText("two", "pane-hoist"))
	assert.Empty(t, w.next())
	w.write("two.yaml", "scenario: tw")
	assert.Empty(t, w.files.settled())
	w.write("two.yaml", scenarioText("other", "pane-hoist"))
	assert.Empty(t, w.files.settled())
	assert.Equal(t, []string{filepath.Join(w.folder, "two.yaml")}, w.files.settled())
}

// The command itself: it stays until it is interrupted, and says so by its exit code.
func TestWatchEndsWithAnInterrupt(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "mine.yaml")
	require.NoError(t, os.WriteFile(file, []byte(scenarioText("mine", "pane-hoist")), 0o600))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	change := sync.OnceFunc(func() {
		assert.NoError(t, os.WriteFile(file, []byte(scenarioText("changed", "pane-hoist")), 0o600))
	})
	out := &steps{}
	out.do = func(text string) {
		switch strings.Count(text, "watching 1 scenario: 1 as expected") {
		case 1:
			change()
		case 2:
			cancel()
		}
	}
	got := invokeTo(ctx, out, "check", "--watch", "--workers", "1", file)
	assert.Equal(t, command.ExitInterrupted, got.Code, got.Stderr)
	assert.Contains(t, out.String(), "changed: "+file+"; 1 of 1 scenario again\n")
}

// steps does something with all that was written so far.
type steps struct {
	bytes.Buffer
	do func(text string)
}

func (s *steps) Write(p []byte) (int, error) {
	n, err := s.Buffer.Write(p)
	s.do(s.String())
	return n, err
}
