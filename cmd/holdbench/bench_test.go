//go:build unix

package main

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/command"
)

// TestBench drives the program as users have it, as a process on a terminal.
func TestBench(t *testing.T) {
	t.Parallel()
	file, err := exec.LookPath("holdbench") // what the scripts run, see clitest.Main
	require.NoError(t, err)
	for name, test := range map[string]func(*testing.T, string){
		"FromEndToEnd": fromEndToEnd, "EndsInOrder": endsInOrder, "AsksBeforeItLosesWork": asksBeforeItLosesWork,
		"ASCII": inASCII, "BrokenDocument": tellsABrokenDocument, "Suspended": goesOnWithoutAShell, "Binary": survivesBinary,
		"Course": learns,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t, file)
		})
	}
}

// seat is somebody before a terminal in which the program runs.
type seat struct {
	t       *testing.T
	screen  *vt.Emulator
	taken   int           // how often the program has taken the screen
	mutex   sync.Mutex    // of the screen and its count
	raw     bytes.Buffer  // all that came, complete once drained is closed
	written chan struct{} // has a value after a write that nobody has looked at
	drained chan struct{}
	master  *os.File
	ended   chan struct{}
	cmd     *exec.Cmd
}

// patience is how long a test waits for what must come.
const patience = 20 * time.Second

func sit(t *testing.T, file string, columns, rows uint16, folder string, env []string, args ...string) *seat {
	t.Helper()
	var err error
	s := &seat{t: t, screen: vt.NewEmulator(int(columns), int(rows)), ended: make(chan struct{}), drained: make(chan struct{}), written: make(chan struct{}, 1)}
	s.screen.SetCallbacks(vt.Callbacks{AltScreen: func(on bool) {
		if on {
			s.taken++
		}
	}})
	s.cmd = exec.CommandContext(t.Context(), file, args...)
	s.cmd.Dir = folder
	s.cmd.Env = append(os.Environ(), append([]string{"TERM=xterm-256color", "CI="}, env...)...)
	s.master, err = pty.StartWithSize(s.cmd, &pty.Winsize{Rows: rows, Cols: columns})
	require.NoError(t, err)
	go func() {
		defer close(s.drained)
		_, _ = io.Copy(s, io.TeeReader(s.master, &s.raw)) // ends with the terminal
	}()
	go func() { _, _ = io.Copy(s.master, s.screen) }() // what the terminal answers to questions
	go func() { _ = s.cmd.Wait(); close(s.ended) }()
	t.Cleanup(func() { _ = s.master.Close() })
	return s
}

// Write shows what the program wrote.
func (s *seat) Write(text []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	select {
	case s.written <- struct{}{}:
	default: // nobody has looked at the one before
	}
	return s.screen.Write(text)
}

// resize makes the terminal another size.
func (s *seat) resize(columns, rows uint16) {
	s.t.Helper()
	s.mutex.Lock()
	s.screen.Resize(int(columns), int(rows))
	s.mutex.Unlock()
	require.NoError(s.t, pty.Setsize(s.master, &pty.Winsize{Rows: rows, Cols: columns}))
}

// isAlternate is whether the program has the screen.
func (s *seat) isAlternate() bool {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.screen.IsAltScreen()
}

// timesTaken is how often the program has taken the screen.
func (s *seat) timesTaken() int {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.taken
}

// text is what is to be seen.
func (s *seat) text() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	lines := make([]string, s.screen.Height())
	for y := range lines {
		for x := range s.screen.Width() {
			if cell := s.screen.CellAt(x, y); cell != nil {
				lines[y] += cell.Content
			}
		}
	}
	return strings.Join(lines, "\n")
}

// sees waits until a text is to be seen.
func (s *seat) sees(want string) {
	s.t.Helper()
	s.waits(want+" is to be seen", func(screen string) bool { return strings.Contains(screen, want) })
}

// seesNoMore waits until a text has gone.
func (s *seat) seesNoMore(text string) {
	s.t.Helper()
	s.waits(text+" is to be gone", func(screen string) bool { return !strings.Contains(screen, text) })
}

// waits looks at the screen after every write.
func (s *seat) waits(what string, shown func(screen string) bool) {
	s.t.Helper()
	end := time.After(patience)
	for !shown(s.text()) {
		select {
		case <-s.written:
		case <-end:
			require.Fail(s.t, what, s.text())
		}
	}
}

// types sends keys.
func (s *seat) types(keys string) {
	s.t.Helper()
	_, err := io.WriteString(s.master, keys)
	require.NoError(s.t, err)
}

// leaves waits for the end of the process and gives its exit code.
func (s *seat) leaves() int {
	s.t.Helper()
	select {
	case <-s.ended: // its error is in the exit code
	case <-time.After(patience):
		require.Fail(s.t, "the program does not end", s.text())
	}
	<-s.drained // what it wrote last is on the screen
	return s.cmd.ProcessState.ExitCode()
}

// The keys as a terminal sends them.
const (
	keyEnd   = "\x1b[F"
	keyEnter = "\r"
	keyEsc   = "\x1b"
)

// The whole way of a user: play, resize, go back, branch, keep, leave, and run what was
// kept.
func fromEndToEnd(t *testing.T, file string) {
	t.Helper()
	folder := t.TempDir()
	s := sit(t, file, 120, 40, folder, nil, "--scenario", "lining-worn-thin")
	s.sees("Lining worn below the test torque")
	s.types(keyEnd)
	s.sees("caught")
	s.resize(80, 24)
	s.sees("caught")
	s.types("SSSSSSSSSS") // back by states, into the travel or before
	s.types("x")          // emergency stop: a branch
	s.sees("branch")
	s.types(keyEnd)
	s.sees("■ ended")
	s.types("k")
	s.sees("lining-worn-thin-tried")
	s.types(keyEnter)
	s.sees("kept in")
	s.types("q")
	assert.Zero(t, s.leaves(), "%s", s.text())
	assert.False(t, s.isAlternate(), "the screen of before is back")
	assert.NotContains(t, s.raw.String(), "\x1b]", "nothing is asked of the terminal, and its title stays")
	assert.NotContains(t, s.raw.String(), "\x1b[6n")

	kept := filepath.Join(folder, "lining-worn-thin-tried.yaml")
	got := invoke(t.Context(), "run", kept)
	assert.Zero(t, got.Code, "%s%s", got.Stdout, got.Stderr)
	assert.Contains(t, got.Stdout, "estop")
}

// A signal gives the terminal back as it was, whatever is on it.
// learns does a lesson of the course at each size, and finds it done the next time.
func learns(t *testing.T, file string) {
	t.Helper()
	for _, size := range [][2]uint16{{80, 24}, {120, 40}, {200, 60}} {
		state := t.TempDir()
		s := sit(t, file, size[0], size[1], t.TempDir(), []string{"XDG_STATE_HOME=" + state})
		s.sees("healthy-down-and-up")
		s.types("N")
		s.sees("0 of 36 lessons done")
		s.types("without the drive")
		s.types(keyEnter)
		s.sees("lesson 5.2")
		s.types(keyEnter)
		for _, stop := range []string{"1 of 3", "2 of 3", "3 of 3"} {
			s.types(keyEnd)
			s.sees("lesson 5.2, " + stop)
			s.types("2" + keyEnter)
		}
		s.types(keyEnd)
		s.sees("This was drive-trips-while-pressing")
		s.sees("2 of 2 questions answered correctly.")
		s.sees("Next lesson, with enter: 5.3 Without the controller")
		s.types(keyEsc)
		s.seesNoMore("end of the lesson")
		s.types("q")
		assert.Zero(t, s.leaves())
		assert.FileExists(t, filepath.Join(state, "holdbench", "course.json"))
		again := sit(t, file, size[0], size[1], t.TempDir(), []string{"XDG_STATE_HOME=" + state})
		again.sees("healthy-down-and-up")
		again.types("N")
		again.sees("1 of 36 lessons done; 2 of 2 questions answered correctly.")
		again.types(keyEsc)
		again.seesNoMore("lessons done")
		again.types("q")
		assert.Zero(t, again.leaves())
	}
}

func endsInOrder(t *testing.T, file string) {
	t.Helper()
	for _, signal := range []syscall.Signal{syscall.SIGTERM, syscall.SIGQUIT} {
		s := sit(t, file, 80, 24, t.TempDir(), nil)
		s.sees("healthy-down-and-up")
		s.types(" ")
		require.NoError(t, s.cmd.Process.Signal(signal))
		assert.Equal(t, command.ExitInterrupted, s.leaves(), signal)
		assert.False(t, s.isAlternate(), signal)
	}
}

// Suspended on a terminal of its own, where no shell could continue it, the program goes on.
func goesOnWithoutAShell(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), nil)
	s.sees("healthy-down-and-up")
	for range 2 {
		before := s.timesTaken()
		s.types("\x1a")
		s.waits("the screen is taken again", func(string) bool { return s.timesTaken() > before })
		s.types("?")
		s.sees("── Help")
		s.types(keyEsc)
		s.seesNoMore("── Help")
	}
	s.types("q")
	assert.Zero(t, s.leaves())
	assert.False(t, s.isAlternate())
}

// Bytes at random, typed or pasted, leave a terminal as it was, at the latest with the end of the program.
func survivesBinary(t *testing.T, file string) {
	t.Helper()
	for _, pasted := range []bool{false, true} {
		random := rand.New(rand.NewPCG(1, 2))
		text := make([]byte, 2000)
		for i := range text {
			text[i] = byte(random.Uint32())
		}
		s := sit(t, file, 80, 24, t.TempDir(), nil)
		s.sees("healthy-down-and-up")
		if pasted {
			text = slices.Concat([]byte("\x1b[200~"), text, []byte("\x1b[201~"))
		}
		s.types(string(text))
		_ = s.cmd.Process.Signal(syscall.SIGTERM) // it may have ended by a key
		assert.Contains(t, []int{command.ExitOK, command.ExitInterrupted}, s.leaves())
		assert.False(t, s.isAlternate())
	}
}

// Work is not lost by one key.
func asksBeforeItLosesWork(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), nil)
	s.sees("healthy-down-and-up")
	s.types("x")
	s.sees("changed, not kept")
	s.types("q")
	s.sees("Leave holdbench?")
	s.types(keyEsc)
	s.seesNoMore("Leave holdbench?")
	s.types("q")
	s.sees("Leave holdbench?")
	s.types("y")
	assert.Zero(t, s.leaves())
}

// Consoles without Unicode get ASCII alone, and NO_COLOR no colour.
func inASCII(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), []string{"NO_COLOR=1"}, "--ascii")
	s.sees("healthy-down-and-up")
	s.types(keyEnd)
	s.sees("sound-pass")
	for _, r := range s.text() {
		require.Less(t, r, rune(128), "%q in\n%s", r, s.text())
	}
	s.types("q")
	assert.Zero(t, s.leaves())
}

// A document that cannot be used is told before the screen is taken.
func tellsABrokenDocument(t *testing.T, file string) {
	t.Helper()
	s := sit(t, file, 80, 24, t.TempDir(), nil, "--scenario", "lining-worn-thick")
	assert.Equal(t, command.ExitWrong, s.leaves())
	s.sees("lining-worn-thin")
}
