package identify

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdbench/plant/problem"
)

// Kind is what an axis does in a piece of a recording.
type Kind string

// The kinds of pieces.
const (
	StandstillOpen   Kind = "standstill-open"   // the drive holds the load, brake open
	StandstillClosed Kind = "standstill-closed" // brake closed, motor torque between zero and that of holding
	TravelUp         Kind = "travel-up"         // at constant speed
	TravelDown       Kind = "travel-down"
	Acceleration     Kind = "acceleration" // or deceleration, brake open
	PressUp          Kind = "press-up"     // motor torque above that of holding, against the closed brake
	PressDown        Kind = "press-down"   // motor torque downwards, against the closed brake
	Closing          Kind = "closing"      // the brake closes on an axis at rest
	Opening          Kind = "opening"      // the brake opens
	StopByBrake      Kind = "stop-by-brake"
	Other            Kind = "other" // nothing is taken from it
)

// Kinds are all kinds, in the order in which a list names them.
func Kinds() []Kind {
	return []Kind{StandstillOpen, StandstillClosed, TravelUp, TravelDown, Acceleration, PressUp, PressDown, Closing, Opening, StopByBrake, Other}
}

// kindCode is the place of a kind in the list of all kinds: a byte for a sample of a long recording.
type kindCode uint8

func (k Kind) code() kindCode { return kindCode(slices.Index(Kinds(), k)) }

// closed is whether the brake is closed and does not change.
func (k Kind) closed() bool { return k == StandstillClosed || k == PressUp || k == PressDown }

// free is whether the axis moves with the brake open.
func (k Kind) free() bool { return k == TravelUp || k == TravelDown || k == Acceleration }

// Piece is a part of a recording in which the axis does one thing.
type Piece struct {
	Kind  Kind    `yaml:"kind" json:"kind"`
	FromS float64 `yaml:"from_s" json:"from_s"`
	ToS   float64 `yaml:"to_s" json:"to_s"`
	Why   string  `yaml:"why,omitempty" json:"why,omitempty"` // by which signals it was found
}

func (p *Piece) length() float64 { return p.ToS - p.FromS }

// Pieces are the pieces of one recording.
type Pieces struct {
	Recording string  `yaml:"recording" json:"recording"` // name of its file
	Pieces    []Piece `yaml:"pieces" json:"pieces"`
}

// CheckPieces reports what is wrong with pieces: an unknown kind, a piece that ends before it begins, or
// one that overlaps the piece before it. The error is a [problem.List] with paths below path.
func CheckPieces(path string, pieces []Piece) error {
	var found problem.List
	end := math.Inf(-1)
	for i, p := range pieces {
		at := fmt.Sprintf("%s[%d]", path, i)
		switch {
		case !slices.Contains(Kinds(), p.Kind):
			found.Add(at+".kind", "kind is %q; must be one of %s", string(p.Kind), listOfKinds())
		case !(p.ToS > p.FromS) || math.IsInf(p.ToS-p.FromS, 0):
			found.Add(at+".to_s", "to_s is %g, and from_s is %g; must be later than from_s", p.ToS, p.FromS)
		case p.FromS < end:
			found.Add(at+".from_s", "from_s is %g, before the end of the piece before it at %g s; pieces must follow one another", p.FromS, end)
		}
		end = max(end, p.ToS)
	}
	return found.OrNil()
}

func listOfKinds() string {
	names := make([]string, 0, len(Kinds()))
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}
