package training

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Answer is the result of a player in one riddle, as a line of JSON. Two answers are to the same riddle if rig,
// sequence, level and seed are the same, and so is the truth.
type Answer struct {
	Player      string `json:"player,omitempty"`
	Rig         string `json:"rig"`
	Sequence    string `json:"sequence"`
	Level       Level  `json:"level"`
	Seed        uint64 `json:"seed"`
	Truth       string `json:"truth"` // names of the faults
	Cause       string `json:"cause"` // the one that was named
	RightRemedy string `json:"right_remedy"`
	Remedy      string `json:"remedy"` // the one that was named
	Looks       int    `json:"looks"`
	Points      int    `json:"points"`
}

// Answer is an answer with its points.
func (r *Riddle) Answer(player, cause, remedy string, looks int) Answer {
	return Answer{
		Player: player, Rig: r.Nominal.Rig.Rig, Sequence: r.Nominal.Sequence.Name, Level: r.Level, Seed: r.Seed,
		Truth: r.Truth.Name(), Cause: cause, RightRemedy: r.Truth.Remedy(), Remedy: remedy, Looks: looks,
		Points: r.Score(cause, remedy, looks).Total,
	}
}

// ParseAnswer reads a line of JSON. The error says which value is wrong and what would be right.
func ParseAnswer(line []byte) (Answer, error) {
	var a Answer
	decode := json.NewDecoder(bytes.NewReader(line))
	decode.DisallowUnknownFields()
	if err := decode.Decode(&a); err != nil {
		return a, fmt.Errorf("is no result of a riddle: %w", err)
	}
	if _, err := decode.Token(); !errors.Is(err, io.EOF) {
		return a, errors.New("has more than one result; must be one JSON object on a line")
	}
	for _, x := range []struct{ key, value string }{
		{"rig", a.Rig}, {"sequence", a.Sequence}, {"truth", a.Truth}, {"cause", a.Cause}, {"right_remedy", a.RightRemedy}, {"remedy", a.Remedy},
	} {
		if strings.TrimSpace(x.value) == "" {
			return a, fmt.Errorf("has no %s; must be a name", x.key)
		}
	}
	if _, err := ParseLevel(string(a.Level)); err != nil {
		return a, fmt.Errorf("level: %w", err)
	}
	if a.Points < 0 || a.Points > MaxPoints {
		return a, fmt.Errorf("points is %d; must be 0 to %d", a.Points, MaxPoints)
	}
	if a.Looks < 0 {
		return a, fmt.Errorf("looks is %d; must be 0 or more", a.Looks)
	}
	return a, nil
}
