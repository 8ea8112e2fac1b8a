package sequence

import (
	"context"
	"errors"
	"sync"
	"testing"

	"github.com/looplab/fsm"
	"github.com/stretchr/testify/require"
)

func TestScanErrors(t *testing.T) {
	t.Parallel()
	p := program(t, "{sequence: s, start: a, states: {a: {go: [{to: b, when: trigger}]}, b: {}}, ends: {b: pass}}")

	t.Run("ErrScanTime", func(t *testing.T) {
		t.Parallel()
		_, err := NewMachine(p, 0).Scan(&Inputs{}, &Outputs{})
		require.ErrorContains(t, err, "above zero")
	})
	t.Run("ErrStateMachine", func(t *testing.T) {
		t.Parallel()
		broken := *p
		broken.events, broken.unused = nil, new(sync.Pool) // the state machine has no transition
		m := NewMachine(&broken, scan)
		_, err := m.Scan(&Inputs{Trigger: true}, &Outputs{})
		var unknown fsm.UnknownEventError
		require.ErrorAs(t, err, &unknown)
		_, again := m.Scan(&Inputs{}, &Outputs{})
		require.Equal(t, err, again, "a lost machine stays lost")
	})
	t.Run("ErrInSelfLoop", func(t *testing.T) {
		t.Parallel()
		loop := program(t, "{sequence: s, start: a, states: {a: {go: [{to: a, when: trigger}]}}}")
		broken := *loop
		broken.unused = &sync.Pool{New: func() any {
			return fsm.NewFSM("a", loop.events, fsm.Callbacks{
				"after_event": func(_ context.Context, e *fsm.Event) { e.Err = errors.New("real") },
			})
		}}
		m := NewMachine(&broken, scan)
		_, err := m.Scan(&Inputs{Trigger: true}, &Outputs{})
		require.ErrorContains(t, err, "real")
	})
}
