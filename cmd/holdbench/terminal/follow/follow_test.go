package follow

import (
	"io"
	"net"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
)

// drawing shows a text, and the truth to those who want it.
func drawing(text string) Drawing {
	return func(a page.Area, truth, large bool) {
		a.Text(0, 0, page.Strong, text)
		if truth {
			a.Text(0, 1, page.Truth, "•truth")
		}
		if large {
			a.Text(0, 2, page.Plain, "LARGE")
		}
	}
}

// client is a follower without a terminal.
type client struct {
	conn net.Conn
	got  chan tea.Msg
	page *page.Page
}

func connect(t *testing.T, s *Server, wants request) *client {
	t.Helper()
	conn, err := net.Dial("tcp", s.Address())
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close() })
	c := &client{conn: conn, got: make(chan tea.Msg, 100)}
	go readFrames(conn, func(msg tea.Msg) { c.got <- msg })
	c.ask(t, wants)
	return c
}

func (c *client) ask(t *testing.T, wants request) {
	t.Helper()
	_, err := c.conn.Write(lineOf(wants))
	require.NoError(t, err)
}

// next draws the next frame; the end of a bench is its text.
func (c *client) next(t *testing.T) string {
	t.Helper()
	const wait = 20 * time.Second
	select {
	case msg := <-c.got:
		switch msg := msg.(type) {
		case frame:
			c.page = msg.draw(c.page, false)
			return c.page.Text()
		case benchEnded:
			return "ended: " + string(msg)
		case benchLost:
			return "lost: " + msg.err.Error()
		}
	case <-time.After(wait):
		require.Fail(t, "nothing came")
	}
	return ""
}

func serve(t *testing.T) *Server {
	t.Helper()
	s, err := Serve(t.Context(), "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return s
}

func wish(truth bool) request {
	return request{Version: version, Width: 20, Height: 3, Truth: truth}
}

// Each follower sees the same moment as it wants to, and the end.
func TestFollowers(t *testing.T) {
	t.Parallel()
	s := serve(t)
	s.Show(drawing("moment 1"), false)
	trainer, class := connect(t, s, wish(true)), connect(t, s, wish(false))
	assert.Equal(t, "moment 1\n•truth\n", trainer.next(t))
	assert.Equal(t, "moment 1\n\n", class.next(t))
	s.Show(drawing("moment 2"), false)
	assert.Equal(t, "moment 2\n•truth\n", trainer.next(t))
	assert.Equal(t, "moment 2\n\n", class.next(t))
	trainer.ask(t, request{Version: version, Width: 20, Height: 4, Large: true})
	assert.Equal(t, "moment 2\n\nLARGE\n", trainer.next(t))
	s.Close()
	assert.Equal(t, "ended: the bench has ended", trainer.next(t))
	assert.Equal(t, "ended: the bench has ended", class.next(t))
}

// While the truth is locked nobody gets it, and the follower says so also where nothing else has changed.
func TestLockedTruth(t *testing.T) {
	t.Parallel()
	s := serve(t)
	hints := &screen{paint: page.NewPaint(page.Colours{})}
	trainer := connect(t, s, request{Version: version, Width: 80, Height: 3, Truth: true})
	for _, locked := range []bool{true, false, true} {
		s.Show(drawing("riddle 7"), locked)
		msg, ok := (<-trainer.got).(frame)
		require.True(t, ok)
		trainer.page = msg.draw(trainer.page, false)
		hints.Update(msg)
		assert.Equal(t, !locked, strings.Contains(trainer.page.Text(), "•truth"))
		assert.Equal(t, locked, strings.Contains(hints.text, "truth with the answer"))
	}
	class := connect(t, s, wish(false))
	for _, locked := range []bool{true, false} {
		s.Show(drawing("riddle 7"), locked)
		msg, ok := (<-class.got).(frame)
		require.True(t, ok)
		assert.Equal(t, locked, msg.Locked)
	}
}

// A follower that does not read, goes, or talks another language does not keep the bench from showing and ending.
func TestBadFollowers(t *testing.T) {
	t.Parallel()
	s := serve(t)
	for _, says := range []string{"", "GET / HTTP/1.1\r\n\r\n", `{"holdbench_follow":2}` + "\n", strings.Repeat("x", 2*mostRequest), string(lineOf(request{Version: version, Width: 1 << 30, Height: -5}))} {
		conn, err := net.Dial("tcp", s.Address())
		require.NoError(t, err)
		_, _ = io.WriteString(conn, says)
		if says != "" {
			_ = conn.Close()
		} else {
			t.Cleanup(func() { _ = conn.Close() })
		}
	}
	s.Show(drawing("still there"), false)
	assert.Contains(t, connect(t, s, wish(false)).next(t), "still there")
	s.Close()
}

// Addresses of other machines are neither served nor followed.
func TestLoopbackOnly(t *testing.T) {
	t.Parallel()
	for _, address := range []string{"0.0.0.0:4100", "192.0.2.1:4100", "example.org:4100"} {
		_, err := Serve(t.Context(), address)
		require.ErrorContains(t, err, "must be an address of this machine alone")
		_, err = Run(t.Context(), Options{Address: address})
		require.ErrorContains(t, err, "must be an address of this one")
	}
	_, err := Serve(t.Context(), "4100")
	require.ErrorContains(t, err, "must be HOST:PORT")
	s := serve(t)
	address := s.Address()
	s.Close()
	_, err = Run(t.Context(), Options{Address: address})
	require.ErrorContains(t, err, "where no bench answers")
}

// Whatever a bench sends, a follower refuses it or draws it in cells: nothing of it steers the terminal.
func FuzzFrame(f *testing.F) {
	for _, line := range []string{"", "{", `{"holdbench_bench":1,"width":3,"height":2,"rows":[{"y":0,"runs":[{"r":2,"t":"a\u001b[2Jb"}]}]}`, `{"holdbench_bench":1,"width":-1}`, `{"holdbench_bench":1,"width":9,"height":9,"rows":[{"y":-5,"runs":[{"r":250,"t":"\r\n\u0007世"}]}]}`, `{"holdbench_bench":1,"end":"x"}`} {
		f.Add([]byte(line))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		got, err := readFrame(line)
		if err != nil {
			return
		}
		p := got.draw(nil, false)
		assert.LessOrEqual(t, p.W()*p.H(), mostWidth*mostHeight)
		assert.NotRegexp(t, `[\x00-\x09\x0b-\x1f\x7f]`, p.ANSI(nil))
	})
}

// Whatever a follower sends, the bench refuses it or keeps to sizes that it can draw.
func FuzzRequest(f *testing.F) {
	f.Add([]byte(`{"holdbench_follow":1,"width":80,"height":24,"truth":true}`))
	f.Add([]byte(`{"holdbench_follow":1,"width":-1,"height":1000000000}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		if r, err := readRequest(line); err == nil {
			assert.True(t, r.Width >= 0 && r.Width <= mostWidth && r.Height >= 0 && r.Height <= mostHeight)
		}
	})
}
