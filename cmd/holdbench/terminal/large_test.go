package terminal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The large screen is steered by the keys of the bench: it goes on with the run, and tab goes round its views.
func TestLarge(t *testing.T) {
	t.Parallel()
	s := opened(t, "lining-worn-thin", 80, 24)
	s.press("L")
	assert.Contains(t, s.text(), "[state]")
	assert.Contains(t, s.text(), "tab next view")
	assert.Contains(t, s.text(), "L large on, off")
	assert.NotContains(t, s.text(), "transitions")
	s.press("s", "s", "s") // ready, decouple, travel
	assert.Contains(t, s.text(), "travel", "the run has gone on to another state")
	for _, name := range []string{"[load and brake]", "[judge]", "[torque]", "[position]", "[state]"} {
		s.press("tab")
		assert.Contains(t, s.text(), name)
	}
	s.press("h")
	assert.Contains(t, s.text(), "truth hidden")
	assert.NotContains(t, s.text(), "•")
	s.press("h", "home", "L")
	assert.Contains(t, s.text(), "transitions")
	s.press("L", "?")
	require.Contains(t, s.text(), "large on, off", "other screens open over it")
}
