package sim

import "holdbench/plant"

// dropGauge measures how far the load is below the place to which the last command moved it.
// Only travel on command moves the reference: what the load drops while the drive presses,
// holds or is off adds up over the whole run.
//
// Below is where the load pulls: an arm past the vertical and a load that is lighter than its
// counterbalance drop upwards by the sign of their travel. Where the pull turns round, what was
// lost until then counts.
type dropGauge struct {
	bandNM      float64 // load torque from which a pull to the other side counts: a balanced load has none
	rises       bool    // the load pulls upwards by the sign of its travel
	reference   float64 // mm, negative where the load rises, like load and setpoint
	moving      bool
	started     bool    // a tick was watched
	accumulated float64 // mm, before the present travel
	largest     float64 // mm
}

// watch takes the truth of one tick and returns how far the load is down, in mm.
func (d *dropGauge) watch(p *plant.Plant) float64 {
	load, setpoint, pull := p.LoadMM(), p.SetpointMM(), p.State().LoadTorqueNM
	if d.rises {
		load, setpoint, pull = -load, -setpoint, -pull
	}
	if pull > d.bandNM {
		d.turnRound(load)
		load, setpoint = -load, -setpoint
	}
	moves := p.Profiling()
	switch {
	case !d.started:
		d.reference = load
	case moves && !d.moving:
		d.accumulated += max(0, d.reference-load)
		d.reference = load
	case moves:
		d.reference = d.travel(setpoint, load)
	}
	d.started, d.moving = true, moves
	down := d.accumulated + d.reference - load
	if down > d.largest {
		d.largest = down
	}
	return down
}

// steadyTravel takes the truth of a tick of a travel like watch, if the load in mm, downwards where it pulls, drops
// no further in it than before. Otherwise it takes nothing, and is false.
func (d *dropGauge) steadyTravel(p *plant.Plant, load float64) bool {
	setpoint := p.SetpointMM()
	if d.rises {
		setpoint = -setpoint
	}
	reference := d.travel(setpoint, load)
	if d.accumulated+reference-load > d.largest {
		return false
	}
	d.reference = reference
	return true
}

// turnRound measures to the other side from here on.
func (d *dropGauge) turnRound(load float64) {
	d.rises = !d.rises
	if d.started {
		d.accumulated += max(0, d.reference-load)
	}
	d.reference = -load
}

// travel moves the reference down with the setpoint and up with the load, so that the lag of
// a drive is no drop.
func (d *dropGauge) travel(setpoint, load float64) float64 {
	return max(min(d.reference, setpoint), min(setpoint, load))
}
