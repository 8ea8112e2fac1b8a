package sim

import "holdbench/plant"

// dropGauge measures how far the load is below the place to which the last command moved it.
// Only travel on command moves the reference: what the load drops while the drive presses,
// holds or is off adds up over the whole test.
type dropGauge struct {
	reference   float64 // mm
	moving      bool
	begun       bool
	accumulated float64 // mm, before the present travel
	largest     float64 // mm
}

// watch takes the truth of one tick and returns how far the load is down, in mm.
func (d *dropGauge) watch(p *plant.Plant, begun bool) float64 {
	load := p.LoadMM()
	setpoint := p.SetpointMM()
	moves := p.Profiling()
	switch {
	case begun && !d.begun:
		d.reference = load
	case moves && !d.moving:
		d.accumulated += max(0, d.reference-load)
		d.reference = load
	case moves:
		d.reference = d.travel(setpoint, load)
	}
	d.begun, d.moving = begun, moves
	if !begun {
		return 0
	}
	down := d.accumulated + d.reference - load
	d.largest = max(d.largest, down)
	return down
}

// travel moves the reference down with the setpoint and up with the load, so that the lag of
// a drive is no drop.
func (d *dropGauge) travel(setpoint, load float64) float64 {
	return max(min(d.reference, setpoint), min(setpoint, load))
}
