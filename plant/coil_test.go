package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// magnetRig is timedRig with a brake that a permanent magnet closes: it opens from 0.8 to 1.2 of
// the rated voltage and stays open from 0.6 to 1.4.
func magnetRig() Rig {
	r := timedRig()
	r.Brake.Kind, r.Brake.PullInVoltage, r.Brake.DropOutVoltage = KindMagnet, 0.8, 0.6
	return r
}

// The pull of a magnet goes with the square of its flux (Maxwell). By hand: springs of which a
// voltage of 0.6 takes 0.36 away; a permanent magnet of strength m with a voltage u against it.
func TestClosingForce(t *testing.T) {
	for _, c := range []struct {
		kind                   string
		strength, voltage, arm float64 // arm is the share that the hand release takes
		want                   float64
	}{
		{KindSpring, 1, 0, 0, 1}, {KindSpring, 1, 0.6, 0, 0.64}, {KindSpring, 1, 1, 0, 0}, {KindSpring, 1, 1.5, 0, 0},
		{KindSpring, 0.5, 0, 0, 1}, // springs have no magnet that could weaken
		{KindSpring, 1, 0, 0.3, 0.7}, {KindSpring, 1, 0.6, 0.7, 0}, {KindSpring, 1, 0, 1, 0},
		{KindMagnet, 1, 0, 0, 1}, {KindMagnet, 1, 1, 0, 0}, {KindMagnet, 1, 0.5, 0, 0.25},
		{KindMagnet, 1, 1.5, 0, 0.25}, {KindMagnet, 1, 2, 0, 1}, {KindMagnet, 1, 3, 0, 1},
		{KindMagnet, 0.7, 0, 0, 0.49}, {KindMagnet, 0.7, 1, 0, 0.09}, {KindMagnet, 1, 0, 0.25, 0.75},
	} {
		b := Brake{Kind: c.kind, MagnetStrength: c.strength, HandRelease: c.arm}
		require.InDelta(t, c.want, closingForce(&b, c.voltage), 1e-12, "%+v", c)
	}
}

// What a brake that is commanded open does with the voltage at its coil: it opens from the
// pull-in voltage on and stays open down to the drop-out voltage. A permanent magnet has the same
// limits above the rated voltage, where the coil's flux outweighs the magnet's. e is what is left
// of the torque: 1 − u² of springs, (m − u)² of a magnet. Commanded closed, all hold fully.
func TestVoltageAtTheCoil(t *testing.T) {
	spring := timedRig() // 0.7 and 0.3
	for _, c := range []struct {
		name           string
		rig            Rig
		voltage        float64
		stays, closedE float64 // e when the voltage changes with the brake open, and when it is closed
	}{
		{"spring, rated", spring, 1, 0, 0},
		{"spring, just enough to open", spring, 0.7, 0, 0},
		{"spring, enough to stay open", spring, 0.6, 0, 0.64},
		{"spring, just enough to stay open", spring, 0.3, 0, 0.91},
		{"spring, too little", spring, 0.2, 0.96, 0.96},
		{"spring, none", spring, 0, 1, 1},
		{"spring, more than rated", spring, 1.5, 0, 0},
		{"magnet, rated", magnetRig(), 1, 0, 0},
		{"magnet, a little too much", magnetRig(), 1.15, 0, 0},
		{"magnet, enough to stay open", magnetRig(), 1.3, 0, 0.09},
		{"magnet, over-excited", magnetRig(), 1.5, 0.25, 0.25},
		{"magnet, twice", magnetRig(), 2, 1, 1},
		{"magnet, too little", magnetRig(), 0.5, 0.25, 0.25},
		{"magnet, none", magnetRig(), 0, 1, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			end := func(before time.Duration) float64 {
				p := New(c.rig, 1)
				run(p, Command{Mode: Hold, CloseBrake: true}, before)
				p.Rig().Brake.CoilVoltage = c.voltage
				p.Reload()
				run(p, Command{Mode: Hold, CloseBrake: true}, before)
				run(p, Command{Mode: Hold}, 200*time.Millisecond)
				return p.State().Engagement
			}
			require.InDelta(t, c.stays, end(0), 1e-9)
			require.InDelta(t, c.closedE, end(100*time.Millisecond), 1e-9)
			p := New(c.rig, 1)
			p.Rig().Brake.CoilVoltage = c.voltage
			p.Reload()
			run(p, Command{Mode: Hold, CloseBrake: true}, 200*time.Millisecond)
			require.InDelta(t, 1, p.State().Engagement, 1e-9)
		})
	}
}

// A voltage that comes back opens the brake again, and one that drops out closes it after t11 as
// a command does: e is 0.5 of its way 10 ms after the delay of 25 ms.
func TestVoltageThatComesBack(t *testing.T) {
	p := New(timedRig(), 1)
	set := func(voltage float64, d time.Duration) float64 {
		p.Rig().Brake.CoilVoltage = voltage
		p.Reload()
		run(p, Command{Mode: Hold}, d)
		return p.State().Engagement
	}
	require.InDelta(t, 0.5, set(0, 35*time.Millisecond), 1e-9)
	require.InDelta(t, 1, set(0, 100*time.Millisecond), 1e-9)
	require.InDelta(t, 0.75, set(0.5, 100*time.Millisecond), 1e-9) // below pull-in: springs less 0.5²
	require.InDelta(t, 0, set(0.9, 100*time.Millisecond), 1e-9)
}

// An output that stays on opens the closed brake within t2 and keeps it open; the truth counts it
// as a brake without torque, and once the output works again the command closes it.
func TestOutputStuckOn(t *testing.T) {
	p := New(timedRig(), 1)
	closed := Command{Mode: Hold, CloseBrake: true}
	run(p, closed, 100*time.Millisecond)
	p.Rig().Brake.OutputStuckOn = true
	p.Reload()
	run(p, closed, 36*time.Millisecond)
	require.InDelta(t, 0.1, p.State().Engagement, 1e-9)
	run(p, closed, 100*time.Millisecond)
	require.Zero(t, p.State().Engagement)
	require.False(t, p.Sample().BrakeClosed)
	require.Zero(t, p.StaticCapacityNM())
	d := Derive(p.Rig())
	require.Zero(t, d.BrakeCapacityNM)
	p.Rig().Brake.OutputStuckOn = false
	p.Reload()
	run(p, closed, 100*time.Millisecond)
	require.InDelta(t, 1, p.State().Engagement, 1e-9)
}

// A hand release that is not fully back takes its share of the force, and the switch reads closed
// as the armature lies on the disc; one that is left engaged reads open.
func TestHandRelease(t *testing.T) {
	for _, c := range []struct {
		share  float64
		closed bool
	}{{0, true}, {0.4, true}, {0.95, true}, {1, false}} {
		r := timedRig()
		r.Brake.HandRelease = c.share
		p := New(r, 1)
		run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
		require.InDelta(t, 1-c.share, p.State().Engagement, 1e-9)
		require.InDelta(t, bareBrake*(1-c.share), p.StaticCapacityNM(), 1e-7)
		require.Equal(t, c.closed, p.Sample().BrakeClosed, "%g", c.share)
	}
}

// A magnet that has lost flux holds with the square of what it has left, and the rated voltage is
// too much for it: at 0.7 the brake holds 0.49 and does not open again, as 1 − 0.7 is beyond the
// 0.2 of its pull-in. 0.09 of the torque drags.
func TestWeakMagnet(t *testing.T) {
	r := magnetRig()
	r.Brake.MagnetStrength = 0.7
	p := New(r, 1)
	require.InDelta(t, 0.49*bareBrake, p.StaticCapacityNM(), 1e-9)
	run(p, Command{Mode: Hold, CloseBrake: true}, 100*time.Millisecond)
	require.InDelta(t, 0.49, p.State().Engagement, 1e-9)
	require.True(t, p.Sample().BrakeClosed)
	run(p, Command{Mode: Hold}, 200*time.Millisecond)
	require.InDelta(t, 0.09, p.State().Engagement, 1e-9)
}
