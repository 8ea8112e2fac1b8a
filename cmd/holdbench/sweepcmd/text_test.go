package sweepcmd

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A share has two figures, and no power of ten where it is the whole.
func TestTwoFigures(t *testing.T) {
	require.Equal(t, "0", twoFigures(0, false))
	require.Equal(t, "+6.1", twoFigures(0.0613, true))
	require.Equal(t, "-37", twoFigures(-0.371, true))
	require.Equal(t, "99", twoFigures(0.994, false))
	require.Equal(t, "100", twoFigures(0.996, false))
	require.Equal(t, "+100", twoFigures(1, true))
}
