package recording

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The date of a recording is known where its times have one.
func TestStart(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"time,position_mm\n2026-03-04 05:06:07.250,1\n2026-03-04 05:06:07.500,2\n": "2026-03-04T05:06:07",
		"time;position_mm\n4.3.2026 05:06:07,250;1\n4.3.2026 05:06:07,500;2\n":     "2026-03-04T05:06:07",
		"time,position_mm\n05:06:07.250,1\n05:06:07.500,2\n":                       "",
		"t_s,position_mm\n0,1\n1,2\n":                                              "",
	} {
		r, err := Read("a.csv", strings.NewReader(text), Options{})
		require.NoError(t, err, text)
		require.Equal(t, want, r.Start, text)
	}
}
