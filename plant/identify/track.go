package identify

import (
	"fmt"
	"math"
	"strings"

	"holdbench/plant"
	"holdbench/plant/recording"
)

// track is one recording in SI units at the motor shaft, without moments that have no sample. It shares the lists of the
// recording, which can be long, where they say the same, and changes nothing in them.
type track struct {
	name    string
	angle   series  // rad, zero at zero travel
	current series  // A rms, as measured
	command series  // A rms, commanded; empty if it is not recorded
	torque  series  // N·m of the motor, by a transducer; empty if it is not recorded
	brake   series  // 1 is closed, commanded; empty if it is not recorded
	closed  series  // 1 is closed, by the switch; empty if it is not recorded
	period  float64 // s, of the angle
	derived bool    // the current is that of a torque which the drive estimates
	sampled bool    // a command is given at its first sample, and not at some time before
}

// newTrack takes the signals from a recording that the equations need.
func newTrack(rec *recording.Recording, r *plant.Rig) (track, error) {
	k := track{name: rec.Source[strings.LastIndexAny(rec.Source, `/\\`)+1:]} // without its folder
	perRad := plant.Derive(r).MMPerRad
	turns := r.Transmission.GearRatio * math.Pi / 180
	k.angle = firstOf(rec, scaled{"angle_rad", 1, 0}, scaled{"position_mm", 1 / perRad, 0},
		scaled{"position_deg", turns, -turns * r.Load.ArmAngleDeg})
	k.current = firstOf(rec, scaled{"current_rms_a", 1, 0}, scaled{"current_amp_a", 1 / math.Sqrt2, 0})
	if k.current.empty() {
		k.current, k.derived = firstOf(rec, scaled{"torque_nm", 1 / r.Motor.TorqueConstant, 0}), true
	}
	k.command = firstOf(rec, scaled{"current_command_rms_a", 1, 0})
	k.torque = firstOf(rec, scaled{"torque_motor_nm", 1, 0})
	k.brake, k.closed = firstOf(rec, scaled{"brake", 1, 0}), firstOf(rec, scaled{"brake_closed", 1, 0})
	switch {
	case k.angle.empty():
		return k, fmt.Errorf("%s has no position; must have position_mm, position_deg or angle_rad", k.name)
	case k.current.empty():
		return k, fmt.Errorf("%s has neither current nor torque; must have current_rms_a, current_amp_a or torque_nm", k.name)
	case len(k.angle.t) < 2*windowSamples:
		return k, fmt.Errorf("%s has %d samples of its position; must have at least %d", k.name, len(k.angle.t), 2*windowSamples)
	}
	k.period = k.angle.period()
	return k, nil
}

// scaled is a signal with what makes the quantity of a track of it.
type scaled struct {
	signal         string
	factor, offset float64
}

// firstOf is the first of some signals that was recorded.
func firstOf(rec *recording.Recording, choices ...scaled) series {
	for _, c := range choices {
		values := rec.Values(c.signal)
		if low, high := extent(values); low < high {
			return withoutGaps(series{rec.Time[low:high], values[low:high]}).times(c.factor, c.offset)
		}
	}
	return series{}
}

// extent is the range from the first value to behind the last one.
func extent(values []float64) (low, high int) {
	high = len(values)
	for high > 0 && math.IsNaN(values[high-1]) {
		high--
	}
	for low < high && math.IsNaN(values[low]) {
		low++
	}
	return low, high
}

// withoutGaps is a series without moments that have no value: the same lists if it has none.
func withoutGaps(s series) series {
	n := 0
	for _, x := range s.x {
		if !math.IsNaN(x) {
			n++
		}
	}
	if n == len(s.x) {
		return s
	}
	out := series{make([]float64, 0, n), make([]float64, 0, n)}
	for i, x := range s.x {
		if !math.IsNaN(x) {
			out.t, out.x = append(out.t, s.t[i]), append(out.x, x)
		}
	}
	return out
}

// times is a series whose values are multiplied and moved, the same one where nothing changes.
func (s series) times(factor, offset float64) series {
	if factor == 1 && offset == 0 {
		return s
	}
	x := make([]float64, len(s.x))
	for i := range x {
		x[i] = s.x[i]*factor + offset
	}
	return series{s.t, x}
}

// brakeSignal is the command of the brake or, without it, its switch.
func (k *track) brakeSignal() series {
	if k.brake.empty() {
		return k.closed
	}
	return k.brake
}

// taskJitter is the share of its period by which a cyclic task of a controller begins too early or too late (common
// practice: some ten microseconds of a few milliseconds).
const taskJitter = 0.01

// after is how much later than in the middle between two samples a command was given, and how far off that may be.
func (k *track) after(e *edge) (mean, reach float64) {
	if k.sampled {
		return e.spread / 2, taskJitter * e.spread
	}
	return 0, e.spread / 2
}

// change is a change of the brake: the command, or the switch without one, and when the switch followed.
type change struct {
	edge
	commanded bool
	felt      edge // of the switch
	follows   bool // the switch followed
}

// changes are the changes of the brake in the order of time.
func (k *track) changes() []change {
	var found []change
	signal, felt := k.brakeSignal(), k.closed.edges()
	edges := signal.edges()
	for i, e := range edges {
		c := change{edge: e, commanded: !k.brake.empty()}
		until := signal.t[len(signal.t)-1]
		if i+1 < len(edges) {
			until = edges[i+1].t
		}
		for _, f := range felt {
			if f.rises == e.rises && f.t >= e.t && f.t < until {
				c.felt, c.follows = f, true
				break
			}
		}
		found = append(found, c)
	}
	return found
}
