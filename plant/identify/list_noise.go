package identify

import (
	"fmt"
	"math"
	"slices"

	"holdbench/plant"
	"holdbench/plant/problem"
)

// seenSteps is how many increments the noise may have: smaller ones are digits of the file.
const seenSteps = 10

// noiseValues are those of the sensors.
func noiseValues(n *noise, r *plant.Rig) []Value {
	f := &fitted{m: &model{rig: r}}
	source := func(p *pool) string {
		return fmt.Sprintf("%d samples at standstill in %s", p.samples(), counted(len(p.places), "piece", "pieces"))
	}
	list := []Value{
		f.value(Value{Path: "encoder.noise_deg", Name: "noise of the encoder", Source: source(&n.angles), By: byStandstill}, n.ofSensor(), n.angles.samples() > 0 && !n.rounded),
		f.value(Value{Path: "drive.current_noise_rms_a", Name: "noise of the current", Source: source(&n.currents), Note: n.currents.spread("A rms"), By: byStandstill}, n.ofCurrent(), n.currents.samples() > 0),
	}
	if n.recorded > n.angleRad/seenSteps { // a recorder may round otherwise than the encoder
		turn := 2 * math.Pi / n.recorded
		v := Value{Name: "increments per turn, as recorded", Source: "steps of the position", By: byStandstill}
		list = append(list, f.value(v, estimate{turn, 0, turn, turn, true}, true))
	}
	return list
}

// ofDeviation is the standard error of a standard deviation from n samples of a normal distribution, σ/√(2n).
// Source: any text on statistics.
func ofDeviation(sigma float64, n int) float64 { return sigma / math.Sqrt(2*float64(max(1, n))) }

func (n *noise) ofSensor() estimate {
	deg := n.sensorRad * degreesPerRad
	places := n.angles.places
	apart := deviation(places) * degreesPerRad / math.Sqrt(float64(max(1, len(places)))) // as the pieces differ
	e := math.Hypot(max(apart, ofDeviation(deg, n.angles.samples())), n.roundRad*degreesPerRad)
	return estimate{deg, e, max(0, deg-2*e), deg + 2*e, true}
}

// spread says how the noise of the pieces differs, where they do by more than chance.
func (p *pool) spread(unit string) string {
	if len(p.places) < 2 {
		return ""
	}
	low, high := slices.Min(p.places), slices.Max(p.places)
	if high < noiseApart*low {
		return ""
	}
	return problem.Text("%.2g to %.2g %s in single pieces, which the interval reaches over, as a drive that holds the position answers the noise of its encoder", low, high, unit)
}

// noiseApart is the factor between the noise of two pieces from which that is worth a word.
const noiseApart = 1.5

// ofCurrent is the noise of the current. A drive that holds the position answers the noise of its encoder, so that
// pieces differ; the interval reaches over those of all of them.
func (n *noise) ofCurrent() estimate {
	e := ofDeviation(n.currentA, n.currents.samples())
	apart := deviation(n.currents.places) / math.Sqrt(float64(max(1, len(n.currents.places)))) // as the pieces differ
	out := estimate{n.currentA, max(e, apart), n.currentA - 2*e, n.currentA + 2*e, true}
	for i, x := range n.currents.places {
		reach := 2 * ofDeviation(x, n.currents.sizes[i])
		out.low, out.high = min(out.low, x-reach), max(out.high, x+reach)
	}
	return out
}
