package sim

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The table, row by row, and what lies between the rows.
func TestClass(t *testing.T) {
	sound := facts{released: true, proven: true, passed: true, torqueSufficient: true, loadHeld: true}
	but := func(change func(*facts)) facts {
		f := sound
		change(&f)
		return f
	}
	for _, c := range []struct {
		name string
		f    facts
		want Class
	}{
		{"released", sound, SoundPass},
		{"released, harmless fault", but(func(f *facts) { f.disturbed = true }), SoundPass},
		{"released, torque insufficient", but(func(f *facts) { f.torqueSufficient = false }), Missed},
		{"released, load not held", but(func(f *facts) { f.loadHeld = false }), Missed},
		{"released without a pass, torque insufficient", but(func(f *facts) { f.passed, f.torqueSufficient = false, false }), Missed},
		{"passed on an older proof, torque insufficient", facts{released: true, passed: true, loadHeld: true}, Missed},
		{"passed on an older proof, load not held", facts{released: true, passed: true, torqueSufficient: true}, Missed},
		{"passed on an older proof, torque sufficient", but(func(f *facts) { f.proven = false }), FalseAlarm},
		{"aborted, operation goes on with an older proof", facts{released: true, loadHeld: true, disturbed: true}, Caught},
		{"locked out beside a proof, torque insufficient", facts{proven: true, loadHeld: true}, Caught},
		{"locked out beside a proof, torque sufficient, fault", facts{proven: true, torqueSufficient: true, loadHeld: true, disturbed: true}, Refused},
		{"locked out beside a proof, torque sufficient", facts{proven: true, torqueSufficient: true, loadHeld: true}, FalseAlarm},
		{"torque insufficient", facts{loadHeld: true}, Caught},
		{"torque insufficient, other fault", facts{disturbed: true}, Caught},
		{"torque sufficient, other fault", facts{torqueSufficient: true, loadHeld: true, disturbed: true}, Refused},
		{"torque sufficient, load not held, no fault: it is the controller's", facts{torqueSufficient: true}, Refused},
		{"operation goes on, load not held, no fault", facts{released: true, torqueSufficient: true}, Refused},
		{"torque sufficient, nothing else", facts{torqueSufficient: true, loadHeld: true}, FalseAlarm},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, c.f.class()) })
	}
}

// A proof says that the torque is sufficient. A failure says that it is not, or that another fault
// leaves nothing to prove.
func TestVerdictIsRight(t *testing.T) {
	for _, c := range []struct {
		verdict               string
		sufficient, disturbed bool
		want                  bool
	}{
		{proven, true, false, true},
		{proven, true, true, true},
		{proven, false, false, false},
		{proven, false, true, false},
		{failed, false, false, true},
		{failed, false, true, true},
		{failed, true, true, true},
		{failed, true, false, false},
	} {
		require.Equal(t, c.want, right(c.verdict, c.sufficient, c.disturbed), "%+v", c)
	}
}

// Of two brakes each must be sufficient alone; one brake is not held back by one that is not there.
func TestTorquesAreSufficient(t *testing.T) {
	for _, c := range []struct {
		t    torques
		want bool
	}{
		{torques{first: 3.65, required: 3.65}, true},
		{torques{first: 3.64, required: 3.65}, false},
		{torques{first: 30, second: 31, two: true, required: 13}, true},
		{torques{first: 30, second: 12, two: true, required: 13}, false},
		{torques{first: 12, second: 31, two: true, required: 13}, false},
	} {
		require.Equal(t, c.want, c.t.sufficient(), "%+v", c.t)
	}
}
