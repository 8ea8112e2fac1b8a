package terminal

import (
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// suspension is a request to be suspended that is under way. Nothing of the program goes on while it is
// suspended; what goes on has not been.
type suspension struct{ over atomic.Bool }

// suspend suspends the program, and continues it at once where that cannot be.
func (r *root) suspend() tea.Cmd {
	now := &suspension{}
	r.suspended = now
	return tea.Batch(tea.Suspend, func() tea.Msg {
		const every = 200 * time.Millisecond
		for !now.over.Load() {
			time.Sleep(every)
			goOn()
		}
		return nil
	})
}

// resumed takes over that the program goes on.
func (r *root) resumed() {
	if r.suspended != nil {
		r.suspended.over.Store(true)
		r.suspended = nil
	}
}
