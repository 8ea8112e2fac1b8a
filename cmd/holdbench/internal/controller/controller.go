// Package controller connects controllers outside the program: it starts processes and lets clients
// connect. A connection ends in bounded time: an answer that is late ends it, as does an interrupt.
package controller

import (
	"bytes"
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"time"
)

// DefaultWithin is the time that a controller has for each answer unless a flag says otherwise:
// enough for an interpreter that starts slowly, short enough for a suite.
const DefaultWithin = 5 * time.Second

// interrupted is the end of a connection by an interrupt.
type interrupted struct{}

func (interrupted) Error() string { return "interrupted while a controller was to answer" }

func (interrupted) Unwrap() error { return context.Canceled }

// watch ends a connection whose answer is late, or whose context ends.
type watch struct {
	within time.Duration // 0: no limit
	ctx    context.Context
	end    func()
	timer  *time.Timer // nil without a limit
	late   atomic.Bool
	leave  func() bool
	once   sync.Once
}

// newWatch makes a watch that is not running yet; end may come from another goroutine, and after stop.
func newWatch(ctx context.Context, within time.Duration, end func()) *watch {
	w := &watch{within: within, ctx: ctx, end: end}
	if within > 0 {
		w.timer = time.AfterFunc(within, func() { w.late.Store(true); end() })
		w.timer.Stop()
	}
	w.leave = context.AfterFunc(ctx, end)
	return w
}

// asked begins the time of an answer.
func (w *watch) asked() {
	if w.timer != nil {
		w.timer.Reset(w.within)
	}
}

// came ends it once a whole line is there.
func (w *watch) came(part []byte) {
	if w.timer != nil && bytes.IndexByte(part, '\n') >= 0 {
		w.timer.Stop()
	}
}

func (w *watch) stop() {
	w.once.Do(func() {
		w.leave()
		if w.timer != nil {
			w.timer.Stop()
		}
	})
}

// reason is why the watch has ended the connection; nil if it has not.
func (w *watch) reason() error {
	switch {
	case w.ctx.Err() != nil:
		return interrupted{}
	case w.late.Load():
		return fmt.Errorf("it did not answer within %s", w.within)
	}
	return nil
}
