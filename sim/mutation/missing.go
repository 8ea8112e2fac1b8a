package mutation

import (
	"fmt"
	"strings"
)

// missing says which scenario would notice a mutant that survived.
func (s *Suite) missing(m *Mutant, passing int, near *nearest) string {
	switch {
	case passing == 0 && m.alsoIn != "":
		return fmt.Sprintf("no scenario enters %s or %s", m.State, m.alsoIn)
	case passing == 0 && m.State == "":
		return "there is no scenario"
	case passing == 0:
		return "no scenario enters " + m.State
	case m.event != "" && !s.fires(m.event):
		return "no scenario " + leaves(m) + "; " + seen(passing, near)
	}
	return seen(passing, near)
}

func (s *Suite) fires(event string) bool {
	for i := range s.runs {
		if s.runs[i].events[event] {
			return true
		}
	}
	return false
}

// leaves says a transition that nobody takes in words.
func leaves(m *Mutant) string {
	from := m.State
	if from == "" {
		from = "any state"
	}
	way := append([]string{"leaves", from, "for", m.transition.To}, conditions(m.transition)...)
	return strings.Join(way, " ")
}

// seen says who could have noticed, and what the nearest one would have to expect.
func seen(passing int, near *nearest) string {
	text, name := "1 scenario passes here and does not see it: ", near.name
	if passing > 1 {
		text = fmt.Sprintf("%d scenarios pass here and none sees it; nearest is ", passing)
	}
	switch near.how {
	case ways:
		return text + name + ", which goes another way and does not say its path"
	case stays:
		return text + name + ", which takes other times and does not say them"
	case figures:
		return text + name + ", where only figures differ"
	}
	return text + name + ", which runs the same to the last digit"
}
