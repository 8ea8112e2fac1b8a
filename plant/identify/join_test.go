package identify

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// joinedOneByOne is the rule in plain words: the shortest piece of all that are too short goes to the longer of its
// neighbours, and so on.
func joinedOneByOne(pieces []Piece) []Piece {
	for {
		at := -1
		for i := range pieces {
			p := &pieces[i]
			change := p.Kind == Closing || p.Kind == Opening || p.Kind == StopByBrake
			if !change && p.length() < shortest && (at < 0 || p.length() < pieces[at].length()) {
				at = i
			}
		}
		if at < 0 || len(pieces) == 1 {
			return pieces
		}
		pieces = giveOne(pieces, at)
	}
}

// giveOne gives one piece to a neighbour, and joins what is then of one kind.
func giveOne(pieces []Piece, at int) []Piece {
	to := at - 1
	if at == 0 || at+1 < len(pieces) && pieces[at+1].length() > pieces[at-1].length() {
		to = at + 1
	}
	pieces[at].Kind = pieces[to].Kind
	out := pieces[:0] // never longer than what was read
	for _, p := range pieces {
		if n := len(out); n > 0 && out[n-1].Kind == p.Kind {
			out[n-1].ToS = p.ToS
			continue
		}
		out = append(out, p)
	}
	return out
}

// Pieces are joined as by the plain rule, with many of one length.
func TestJoinedFollowsTheRule(t *testing.T) {
	t.Parallel()
	kinds := Kinds()
	rapid.Check(t, func(t *rapid.T) {
		var pieces []Piece
		at := 0.0
		for range rapid.IntRange(0, 60).Draw(t, "pieces") {
			kind := rapid.SampledFrom(kinds).Draw(t, "kind")
			if n := len(pieces); n > 0 && pieces[n-1].Kind == kind {
				continue
			}
			end := at + shortest*float64(rapid.IntRange(0, 8).Draw(t, "length"))/4
			pieces = append(pieces, Piece{Kind: kind, FromS: at, ToS: end})
			at = end
		}
		require.Equal(t, joinedOneByOne(slices.Clone(pieces)), joined(slices.Clone(pieces)))
	})
}

// A recording that changes its kind with every sample has as many pieces.
func TestJoinedIsQuickWithManyPieces(t *testing.T) {
	t.Parallel()
	kinds := Kinds()
	pieces := make([]Piece, 300_000)
	for i := range pieces {
		pieces[i] = Piece{Kind: kinds[i%len(kinds)], FromS: float64(i) * 1e-3, ToS: float64(i+1) * 1e-3}
	}
	require.NotEmpty(t, joined(pieces)) // 300,000² steps would take minutes
}
