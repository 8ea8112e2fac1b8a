// Package controller connects controllers outside the program: it starts processes and lets clients
// connect. A connection ends in bounded time: an answer that is late ends it, as does an interrupt.
package controller

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"
)

// Limits bound the times in which answers come; 0 is no limit.
type Limits struct {
	Start  time.Duration // for the answer to hello, the first line: an interpreter starts within it
	Answer time.Duration // for each answer after that
}

// DefaultLimits are those without flags: enough to start an interpreter on a busy machine, and short
// enough for a suite once it runs.
func DefaultLimits() Limits { return Limits{Start: 30 * time.Second, Answer: 5 * time.Second} }

// interrupted is the end of a connection by an interrupt.
type interrupted struct{}

func (interrupted) Error() string { return "interrupted while a controller was to answer" }

func (interrupted) Unwrap() error { return context.Canceled }

// watch ends a connection whose answer is late, or whose context ends. Lines are sent and answers read
// by one goroutine at a time.
type watch struct {
	limits  Limits
	ctx     context.Context
	end     func()
	timer   *time.Timer
	late    atomic.Bool
	leave   func() bool
	once    sync.Once
	greeted bool // the first answer has come
	awaited int  // answers to lines that went out
}

// newWatch makes a watch that is not running yet; end may come from another goroutine, and after stop.
func newWatch(ctx context.Context, limits Limits, end func()) *watch {
	w := &watch{limits: limits, ctx: ctx, end: end}
	w.timer = time.AfterFunc(time.Hour, func() { w.late.Store(true); end() })
	w.timer.Stop()
	w.leave = context.AfterFunc(ctx, end)
	return w
}

// within is the time of the answer that is awaited.
func (w *watch) within() time.Duration {
	if w.greeted {
		return w.limits.Answer
	}
	return w.limits.Start
}

// asked begins the time of the answer to the first of the lines that go out.
func (w *watch) asked(lines []byte) {
	w.awaited += bytes.Count(lines, lineFeed())
	w.begin()
}

// begin begins the time of the next answer.
func (w *watch) begin() {
	if within := w.within(); within > 0 {
		w.timer.Reset(within)
	}
}

// came ends the time of an answer once its whole line is there, and begins that of the next one.
func (w *watch) came(part []byte) {
	n := bytes.Count(part, lineFeed())
	if n == 0 {
		return
	}
	w.greeted = true
	w.timer.Stop()
	if w.awaited = max(0, w.awaited-n); w.awaited > 0 {
		w.begin()
	}
}

func lineFeed() []byte { return []byte{'\n'} }

func (w *watch) stop() {
	w.once.Do(func() {
		w.leave()
		w.timer.Stop()
	})
}

// reason is why the watch has ended the connection; nil if it has not.
func (w *watch) reason() error {
	switch {
	case w.ctx.Err() != nil:
		return interrupted{}
	case w.late.Load() && !w.greeted:
		return lateError(fmt.Sprintf("it did not answer hello, the first line, within %s (--start-within)", w.limits.Start))
	case w.late.Load():
		return lateError(fmt.Sprintf("it did not answer within %s (--answer-within)", w.limits.Answer))
	}
	return nil
}

// lateError is the end of a connection whose answer was late.
type lateError string

func (e lateError) Error() string { return string(e) }

// IsLate is whether a connection has ended as an answer was late.
func IsLate(err error) bool { return errors.As(err, new(lateError)) }
