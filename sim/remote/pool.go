package remote

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"holdbench/sequence"
)

// Options say where controllers come from.
type Options struct {
	// Connect makes one more connection. Its error says why there is none; one that wraps
	// [context.Canceled] ends the run, any other is a controller that is not there. The errors of the
	// connection itself are treated alike, and whoever makes it bounds the time of an answer.
	Connect func() (io.ReadWriteCloser, error)
	// Most is how many connections there are at once, at least 1.
	Most int
	// AnswerWithin is told to the controller; 0 is no limit.
	AnswerWithin time.Duration
	// Source identifies the controller in fingerprints, such as its command line.
	Source string
	// LetGo is asked about a connection that has ended ahead of a valid answer to hello: true if the next
	// one is to be waited for. Without it such a connection is a controller that is not there.
	LetGo func(why error) bool
}

// Pool has the connections of one kind of controller. It may be used by several goroutines.
type Pool struct {
	options Options

	mu       sync.Mutex
	sessions []*session
	greeting *Greeting // of the first connection
	closed   bool

	uses  atomic.Int64 // counts, so that the session that was idle longest is known
	scans atomic.Int64
	again atomic.Int64 // of the scans: those that a controller was told again
}

// NewPool makes a pool without a connection.
func NewPool(o Options) *Pool {
	o.Most = max(1, o.Most)
	return &Pool{options: o}
}

// Scans is how many scans were exchanged, and how many of them again: for copies, and for runs that
// went on after another one had used the connection.
func (p *Pool) Scans() (all, again int64) { return p.scans.Load(), p.again.Load() }

// Close ends all connections. What still runs then has a controller that is lost.
func (p *Pool) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.closed = true
	var errs []error
	for _, s := range p.sessions {
		errs = append(errs, s.conn.Close()) // even in the middle of an exchange
	}
	p.sessions = nil
	return errors.Join(errs...)
}

// Logic is the controller in the place of a sequence, on a rig. The first call connects, to learn what
// the controller tells of itself.
func (p *Pool) Logic(base sequence.Logic, rig string, scan time.Duration) (sequence.Logic, error) {
	greeting, err := p.greet(base.About(), rig, scan)
	if err != nil {
		return nil, err
	}
	return newLogic(p, base, rig, greeting), nil
}

// OwnStates is whether the controller has told states of its own, once it was asked for a logic.
func (p *Pool) OwnStates() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.greeting != nil && len(p.greeting.States) > 0
}

func (p *Pool) greet(d *sequence.Description, rig string, scan time.Duration) (*Greeting, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.greeting != nil {
		return p.greeting, nil
	}
	if _, err := p.connect(d, rig, scan); err != nil {
		return nil, err
	}
	return p.greeting, nil
}

// connect makes one more connection and exchanges the first lines. The pool is locked.
func (p *Pool) connect(d *sequence.Description, rig string, scan time.Duration) (*session, error) {
	if p.closed {
		return nil, fmt.Errorf("the connections are closed: %w", context.Canceled)
	}
	s, g, err := p.meet(newHello(d, rig, scan, p.options.AnswerWithin))
	if err != nil {
		return nil, err
	}
	if p.greeting != nil && !g.sameAs(p.greeting) {
		_ = s.conn.Close() // the reason is known
		return nil, errors.New("its answer to hello differs from that of the connection before")
	}
	p.greeting = g
	p.sessions = append(p.sessions, s)
	return s, nil
}

// meet makes connections until one answers hello, or until that is given up.
func (p *Pool) meet(h *Hello) (*session, *Greeting, error) {
	for {
		conn, err := p.options.Connect()
		if err != nil {
			return nil, nil, err
		}
		s := newSession(conn)
		g, err := s.hello(h)
		if err == nil {
			return s, g, nil
		}
		s.refuse(err)
		if errors.Is(err, context.Canceled) || p.options.LetGo == nil || !p.options.LetGo(err) {
			return nil, nil, err
		}
	}
}

// hold gives the session of a controller, locked; told is false if it has to be told its run anew.
func (p *Pool) hold(c *controller) (s *session, told bool, err error) {
	if s := c.session; s != nil {
		s.mu.Lock()
		if s.owner.Load() == c && !s.lost {
			s.used.Store(p.uses.Add(1))
			return s, true, nil
		}
		s.mu.Unlock()
	}
	s, err = p.take(c)
	return s, false, err
}

// take gives a controller a session, locked: one that nobody uses, a new one, or the one that was
// idle longest.
func (p *Pool) take(c *controller) (*session, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for {
		s := p.choose(c)
		if s == nil {
			var err error
			if s, err = p.connect(c.logic.base.About(), c.logic.rig, c.scan); err != nil {
				return nil, err
			}
		}
		s.mu.Lock()
		if !s.lost {
			s.owner.Store(c)
			s.used.Store(p.uses.Add(1))
			c.session, c.origin = s, nil
			return s, nil
		}
		s.mu.Unlock() // lost a moment ago
		p.remove(s)
	}
}

// choose is a session without an owner; nil if there may be one more; else that of the run of which
// this one is a copy and which goes on later, or the one that was used longest ago. The pool is
// locked.
func (p *Pool) choose(c *controller) *session {
	var oldest *session
	for _, s := range p.sessions {
		if s.owner.Load() == nil {
			return s
		}
		if oldest == nil || s.used.Load() < oldest.used.Load() {
			oldest = s
		}
	}
	switch {
	case len(p.sessions) < p.options.Most:
		return nil
	case c.origin != nil && c.origin.session != nil && c.origin.session.owner.Load() == c.origin:
		return c.origin.session
	}
	return oldest
}

// drop ends a session that is lost; it is locked.
func (p *Pool) drop(s *session) {
	s.lost = true
	_ = s.conn.Close() // the reason is known
	s.mu.Unlock()
	p.mu.Lock()
	p.remove(s)
	p.mu.Unlock()
}

// remove takes a session off the list. The pool is locked.
func (p *Pool) remove(s *session) {
	p.sessions = slices.DeleteFunc(p.sessions, func(other *session) bool { return other == s })
}
