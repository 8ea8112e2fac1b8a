package identify

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
)

// changedBy is a recording as recorders with faults of their own make it.
var changedBy = []struct {
	name   string
	change func(*recording.Recording)
}{
	{"as it is", func(*recording.Recording) {}},
	{"much noise", func(rec *recording.Recording) {
		source := rand.New(rand.NewPCG(1, 2))
		for i := range rec.Time {
			rec.Channels[0].Values[i] += 0.002 * source.NormFloat64()
			rec.Channels[1].Values[i] += 0.1 * source.NormFloat64()
		}
	}},
	{"coarse position", func(rec *recording.Recording) {
		for i, x := range rec.Channels[0].Values {
			rec.Channels[0].Values[i] = math.Round(x/0.005) * 0.005
		}
	}},
	{"current 10 ms late", func(rec *recording.Recording) {
		current := rec.Channels[1].Values
		copy(current[5:], append([]float64(nil), current...))
	}},
	{"switch not recorded", func(rec *recording.Recording) { rec.Channels = rec.Channels[:3] }},
	{"command not recorded", func(rec *recording.Recording) { rec.Channels = append(rec.Channels[:2], rec.Channels[3]) }},
	{"current at a tenth of the rate", func(rec *recording.Recording) {
		for i := range rec.Time {
			if i%10 != 0 {
				rec.Channels[1].Values[i] = math.NaN()
			}
		}
	}},
}

// The pieces are those that were commanded, whatever the recorder does to the signals.
func TestFindKinds(t *testing.T) {
	r := screwAxis()
	phases := manoeuvres(&r)
	for _, c := range changedBy {
		t.Run(c.name, func(t *testing.T) {
			rec := recorded(&r, 1, phases)
			c.change(rec)
			k, err := newTrack(rec, &r)
			require.NoError(t, err)
			pieces := find(&k)
			require.NoError(t, CheckPieces("pieces", pieces))
			assert.InDelta(t, rec.Time[len(rec.Time)-1], pieces[len(pieces)-1].ToS, 1e-9, "they reach to the end")
			at := 0.0
			for _, p := range phases {
				assert.Contains(t, kindsWithin(pieces, at, at+p.time.Seconds()), p.kind, "from %g s", at)
				at += p.time.Seconds()
			}
		})
	}
}

func kindsWithin(pieces []Piece, from, to float64) []Kind {
	var kinds []Kind
	for _, p := range pieces {
		if p.FromS < to && p.ToS > from {
			kinds = append(kinds, p.Kind)
		}
	}
	return kinds
}

// Without any signal of the brake a press is still torque without movement.
func TestFindPressWithoutBrakeSignal(t *testing.T) {
	r := screwAxis()
	rec := recorded(&r, 1, manoeuvres(&r))
	rec.Channels = rec.Channels[:2]
	k, err := newTrack(rec, &r)
	require.NoError(t, err)
	kinds := kindsWithin(find(&k), 0, 100)
	assert.Contains(t, kinds, PressDown)
	assert.Contains(t, kinds, PressUp)
	assert.NotContains(t, kinds, StopByBrake, "a stop cannot be told from a deceleration")
}

// What is wrong with pieces of a user is said with its place.
func TestCheckPieces(t *testing.T) {
	for _, c := range []struct {
		name, want string
		pieces     []Piece
	}{
		{"OK", "", []Piece{{Kind: TravelUp, FromS: 0, ToS: 1}, {Kind: Other, FromS: 1, ToS: 2}}},
		{"Kind", `pieces[0].kind: kind is "up"; must be one of standstill-open`, []Piece{{Kind: "up", FromS: 0, ToS: 1}}},
		{"Backwards", "pieces[0].to_s: to_s is 1, and from_s is 2", []Piece{{Kind: TravelUp, FromS: 2, ToS: 1}}},
		{"NaN", "must be later than from_s", []Piece{{Kind: TravelUp, FromS: math.NaN(), ToS: 1}}},
		{"Overlap", "pieces[1].from_s: from_s is 0.5, before the end", []Piece{{Kind: TravelUp, FromS: 0, ToS: 1}, {Kind: TravelUp, FromS: 0.5, ToS: 2}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := CheckPieces("pieces", c.pieces)
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
		})
	}
}
