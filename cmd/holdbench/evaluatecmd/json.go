package evaluatecmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/evaluate"
)

// evaluationObject is an evaluation as one object.
type evaluationObject struct {
	evaluate.Evaluation
	Beside   *evaluate.Beside `json:"beside"`   // null if the run could not be aligned
	Settings []string         `json:"settings"` // KEY=VALUE, other values of the rig by --set
	Doubts   []string         `json:"doubts"`   // in which the recording contradicts itself or the rig, or may do so
	command.Origin
}

func (z *evaluated) object() evaluationObject {
	return evaluationObject{*z.result, z.beside, append([]string{}, z.settings...), append([]string{}, z.doubts...), command.NewOrigin(z.ready)}
}

// JSON is what evaluate --json prints, for its schema.
func JSON() any { return evaluationObject{} }
