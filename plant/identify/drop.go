package identify

import (
	"math"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// dropText says how far the axis moves on in a stop by the brake from the drive's speed in the direction in which the
// load pulls, with the values of the rig:
//
//	t = t₁₁ + t₁₂,  a = τ_L/J,  v' = v + a t,  s = v t + a t²/2 + v'²/(2 (T_k − τ_L)/J)
//
// as if the brake had no torque until t and no friction helped: the upper end. It is empty if the brake does not
// stop the axis. Source: the equation of motion, any text on servo drives.
func dropText(r *plant.Rig) string {
	d := plant.Derive(r)
	load := math.Abs(plant.LoadTorque(r, r.Load.StartMM))
	brake := slidingOf(r)*r.Brake.Condition - load
	if d.MMPerRad == 0 || d.InertiaKGM2 <= 0 || brake <= 0 {
		return ""
	}
	t := (r.Brake.ResponseDelay + r.Brake.RiseTime).Seconds()
	v, a := r.Drive.SpeedMMS/math.Abs(d.MMPerRad), load/d.InertiaKGM2
	w := v + a*t
	s := v*t + a*t*t/2 + w*w/(2*brake/d.InertiaKGM2)
	return problem.Text(". From %.3g mm/s it moves on by up to %.2g mm with the values of the rig, further with a weaker brake: keep that path free, and begin at a lower speed", r.Drive.SpeedMMS, s*math.Abs(d.MMPerRad))
}
