package training

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
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

// odd lists what is not as a guess would have it, by more than four and a half deviations.
func (s *tells) odd() (list []string) {
	const deviations = 4.5
	n := float64(s.riddles)
	check := func(name string, got, want, variance float64) {
		if math.Abs(got-want) > float64(deviations*math.Sqrt(variance))+1e-9 {
			list = append(list, fmt.Sprintf("%s: %.1f of %d riddles, want %.1f", name, got, s.riddles, want))
		}
	}
	for place, times := range s.places { // binomial, of one sixth
		check(fmt.Sprintf("place %d", place+1), float64(times), n/choiceCount, n*5/36)
	}
	check("length of the text", s.rank, 2.5*n, n*35/12) // of ranks 0 to 5, all as likely
	check("answers of its group", s.group, 0, s.variance)
	return list
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
	assert.Empty(t, fair.odd())
	assert.Contains(t, strings.Join(place.odd(), "; "), "place 3")
	assert.Contains(t, strings.Join(length.odd(), "; "), "length of the text")
	assert.Contains(t, strings.Join(group.odd(), "; "), "answers of its group")
}
