package screens

import (
	"context"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// Worker runs the simulation in commands, and never within an update.
type Worker struct {
	ctx   context.Context
	stop  context.CancelFunc
	mutex sync.Mutex // between begin and Close
	group sync.WaitGroup
	now   func() time.Time
}

// NewWorker makes a worker that ends its work when the context ends.
func NewWorker(ctx context.Context) *Worker {
	w := &Worker{now: time.Now}
	w.ctx, w.stop = context.WithCancel(ctx)
	return w
}

// Close makes what runs end soon, and waits for it.
func (w *Worker) Close() {
	w.mutex.Lock()
	w.stop()
	w.mutex.Unlock()
	w.group.Wait()
}

// begin tells whether work may still begin; if so, Close waits for it.
func (w *Worker) begin() bool {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.ctx.Err() != nil {
		return false
	}
	w.group.Add(1)
	return true
}

// command makes a command of work that Close waits for.
func (w *Worker) command(work func() tea.Msg) tea.Cmd {
	return func() tea.Msg {
		if !w.begin() {
			return nil
		}
		defer w.group.Done()
		return work()
	}
}

// atOnce begins work during an update, so that it is done even if the program is left before a command would begin: it
// keeps what a person has done. The command brings what came of it.
func (w *Worker) atOnce(work func() tea.Msg) tea.Cmd {
	if !w.begin() {
		return nil
	}
	done := make(chan tea.Msg, 1)
	go func() {
		defer w.group.Done()
		done <- work()
	}()
	return func() tea.Msg { return <-done }
}

// slice bounds how long a job works before the screen is drawn again.
const slice = 25 * time.Millisecond

// late tells whether a job that begins now has used up its slice, or the program ends. It looks
// at the clock once in so many ticks.
func (w *Worker) late() func() bool {
	begin, ticks := w.now(), 0
	return func() bool {
		ticks++
		return ticks%256 == 0 && (w.now().Sub(begin) > slice || w.ctx.Err() != nil)
	}
}
