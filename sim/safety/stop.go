package safety

import "time"

// stop is the stop function SS1 with a time, safe stop 1 (IEC 61800-5-2; from memory): it brings
// the axis to rest, closes the brakes and takes the torque away.
type stop struct {
	phase phase
	since time.Duration // from the demand
}

// phase is how far a stop has come.
type phase uint8

const (
	running   phase = iota
	ramping         // SS1: the drive holds, the brakes close
	torqueOff       // STO
)

// step is one scan; a demand begins the stop anew.
func (s *stop) step(demand bool, scan, rampDown time.Duration) {
	if s.phase == ramping {
		if s.since += scan; s.since >= rampDown {
			s.phase = torqueOff
		}
	}
	if demand {
		s.phase, s.since = ramping, 0
	}
}

// command sets what the stop commands.
func (s *stop) command(o *Outputs) {
	o.SS1, o.STO = s.phase == ramping, s.phase == torqueOff
	o.SBC = o.SS1 || o.STO
}
