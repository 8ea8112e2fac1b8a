//go:build unix

package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"
)

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
	tty     *os.File    // the program's side, which a job holds until the program has ended; nil without one
	before  *term.State // how the line was set before the program
	after   *term.State // and behind it, of a job
	ended   chan struct{}
	cmd     *exec.Cmd
}

// patience is how long a test waits for what must come.
const patience = 2 * time.Minute

func newSeat(d desk, folder string, env, args []string) *seat {
	d.t.Helper()
	s := &seat{
		t: d.t, screen: vt.NewEmulator(int(d.columns), int(d.rows)), ended: make(chan struct{}), drained: make(chan struct{}),
		written: make(chan struct{}, 1),
	}
	s.screen.SetCallbacks(vt.Callbacks{AltScreen: func(on bool) {
		if on {
			s.taken++
		}
	}})
	s.cmd = exec.CommandContext(d.t.Context(), d.file, args...)
	s.cmd.Dir = folder
	s.cmd.Env = append(os.Environ(), "TERM=xterm-256color", "COLORTERM=", "COLORFGBG=", "NO_COLOR=", "CI=")
	s.cmd.Env = append(s.cmd.Env, env...)
	return s
}

// start begins the program and reads what it writes. A job holds the terminal of its own side as its shell does.
func (s *seat) start(columns, rows uint16) {
	s.t.Helper()
	var err error
	s.master, s.tty, err = pty.Open()
	require.NoError(s.t, err)
	require.NoError(s.t, pty.Setsize(s.master, &pty.Winsize{Rows: rows, Cols: columns}))
	s.before, err = lineState(s.tty)
	require.NoError(s.t, err)
	s.cmd.Stdin, s.cmd.Stdout, s.cmd.Stderr = s.tty, s.tty, s.tty
	require.NoError(s.t, s.cmd.Start())
	if !s.cmd.SysProcAttr.Setpgid {
		require.NoError(s.t, s.tty.Close())
		s.tty = nil
	}
	go func() {
		defer close(s.drained)
		_, _ = io.Copy(s, io.TeeReader(s.master, &s.raw)) // ends with the terminal
	}()
	go func() { _, _ = io.Copy(s.master, s.screen) }() // what the terminal answers to questions
	go func() {
		defer close(s.ended)
		_ = s.cmd.Wait()
		if s.tty != nil {
			s.after, _ = lineState(s.tty)
			_ = s.tty.Close()
		}
	}()
	s.t.Cleanup(func() { _ = s.master.Close() })
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
		case <-s.ended: // nothing more is written
			<-s.drained
			if !shown(s.text()) {
				require.Fail(s.t, what+", and the program has ended", s.text())
			}
			return
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

// does types keys and waits until texts are to be seen, one after the other.
func (s *seat) does(keys string, want ...string) {
	s.t.Helper()
	s.types(keys)
	for _, text := range want {
		s.sees(text)
	}
}

// closes leaves a page on which a text stands.
func (s *seat) closes(text string) {
	s.t.Helper()
	s.types(keyEsc)
	s.seesNoMore(text)
}

// leaves waits for the end of the process and gives its exit code. The terminal must be as it was before.
func (s *seat) leaves() int {
	s.t.Helper()
	select {
	case <-s.ended: // its error is in the exit code
	case <-time.After(patience):
		require.Fail(s.t, "the program does not end", s.text())
	}
	if s.tty != nil {
		assert.Equal(s.t, s.before, s.after, "the line is as it was: it echoes, and a line is read as a whole")
	}
	<-s.drained // what it wrote last is on the screen
	s.isGivenBack()
	assert.Empty(s.t, overlong(s.raw.String()), "figures that nobody reads to their end")
	return s.cmd.ProcessState.ExitCode()
}

// isGivenBack holds that the screen is that of before, the cursor is to be seen, and neither mouse nor paste are
// reported any more.
func (s *seat) isGivenBack() {
	s.t.Helper()
	assert.False(s.t, s.isAlternate(), "the screen of before is back")
	for mode, on := range lastModes(s.raw.String()) {
		const cursor = "25"
		assert.Equal(s.t, mode == cursor, on, "mode %s of the terminal", mode)
	}
}

// lastModes are the private modes of the terminal that a program has touched, as it left them.
func lastModes(raw string) map[string]bool {
	modes := map[string]bool{}
	for _, m := range regexp.MustCompile(`\x1b\[\?([0-9;]+)([hl])`).FindAllStringSubmatch(raw, -1) {
		for mode := range strings.SplitSeq(m[1], ";") {
			modes[mode] = m[2] == "h"
		}
	}
	return modes
}

// lineState is how the line of a terminal is set, as stty shows it.
func lineState(tty *os.File) (*term.State, error) { return term.GetState(int(tty.Fd())) }

// The keys as a terminal sends them.
const (
	keyEnd       = "\x1b[F"
	keyDown      = "\x1b[B"
	keyEnter     = "\r"
	keyEsc       = "\x1b"
	keyTab       = "\t"
	keyBackspace = "\x7f"
	keyCtrlR     = "\x12"
	keyCtrlZ     = "\x1a"
)

// oneLine is a screen without frames, and with one blank between words, so that a text is found wherever it wraps.
func oneLine(screen string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(screen, "│", " ")), " ")
}

// reads waits until a text is to be seen that may be wrapped.
func (s *seat) reads(want string) {
	s.t.Helper()
	s.waits(want+" is to be read", func(screen string) bool { return strings.Contains(oneLine(screen), want) })
}

// quits leaves the bench, and what was changed on it.
func (s *seat) quits() {
	s.t.Helper()
	s.types("q")
	if s.asksToLeave() {
		s.types("y")
	}
	assert.Zero(s.t, s.leaves())
}

// asksToLeave waits for the question that a changed run puts, or the end.
func (s *seat) asksToLeave() bool {
	s.t.Helper()
	asked := false
	s.waits("a question or the end", func(screen string) bool {
		asked = strings.Contains(screen, "Leave holdbench?")
		return asked || s.hasEnded()
	})
	return asked
}

func (s *seat) hasEnded() bool {
	select {
	case <-s.ended:
		return true
	default:
		return false
	}
}

// stands waits until the program is stopped, as its shell does.
func (s *seat) stands() {
	s.t.Helper()
	var status syscall.WaitStatus
	require.Eventually(s.t, func() bool {
		_, err := syscall.Wait4(s.cmd.Process.Pid, &status, syscall.WUNTRACED|syscall.WNOHANG, nil)
		return err == nil && status.Stopped()
	}, patience, 10*time.Millisecond, "the program stands still")
}

// rows are those of a screen.
func rows(screen string) []string { return strings.Split(screen, "\n") }
