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
// reset, and the reset restarts nothing, ISO 13850, 4.1; what resets is the release of a button,
// see [pushButton].
type stop struct {
	phase phase
	since time.Duration // from the demand
	reset pushButton
	cause StopCause // what demanded it first
}

// phase is how far a stop has come.
type phase uint8

const (
	running   phase = iota
	stopping        // SS1
	torqueOff       // STO
)

// StopCause is what demands a stop.
type StopCause uint8

// The causes of a stop, the first one that applies counts.
const (
	StopNone       StopCause = iota
	StopEmergency            // the emergency stop is pressed
	StopGuard                // the guard is open or unlocked outside setup mode, or access was granted
	StopSetupSpeed           // too fast in setup mode with the guard open
	StopCeiling              // the judge: motor torque above the ceiling
	StopLapse                // the proof has lapsed, where the rig says that this stops the axis
)

// String returns the word of a cause.
func (c StopCause) String() string { return StopCauses()[c] }

// StopCauses lists every word that stop_cause may carry.
func StopCauses() []string {
	return []string{"none", "emergency-stop", "guard", "setup-speed", "ceiling", "lapse"}
}

// step is one scan. It says whether a stop began, and whether one was reset.
func (s *stop) step(demand StopCause, reset bool, scan time.Duration, r *plant.Safety) (began, ended bool) {
	switch s.phase {
	case running:
		began = demand != StopNone
	case stopping:
		if s.since += scan; s.since >= r.StopTime {
			s.phase = torqueOff
		}
	}
	if began {
		s.phase, s.since, s.cause = stopping, 0, demand
	}
	possible := s.phase == torqueOff && demand == StopNone
	released := s.reset.released(reset, possible)
	if ended = possible && (released || r.Reset == plant.ResetAutomatic); ended {
		s.phase, s.cause = running, StopNone
	}
	return began, ended
}

// powerDown keeps a stop: power that returns resets nothing.
func (s *stop) powerDown() {
	if s.phase != running {
		s.phase = torqueOff
	}
	s.reset.held() // a button that is held as power returns is no new press
}

// command sets what the stop commands, and what the functional side learns of it.
func (s *stop) command(o *Outputs, demand StopCause, r *plant.Safety) {
	o.SS1, o.STO = s.phase == stopping, s.phase == torqueOff
	o.SBC = o.STO || o.SS1 && s.since >= r.StopTime-r.BrakeTime
	o.SafeStop, o.StopCause = s.phase != running, s.cause
	o.ResetNeeded = o.STO && demand == StopNone
}
