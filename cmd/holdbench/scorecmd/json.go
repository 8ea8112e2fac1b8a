package scorecmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/training"
)

// scoreObject is a tally as one object.
type scoreObject struct {
	Players  int            `json:"players"`
	Answers  int            `json:"answers"`
	Repeated int            `json:"repeated"`
	Unnamed  int            `json:"unnamed"`
	Aborted  int            `json:"aborted"`
	Points   float64        `json:"points"`
	Causes   []causeObject  `json:"causes"`
	ByPlayer []playerObject `json:"by_player"`
	Version  string         `json:"version"`
}

// playerObject is how one player found the causes.
type playerObject struct {
	Player   string  `json:"player"`
	Answers  int     `json:"answers"`
	Right    int     `json:"right"`
	Remedies int     `json:"right_remedies"`
	Aborted  int     `json:"aborted"`
	Repeated int     `json:"repeated"`
	Points   float64 `json:"points"`
	Looks    float64 `json:"looks"`
}

// causeObject is how one cause was found.
type causeObject struct {
	Cause    string               `json:"cause"`
	Answers  int                  `json:"answers"`
	Right    int                  `json:"right"`
	Remedies int                  `json:"right_remedies"`
	Aborted  int                  `json:"aborted"`
	Points   float64              `json:"points"`
	Looks    float64              `json:"looks"`
	TakenFor []training.Confusion `json:"taken_for"`
}

// JSON is what the command prints, for its schema.
func JSON() any { return scoreObject{} }

func objectOf(t *training.Tally) scoreObject {
	o := scoreObject{
		Players: t.Players, Answers: t.Answers, Repeated: t.Repeated, Unnamed: t.Unnamed, Aborted: t.Aborted, Points: t.Points,
		Causes: []causeObject{}, ByPlayer: []playerObject{}, Version: command.Version(),
	}
	for _, f := range t.Faults {
		o.Causes = append(o.Causes, causeObject{f.Fault, f.Answers, f.Right, f.Remedies, f.Aborted, f.Points, f.Looks, append([]training.Confusion{}, f.TakenFor...)})
	}
	for _, p := range t.ByPlayer {
		o.ByPlayer = append(o.ByPlayer, playerObject(p))
	}
	return o
}
