package sim

import (
	"math"

	"holdbench/plant"
)

// letGo watches whether the controller itself lets the load fall: by its command no brake closes, and
// the drive is off or presses with a torque that does not carry the load.
type letGo struct {
	now  string // the command, until the load is at rest again
	fell string // the command with which the load fell below the limit; empty if it did not so
}

// watch takes the commands of one tick.
func (l *letGo) watch(b *Bench) {
	if how := b.lettingGo(); how != "" {
		l.now = how
	} else if l.now != "" && b.plant.LoadAtStandstill() {
		l.now = ""
	}
}

// couldLetGo is whether the present command could let the load fall. What a controller without power leaves
// behind, and what falls with a severed transmission, could not.
func (b *Bench) couldLetGo() bool {
	mode := b.command.Mode
	return (mode == plant.Off || mode == plant.Press) && !b.unpowered && !b.halted && b.commandedClosed() == 0 && !b.plant.Severed()
}

// lettingGo is the present command of a controller that lets the load fall, empty if it does not.
func (b *Bench) lettingGo() string {
	if !b.mayLetGo {
		return ""
	}
	if b.command.Mode == plant.Off {
		return "drive off, brake open"
	}
	s := b.plant.State()
	if away := math.Abs(b.command.PressTorqueNM + s.LoadTorqueNM + s.SupportTorqueNM); away <= b.carryBandNM {
		return ""
	}
	return "drive press with a torque that does not carry the load, brake open"
}

// byCommand is the command behind a text about the drop, empty without one.
func byCommand(how string) string {
	if how == "" {
		return ""
	}
	return ", by command of the controller: " + how
}
