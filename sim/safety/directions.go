package safety

import "holdbench/plant"

// Directions is a set of the directions in which the motor presses against a closed brake.
type Directions uint8

// The directions.
const (
	Down Directions = 1 << iota // the motor presses as the load does
	Up                          // the motor presses against the load
)

// String returns the word of a set: none, down, up or both.
func (d Directions) String() string { return [...]string{"none", "down", "up", "both"}[d&(Down|Up)] }

// requiredDirections are those that the rig's judge requires for a proof.
func requiredDirections(j *plant.Judge) Directions {
	switch j.Directions {
	case plant.DirectionsDown:
		return Down
	case plant.DirectionsUp:
		return Up
	}
	return Down | Up
}
