package sim

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The table, row by row, and what lies between the rows.
func TestClass(t *testing.T) {
	for _, c := range []struct {
		name string
		f    facts
		want Class
	}{
		{"proof, fit", facts{proven: true, torqueSufficient: true, loadHeld: true}, SoundPass},
		{"proof, fit, harmless fault", facts{proven: true, torqueSufficient: true, loadHeld: true, disturbed: true}, SoundPass},
		{"proof, torque insufficient", facts{proven: true, loadHeld: true}, Missed},
		{"proof, load not held", facts{proven: true, torqueSufficient: true}, Missed},
		{"no proof, torque insufficient", facts{loadHeld: true}, Caught},
		{"no proof, torque insufficient, other fault", facts{disturbed: true}, Caught},
		{"no proof, fit, other fault", facts{torqueSufficient: true, loadHeld: true, disturbed: true}, Refused},
		{"no proof, fit, nothing else", facts{torqueSufficient: true, loadHeld: true}, FalseAlarm},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, c.f.class()) })
	}
}
