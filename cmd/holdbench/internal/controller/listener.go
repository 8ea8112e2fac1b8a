package controller

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"sync"
	"sync/atomic"
	"time"
)

// Listener lets one client at a time connect.
type Listener struct {
	ctx     context.Context
	limits  Limits
	waiting func(address string)

	listener net.Listener
	clients  chan *socket // one that is not served yet
	busy     atomic.Bool  // there is a client, served or not
	done     chan struct{}
}

// Listen listens on an address; waiting is called whenever a client is waited for, with the address.
func Listen(ctx context.Context, address string, limits Limits, waiting func(address string)) (*Listener, error) {
	inner, err := (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, PlainNetError(err)
	}
	l := &Listener{ctx: ctx, limits: limits, waiting: waiting, listener: inner, clients: make(chan *socket, 1), done: make(chan struct{})}
	go l.accept()
	return l, nil
}

// PlainNetError is an error of the network without what is known already.
func PlainNetError(err error) error {
	var of *net.OpError
	if errors.As(err, &of) && of.Err != nil {
		return of.Err
	}
	return err
}

// Address is where it listens.
func (l *Listener) Address() string { return l.listener.Addr().String() }

// accept takes the next client while there is none, and refuses all others.
func (l *Listener) accept() {
	defer close(l.done)
	for {
		conn, err := l.listener.Accept()
		switch {
		case errors.Is(err, net.ErrClosed):
			return
		case err != nil: // of one client, or too many files are open
			time.Sleep(10 * time.Millisecond)
		case l.busy.CompareAndSwap(false, true):
			l.clients <- newSocket(l, conn)
		default:
			refuse(conn)
		}
	}
}

// refuse tells a client that it is one too many. It does not wait for it.
func refuse(conn net.Conn) {
	_ = conn.SetWriteDeadline(time.Now().Add(100 * time.Millisecond))
	_, _ = io.WriteString(conn, `{"type":"refused","because":"another controller is connected"}`+"\n")
	_ = conn.Close()
}

// Connect waits for the next client.
func (l *Listener) Connect() (io.ReadWriteCloser, error) {
	l.waiting(l.Address())
	select {
	case c := <-l.clients:
		return c, nil
	case <-l.ctx.Done():
		return nil, interrupted{}
	case <-l.done:
		return nil, fmt.Errorf("the listener is closed: %w", context.Canceled)
	}
}

// Close ends the listening; the client that is served stays.
func (l *Listener) Close() error {
	err := l.listener.Close()
	<-l.done
	select {
	case c := <-l.clients:
		return errors.Join(err, c.Close())
	default:
		return err
	}
}

// socket is a client that has connected.
type socket struct {
	net.Conn
	listener *Listener
	watch    *watch
	close    sync.Once
}

func newSocket(l *Listener, conn net.Conn) *socket {
	s := &socket{Conn: conn, listener: l}
	s.watch = newWatch(l.ctx, l.limits, func() { _ = conn.Close() })
	return s
}

// Write sends a line.
func (s *socket) Write(line []byte) (int, error) {
	s.watch.asked(line)
	n, err := s.Conn.Write(line)
	return n, s.reason(err)
}

// Read reads an answer.
func (s *socket) Read(to []byte) (int, error) {
	n, err := s.Conn.Read(to)
	s.watch.came(to[:n])
	return n, s.reason(err)
}

func (s *socket) reason(err error) error {
	switch {
	case err == nil:
		return nil
	case s.watch.reason() != nil:
		return s.watch.reason()
	case errors.Is(err, io.EOF):
		return errors.New("it has closed the connection")
	}
	return fmt.Errorf("the connection is broken: %w", PlainNetError(err))
}

// Close ends the connection; the next client may come.
func (s *socket) Close() error {
	s.close.Do(func() {
		s.watch.stop()
		_ = s.Conn.Close() // it may be broken
		s.listener.busy.Store(false)
	})
	return nil
}
