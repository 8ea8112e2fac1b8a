package identify

import (
	"fmt"
	"math"

	"holdbench/plant"
	"holdbench/plant/problem"
	"holdbench/plant/recording"
)

// doubtReach finds a recording among others whose travel is so much shorter than theirs that its position is in another unit:
// the values that follow from it alone would be lost or wrong, and those of the others hide it.
func (r *Result) doubtReach(recordings []*recording.Recording, rig *plant.Rig, accept bool) error {
	const farther = 50 // times, by which another recording must move
	longest := 0.0
	for _, rec := range recordings {
		if c := rec.Channel("position_mm"); c != nil {
			longest = max(longest, c.Reach())
		}
	}
	for i, rec := range recordings {
		c := rec.Channel("position_mm")
		speed := fastestTravel(rec, r.Pieces[i].Pieces)
		if c == nil || speed == 0 || farther*c.Reach() > longest {
			continue
		}
		likely := c.Rescaled(rig.Drive.SpeedMMS / speed)
		if likely == "" {
			continue
		}
		text := problem.Text("%s: position_mm (column %q) moves over %.3g mm, at up to %.3g mm/s, and that of another recording over %.4g mm; %s; flags are for all recordings, so that one in other units is to be converted", rec.Source, c.Column, c.Reach(), speed, longest, likely)
		if !accept {
			return fmt.Errorf("%s; --accept-doubts uses it as it is", text)
		}
		r.add("%s", text)
	}
	return nil
}

// fastestTravel is the speed in mm/s of the fastest piece of travel of a recording, 0 without one.
func fastestTravel(rec *recording.Recording, pieces []Piece) float64 {
	values, fastest := rec.Values("position_mm"), 0.0
	if values == nil {
		return 0
	}
	for i := range pieces {
		p := &pieces[i]
		if p.Kind != TravelUp && p.Kind != TravelDown {
			continue
		}
		var times, places [2]float64
		n := 0
		for k, t := range rec.Time {
			if t < p.FromS || t > p.ToS || math.IsNaN(values[k]) {
				continue
			}
			if n == 0 {
				times[0], places[0] = t, values[k]
			}
			times[1], places[1], n = t, values[k], n+1
		}
		if times[1] > times[0] {
			fastest = max(fastest, math.Abs(places[1]-places[0])/(times[1]-times[0]))
		}
	}
	return fastest
}
