package follow

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/cmd/holdbench/terminal/page"
)

// Options are what a follower begins with.
type Options struct {
	In        io.Reader
	Out       io.Writer
	Address   string // of the bench
	HideTruth bool
	Large     bool
	ASCII     bool
	Colours   page.Colours
}

// Run shows the run of a bench until one of both ends, and returns what the bench says at its end, which is empty if the
// follower was left first.
func Run(ctx context.Context, o Options) (ended string, err error) {
	switch own, err := controller.IsLoopback(o.Address); {
	case err != nil:
		return "", err
	case !own:
		return "", fmt.Errorf("is %q, which is another machine; must be an address of this one, such as 127.0.0.1:4100", o.Address)
	}
	const wait = 5 * time.Second
	conn, err := (&net.Dialer{Timeout: wait}).DialContext(ctx, "tcp", o.Address)
	if err != nil {
		return "", fmt.Errorf("is %q, where no bench answers: %w; start one with holdbench --serve %[1]s", o.Address, controller.PlainNetError(err))
	}
	defer conn.Close() //nolint:errcheck // there is nothing to lose
	s := &screen{conn: conn, paint: page.NewPaint(o.Colours), wants: request{Version: version, Truth: !o.HideTruth, Large: o.Large, ASCII: o.ASCII}}
	program := tea.NewProgram(s, tea.WithContext(ctx), tea.WithoutSignalHandler(), tea.WithInput(o.In), tea.WithOutput(o.Out), tea.WithAltScreen())
	go readFrames(conn, program.Send)
	if _, err := program.Run(); err != nil {
		if ctx.Err() != nil {
			return "", ctx.Err()
		}
		return "", fmt.Errorf("the follower could not go on: %w", err)
	}
	return s.ended, s.err
}

// The end of a bench, with what it says, and why nothing more can be read.
type (
	benchEnded string
	benchLost  struct{ err error }
)

// readFrames hands on what the bench sends.
func readFrames(r io.Reader, send func(tea.Msg)) {
	in := lines(r, mostFrame)
	for in.Scan() {
		f, err := readFrame(in.Bytes())
		switch {
		case err != nil:
			send(benchLost{err})
			return
		case f.End != "":
			send(benchEnded(page.Cut(f.End, mostWidth)))
			return
		}
		send(f)
	}
	err := in.Err()
	if err == nil {
		err = errors.New("the bench is gone without an end")
	}
	send(benchLost{err})
}

// screen is the model of the follower's terminal.
type screen struct {
	conn   net.Conn
	paint  *page.Paint
	wants  request
	page   *page.Page
	text   string
	locked bool // the bench shows the truth to nobody
	ended  string
	err    error
}

func (s *screen) Init() tea.Cmd { return nil }

func (s *screen) View() string { return s.text }

func (s *screen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		s.wants.Width, s.wants.Height = min(msg.Width, mostWidth), min(max(msg.Height-1, 0), mostHeight)
		return s, tea.Batch(tea.ClearScreen, s.ask())
	case tea.KeyMsg:
		return s, s.onKey(msg)
	case frame:
		s.locked = msg.Locked
		s.page = msg.draw(s.page, s.wants.ASCII)
		s.text = s.page.ANSI(s.paint) + "\n" + s.hints()
	case benchEnded:
		s.ended = string(msg)
		return s, tea.Quit
	case benchLost:
		s.err = msg.err
		return s, tea.Quit
	}
	return s, nil
}

func (s *screen) onKey(msg tea.KeyMsg) tea.Cmd {
	switch msg.String() {
	case "q", "ctrl+c":
		return tea.Quit
	case "h":
		s.wants.Truth = !s.wants.Truth
	case "L":
		s.wants.Large = !s.wants.Large
	default:
		return nil
	}
	return s.ask()
}

// ask tells the bench what is wanted now; the follower's reader notices when the bench is gone.
func (s *screen) ask() tea.Cmd {
	line := lineOf(s.wants)
	return func() tea.Msg {
		_ = s.conn.SetWriteDeadline(time.Now().Add(patience))
		_, _ = s.conn.Write(line)
		return nil
	}
}

// hints are the keys of a follower, in a row.
func (s *screen) hints() string {
	p := page.New(s.page.W(), 1, s.wants.ASCII)
	x := p.Area().Text(1, 0, page.Strong, "follows the bench, read-only")
	truth := "truth on, off"
	if s.locked {
		truth = "truth with the answer"
	}
	for _, k := range [][2]string{{"h", truth}, {"L", "large on, off"}, {"q", "leave"}} {
		x = p.Area().Text(x+2, 0, page.Key, k[0])
		x = p.Area().Text(x+1, 0, page.Faint, k[1])
	}
	return p.ANSI(s.paint)
}
