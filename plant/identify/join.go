package identify

import "container/heap"

// joined gives pieces that are too short to the longer of their neighbours, the shortest first and of several the
// first. A change of the brake keeps its own. The time grows as n log n in the number of pieces, of which a noisy
// recording has many.
func joined(pieces []Piece) []Piece {
	if len(pieces) < 2 {
		return pieces
	}
	j := newJoiner(pieces)
	for j.left > 1 && len(j.short) > 0 {
		s, _ := heap.Pop(&j.short).(shortPiece)
		if j.isShort(s.at) && j.pieces[s.at].length() == s.length {
			j.give(s.at)
		}
	}
	return j.joined()
}

// joiner is a list of pieces that are joined, each known by its place. One that was taken up by the piece before it
// is empty.
type joiner struct {
	pieces       []Piece
	before, next []int // places of the neighbours; -1 and the number of pieces at the ends
	empty        []bool
	left         int // pieces that are not empty
	short        shortPieces
}

func newJoiner(pieces []Piece) *joiner {
	n := len(pieces)
	j := &joiner{pieces: pieces, before: make([]int, n), next: make([]int, n), empty: make([]bool, n), left: n}
	for i := range pieces {
		j.before[i], j.next[i] = i-1, i+1
		j.note(i)
	}
	return j
}

// isShort is whether a piece is to be given away.
func (j *joiner) isShort(at int) bool {
	p := &j.pieces[at]
	change := p.Kind == Closing || p.Kind == Opening || p.Kind == StopByBrake
	return !j.empty[at] && !change && p.length() < shortest
}

// note lists a piece if it is short. What it had been before stays in the list and is passed over.
func (j *joiner) note(at int) {
	if j.isShort(at) {
		heap.Push(&j.short, shortPiece{j.pieces[at].length(), at})
	}
}

// give gives one piece to a neighbour, and joins what is then of one kind.
func (j *joiner) give(at int) {
	before, next := j.before[at], j.next[at]
	to := before
	if before < 0 || next < len(j.pieces) && j.pieces[next].length() > j.pieces[before].length() {
		to = next
	}
	kind := j.pieces[to].Kind
	j.pieces[at].Kind = kind
	if next < len(j.pieces) && j.pieces[next].Kind == kind {
		j.takeUp(at)
	}
	if before >= 0 && j.pieces[before].Kind == kind {
		j.takeUp(before)
		at = before
	}
	j.note(at)
}

// takeUp joins the next piece to this one.
func (j *joiner) takeUp(at int) {
	next := j.next[at]
	j.pieces[at].ToS = j.pieces[next].ToS
	j.empty[next], j.left = true, j.left-1
	j.next[at] = j.next[next]
	if after := j.next[at]; after < len(j.pieces) {
		j.before[after] = at
	}
}

// joined are the pieces that are left.
func (j *joiner) joined() []Piece {
	out := j.pieces[:0] // never longer than what was read
	for i, p := range j.pieces {
		if !j.empty[i] {
			out = append(out, p)
		}
	}
	return out
}

// shortPiece is a piece by its length in s and its place.
type shortPiece struct {
	length float64
	at     int
}

// shortPieces is a heap with the shortest piece first.
type shortPieces []shortPiece

func (s shortPieces) Len() int { return len(s) }

func (s shortPieces) Less(a, b int) bool {
	return s[a].length < s[b].length || s[a].length == s[b].length && s[a].at < s[b].at
}

func (s shortPieces) Swap(a, b int) { s[a], s[b] = s[b], s[a] }

// Push adds a piece at the end, as container/heap asks for.
func (s *shortPieces) Push(x any) {
	if p, ok := x.(shortPiece); ok {
		*s = append(*s, p)
	}
}

// Pop takes the piece at the end, as container/heap asks for.
func (s *shortPieces) Pop() any {
	last := len(*s) - 1
	p := (*s)[last]
	*s = (*s)[:last]
	return p
}
