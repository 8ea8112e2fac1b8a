package training

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sim/catalogue"
)

// tells is what could give the right answer away: where it stands, how long its text is, and how many of the answers
// are of its group.
type tells struct {
	riddles  int
	places   [choiceCount]int
	rank     float64 // of the length of its text, 0 for the shortest
	group    float64 // answers of its group, beyond what a guess would have
	variance float64 // of group, for guesses
}

func (s *tells) add(r *Riddle) {
	place := slices.IndexFunc(r.Causes, func(c Choice) bool { return c.Name == r.Truth.Name() })
	s.riddles++
	s.places[place]++
	for i, c := range r.Causes {
		switch own := len(r.Causes[place].Text); {
		case i == place:
		case len(c.Text) < own:
			s.rank++
		case len(c.Text) == own:
			s.rank += 0.5
		}
	}
	if len(r.Truth) > 1 {
		return // all pairs of four: there is nothing to tell them apart
	}
	sizes := make([]float64, len(r.Causes))
	for i := range r.Causes {
		for k := range r.Causes {
			if groupOf(r.Causes[i].Name) == groupOf(r.Causes[k].Name) {
				sizes[i]++
			}
		}
	}
	mean := 0.0
	for _, n := range sizes {
		mean += n / choiceCount
	}
	for _, n := range sizes {
		s.variance += (n - mean) * (n - mean) / choiceCount
	}
	s.group += sizes[place] - mean
}

// requireNothing wants each of them as a guess would have it, within four and a half deviations.
func (s *tells) requireNothing(t *testing.T) {
	t.Helper()
	const deviations = 4.5
	n := float64(s.riddles)
	for place, times := range s.places { // binomial, of one sixth
		require.InDelta(t, n/choiceCount, times, deviations*math.Sqrt(n*5/36), "place %d of %v", place, s.places)
	}
	// Ranks 0 to 5, all as likely, have the mean 5/2 and the variance 35/12.
	require.InDelta(t, 2.5*n, s.rank, deviations*math.Sqrt(n*35/12), "length of the text")
	require.InDelta(t, 0, s.group, deviations*math.Sqrt(s.variance)+1e-9, "answers of its group")
}

// The statistics find what gives an answer away.
func TestTellsAreFound(t *testing.T) {
	t.Parallel()
	of := func(right int) *Riddle {
		r := &Riddle{}
		for i, name := range []string{"lining-worn", "brake-drags", "link-down", "encoder-lost", "drive-slow", "load-heavier"} {
			f, err := catalogue.Find(name)
			require.NoError(t, err)
			r.Causes = append(r.Causes, Choice{Name: name, Text: "a long sentence"[:9+i]})
			if i == right {
				r.Truth = Hypothesis{{Entry: f}}
			}
		}
		return r
	}
	var fair, place, length, group tells
	for i := range 120 {
		fair.add(of(i % choiceCount))
		place.add(of(2))
		r := of(i % choiceCount)
		for k := range r.Causes {
			r.Causes[k].Text = map[bool]string{true: "long", false: "s"}[k == i%choiceCount]
		}
		length.add(r)
		r = of(i % 2)
		shuffle(r.Causes, rand.New(rand.NewPCG(uint64(i), 1)))
		group.add(r)
	}
	fair.requireNothing(t)
	for name, s := range map[string]*tells{"place": &place, "length": &length, "group": &group} {
		fails := &testing.T{}
		done := make(chan struct{})
		go func() { defer close(done); s.requireNothing(fails) }()
		<-done
		assert.True(t, fails.Failed(), name)
	}
}
