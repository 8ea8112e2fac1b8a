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
	Remedy      string `json:"remedy"`            // the one that was named
	Aborted     bool   `json:"aborted,omitempty"` // the truth was shown before anything was named; no cause, no remedy, no points
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

// AbortedAnswer is that of a player who was shown the truth without naming anything.
func (r *Riddle) AbortedAnswer(player string, looks int) Answer {
	a := r.Answer(player, "", "", looks)
	a.Aborted, a.Points = true, 0
	return a
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
	for _, x := range []struct {
		key, value string
		none       bool
	}{
		{"rig", a.Rig, false}, {"sequence", a.Sequence, false}, {"truth", a.Truth, false}, {"cause", a.Cause, a.Aborted},
		{"right_remedy", a.RightRemedy, false}, {"remedy", a.Remedy, a.Aborted},
	} {
		switch empty := strings.TrimSpace(x.value) == ""; {
		case empty && !x.none:
			return a, fmt.Errorf("has no %s; must be a name", x.key)
		case x.none && !empty:
			return a, fmt.Errorf("has the %s %q although it was aborted; must be empty", x.key, x.value)
		}
	}
	if _, err := ParseLevel(string(a.Level)); err != nil {
		return a, fmt.Errorf("level: %w", err)
	}
	if a.Aborted && a.Points != 0 {
		return a, fmt.Errorf("points is %d although it was aborted; must be 0", a.Points)
	}
	if a.Points < 0 || a.Points > MaxPoints {
		return a, fmt.Errorf("points is %d; must be 0 to %d", a.Points, MaxPoints)
	}
	if a.Looks < 0 {
		return a, fmt.Errorf("looks is %d; must be 0 or more", a.Looks)
	}
	return a, nil
}
