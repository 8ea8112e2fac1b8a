package sequence

import (
	"context"
	"errors"
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
		m := NewMachine(p, scan)
		m.fsm.SetState("b") // the machine below has lost the state
		_, err := m.Scan(&Inputs{Trigger: true}, &Outputs{})
		var invalid fsm.InvalidEventError
		require.ErrorAs(t, err, &invalid)
		_, again := m.Scan(&Inputs{}, &Outputs{})
		require.Equal(t, err, again, "a lost machine stays lost")
	})
	t.Run("ErrInSelfLoop", func(t *testing.T) {
		t.Parallel()
		loop := program(t, "{sequence: s, start: a, states: {a: {go: [{to: a, when: trigger}]}}}")
		m := NewMachine(loop, scan)
		m.fsm = fsm.NewFSM("a", loop.events, fsm.Callbacks{
			"after_event": func(_ context.Context, e *fsm.Event) { e.Err = errors.New("real") },
		})
		_, err := m.Scan(&Inputs{Trigger: true}, &Outputs{})
		require.ErrorContains(t, err, "real")
	})
}
