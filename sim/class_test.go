package sim

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The table, row by row, and what lies between the rows.
func TestClass(t *testing.T) {
	for _, c := range []struct {
		name string
		f    findings
		want Class
	}{
		{"proof, fit", findings{proven: true, fit: true, held: true}, SoundPass},
		{"proof, fit, harmless fault", findings{proven: true, fit: true, held: true, disturbed: true}, SoundPass},
		{"proof, not fit", findings{proven: true, held: true}, Missed},
		{"proof, load not held", findings{proven: true, fit: true}, Missed},
		{"no proof, not fit", findings{held: true}, Caught},
		{"no proof, not fit, other fault", findings{disturbed: true}, Caught},
		{"no proof, fit, other fault", findings{fit: true, held: true, disturbed: true}, Refused},
		{"no proof, fit, nothing else", findings{fit: true, held: true}, FalseAlarm},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, c.f.class()) })
	}
}
