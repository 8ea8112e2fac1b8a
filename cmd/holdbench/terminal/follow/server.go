package follow

import (
	"context"
	"fmt"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"holdbench/cmd/holdbench/internal/controller"
	"holdbench/cmd/holdbench/terminal/page"
)

// Drawing draws what the bench shows at one moment, for anybody at any time: it holds nothing that changes.
type Drawing func(a page.Area, truth, large bool)

// moment is what the bench shows at one.
type moment struct {
	draw   Drawing
	locked bool // nobody sees the truth
}

const (
	mostFollowers = 8
	interval      = 100 * time.Millisecond // from one frame to the next, as more is not seen beside a speaker
	patience      = 2 * time.Second        // with a follower that does not read
)

// Server serves what the bench shows. Followers are served beside the bench, which waits for none of them.
type Server struct {
	listener net.Listener
	shown    atomic.Pointer[moment]
	places   chan struct{} // one for each follower
	group    sync.WaitGroup
	ctx      context.Context //nolint:containedctx // ended by Close
	stop     context.CancelFunc
}

// Serve listens on an address of this machine's loopback interface.
func Serve(ctx context.Context, address string) (*Server, error) {
	switch own, err := controller.IsLoopback(address); {
	case err != nil:
		return nil, err
	case !own:
		return nil, fmt.Errorf("is %q, which others can reach; must be an address of this machine alone, such as 127.0.0.1:4100, as a follower sees the truth and is not asked who it is", address)
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("is %q, which cannot be listened on: %w", address, controller.PlainNetError(err))
	}
	s := &Server{listener: listener, places: make(chan struct{}, mostFollowers)}
	s.ctx, s.stop = context.WithCancel(ctx)
	s.group.Go(s.accept)
	return s, nil
}

// Address is where it listens.
func (s *Server) Address() string { return s.listener.Addr().String() }

// Show takes what the bench shows now, and whether its truth is locked, which followers tell.
func (s *Server) Show(d Drawing, locked bool) { s.shown.Store(&moment{d, locked}) }

// Close tells the followers that the bench has ended, and waits until they are told or given up.
func (s *Server) Close() {
	s.stop()
	_ = s.listener.Close() // there is nothing to lose
	s.group.Wait()
}

func (s *Server) accept() {
	for {
		conn, err := s.listener.Accept()
		if s.ctx.Err() != nil {
			if err == nil {
				_ = conn.Close()
			}
			return
		}
		if err != nil { // of one follower, or too many files are open
			time.Sleep(interval)
			continue
		}
		select {
		case s.places <- struct{}{}:
			s.group.Go(func() { s.follower(conn); <-s.places })
		default:
			f := follower{conn: conn}
			_ = f.send(frame{Version: version, End: fmt.Sprintf("the bench has %d followers already, and takes no more", mostFollowers)})
			_ = conn.Close()
		}
	}
}

// follower serves one follower until one of both ends.
func (s *Server) follower(conn net.Conn) {
	f := &follower{conn: conn}
	wanted := make(chan request, 1)
	read := make(chan struct{})
	go func() { defer close(read); readRequests(conn, wanted) }()
	defer func() { _ = conn.Close(); <-read }()
	tick := time.NewTicker(interval)
	defer tick.Stop()
	for {
		select {
		case <-s.ctx.Done():
			_ = f.send(frame{Version: version, End: "the bench has ended"})
			return
		case <-read:
			return
		case f.wants = <-wanted:
			f.drawn = nil
		case <-tick.C:
		}
		if err := f.update(s.shown.Load()); err != nil {
			return
		}
	}
}

// readRequests reads what a follower wants until it sends something else or ends. Of several wishes the last counts.
func readRequests(conn net.Conn, wanted chan request) {
	in := lines(conn, mostRequest)
	for in.Scan() {
		r, err := readRequest(in.Bytes())
		if err != nil {
			_ = conn.Close()
			return
		}
		select {
		case <-wanted:
		default:
		}
		wanted <- r
	}
}

// follower is a follower and what it has.
type follower struct {
	conn  net.Conn
	wants request
	drawn *moment // that the page has
	page  *page.Page
	told  bool // that the truth is locked
}

// update sends what has changed since the last frame.
func (f *follower) update(m *moment) error {
	if m == nil || m == f.drawn || f.wants.Version == 0 {
		return nil
	}
	now := page.New(f.wants.Width, f.wants.Height, f.wants.ASCII)
	m.draw(now.Area(), f.wants.Truth && !m.locked, f.wants.Large)
	change := changed(f.page, now)
	change.Locked = m.locked
	same := len(change.Rows) == 0 && m.locked == f.told
	f.drawn, f.page, f.told = m, now, m.locked
	if same {
		return nil
	}
	return f.send(change)
}

func (f *follower) send(what frame) error {
	if err := f.conn.SetWriteDeadline(time.Now().Add(patience)); err != nil {
		return err
	}
	_, err := f.conn.Write(lineOf(what))
	return err
}
