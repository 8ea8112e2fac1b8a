package scorecmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/training"
)

// scoreObject is a tally as one object.
type scoreObject struct {
	Players  int           `json:"players"`
	Answers  int           `json:"answers"`
	Repeated int           `json:"repeated"`
	Points   float64       `json:"points"`
	Causes   []causeObject `json:"causes"`
	Version  string        `json:"version"`
}

// causeObject is how one cause was found.
type causeObject struct {
	Cause    string               `json:"cause"`
	Answers  int                  `json:"answers"`
	Right    int                  `json:"right"`
	Remedies int                  `json:"right_remedies"`
	Points   float64              `json:"points"`
	Looks    float64              `json:"looks"`
	TakenFor []training.Confusion `json:"taken_for"`
}

// JSON is what the command prints, for its schema.
func JSON() any { return scoreObject{} }

func objectOf(t *training.Tally) scoreObject {
	o := scoreObject{Players: t.Players, Answers: t.Answers, Repeated: t.Repeated, Points: t.Points, Causes: []causeObject{}, Version: command.Version()}
	for _, f := range t.Faults {
		o.Causes = append(o.Causes, causeObject{f.Fault, f.Answers, f.Right, f.Remedies, f.Points, f.Looks, append([]training.Confusion{}, f.TakenFor...)})
	}
	return o
}
