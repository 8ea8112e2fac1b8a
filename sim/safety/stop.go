package safety

import (
	"time"

	"holdbench/plant"
)

// stop is the stop function of the safety side: SS1 with a time, then STO, with SBC in between. A
// demand starts it, whatever the sequence commands. The drive brings the axis to rest; the brakes
// close one brake time before the end, so that they carry the load when the torque is taken away
// at the end of the stop time. From then on torque stays away until the demand is gone and
// a person has reset; the rig may do without the reset. What a stop does to the load is decided by
// the brakes alone.
//
// Sources, all from memory: SS1 with a time, SBC and STO, IEC 61800-5-2, 4.2; an emergency stop is
// of category 0 or 1, and with a load that must be held of category 1, IEC 60204-1, 9.2.2 and
// 9.2.5.4; it has priority over all other functions, its command is sustained until it is
// reset, and the reset restarts nothing, ISO 13850, 4.1; the release of a reset button is what
// resets, so that one that sticks does not, ISO 13849-1, 5.2.2.
type stop struct {
	phase phase
	since time.Duration // from the demand
	reset resetButton
}

// phase is how far a stop has come.
type phase uint8

const (
	running   phase = iota
	stopping        // SS1
	torqueOff       // STO
)

// resetButton finds the release of a button that was pressed while a reset was possible.
type resetButton struct{ was, armed bool }

func (b *resetButton) released(on, possible bool) bool {
	b.armed = possible && (b.armed || on && !b.was)
	released := b.armed && b.was && !on
	b.was = on
	return released
}

// step is one scan. It says whether a stop began, and whether one was reset.
func (s *stop) step(demand, reset bool, scan time.Duration, r *plant.Safety) (began, ended bool) {
	switch s.phase {
	case running:
		began = demand
	case stopping:
		if s.since += scan; s.since >= r.StopTime {
			s.phase = torqueOff
		}
	}
	if began {
		s.phase, s.since = stopping, 0
	}
	possible := s.phase == torqueOff && !demand
	released := s.reset.released(reset, possible)
	if ended = possible && (released || r.Reset == plant.ResetAutomatic); ended {
		s.phase, s.reset.armed = running, false
	}
	return began, ended
}

// powerDown keeps a stop: power that returns resets nothing.
func (s *stop) powerDown() {
	if s.phase != running {
		s.phase = torqueOff
	}
	s.reset = resetButton{was: true} // a button that is held as power returns is no new press
}

// command sets what the stop commands, and what the functional side learns of it.
func (s *stop) command(o *Outputs, demand bool, r *plant.Safety) {
	o.SS1, o.STO = s.phase == stopping, s.phase == torqueOff
	o.SBC = o.STO || o.SS1 && s.since >= r.StopTime-r.BrakeTime
	o.SafeStop = s.phase != running
	o.ResetNeeded = o.STO && !demand
}
