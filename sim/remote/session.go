package remote

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"
	"sync/atomic"

	"holdbench/plant/problem"
)

// session is one connection: a line out, a line in.
type session struct {
	conn  io.ReadWriteCloser         // may be closed at any time
	owner atomic.Pointer[controller] // that used it last; changed by who has the lock
	used  atomic.Int64               // when, by the count of the pool

	mu   sync.Mutex // of all below
	in   *bufio.Reader
	n    int64 // of the next line
	sent int64 // n of the line that is answered next
	line []byte
	lost bool
}

func newSession(conn io.ReadWriteCloser) *session {
	return &session{conn: conn, in: bufio.NewReaderSize(conn, MaxLine), line: make([]byte, 0, 4<<10)}
}

// exchange sends the line that was made and reads the answer, which holds until the next exchange.
func (s *session) exchange() ([]byte, error) {
	if err := s.send(1); err != nil {
		return nil, err
	}
	line, err := s.receive()
	if err == nil && s.in.Buffered() > 0 {
		err = errors.New("it answered with more than one line")
	}
	return line, err
}

// send sends the lines that were made.
func (s *session) send(lines int64) error {
	s.sent = s.n
	s.n += lines
	_, err := s.conn.Write(s.line)
	return err
}

// receive reads the next answer, which holds until the next one.
func (s *session) receive() ([]byte, error) {
	line, err := s.in.ReadSlice('\n')
	s.sent++
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		return nil, fmt.Errorf("its answer is longer than %d bytes", MaxLine)
	case errors.Is(err, io.EOF) && len(line) > 0:
		return nil, fmt.Errorf("it ended in the middle of the line %s", excerpt(line))
	case errors.Is(err, io.EOF):
		return nil, errors.New("it ended without an answer")
	}
	return line, err
}

// hello exchanges the first lines.
func (s *session) hello(h *Hello) (*Greeting, error) {
	text, err := json.Marshal(h)
	if err != nil {
		return nil, fmt.Errorf("the first line: %w", err)
	}
	s.line = append(append(s.line[:0], text...), '\n')
	line, err := s.exchange()
	if err != nil {
		return nil, err
	}
	g, err := readGreeting(line)
	if err == nil && g.N != nil && *g.N != h.N {
		return nil, fmt.Errorf("it answered line %d, and line %d was sent", *g.N, h.N)
	}
	return g, err
}

// refuse ends a connection for a reason, which the controller is told if it can act on it.
func (s *session) refuse(why error) {
	if errors.As(why, new(versionError)) {
		if line, err := json.Marshal(refusal{typeRefused, why.Error()}); err == nil {
			_, _ = s.conn.Write(append(line, '\n')) // it may be gone
		}
	}
	_ = s.conn.Close() // the reason is known
}

// answers checks that the answer that was received last is for its line.
func (s *session) answers(a *answer) error {
	if of := s.sent - 1; a.n >= 0 && a.n != float64(of) {
		return problem.Errorf("it answered line %g, and line %d was sent", a.n, of)
	}
	return nil
}
