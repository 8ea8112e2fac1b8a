package mutation

import (
	"fmt"
	"strings"
)

// missingScenario says which scenario would detect a mutant that survived.
func (s *Suite) missingScenario(m *Mutant, passing int, near *nearestRun) string {
	switch {
	case passing == 0 && m.alsoIn != "":
		return fmt.Sprintf("no scenario enters %s or %s", m.State, m.alsoIn)
	case passing == 0 && m.State == "":
		return "there is no scenario"
	case passing == 0:
		return "no scenario enters " + m.State
	case m.event != "" && !s.fires(m.event):
		return "no scenario " + transitionSentence(m) + "; " + advice(passing, near)
	}
	return advice(passing, near)
}

func (s *Suite) fires(event string) bool {
	for i := range s.runs {
		if s.runs[i].events[event] {
			return true
		}
	}
	return false
}

// transitionSentence describes a transition that no scenario takes.
func transitionSentence(m *Mutant) string {
	from := m.State
	if from == "" {
		from = "any state"
	}
	path := append([]string{"leaves", from, "for", m.transition.To}, conditionTexts(m.transition)...)
	return strings.Join(path, " ")
}

// advice says which scenarios could have detected it, and what the nearest one would have to
// expect.
func advice(passing int, near *nearestRun) string {
	text := "1 scenario passes here and does not notice it: in " + near.name
	if passing > 1 {
		text = fmt.Sprintf("%d scenarios pass here and none notices it: in the nearest, %s,", passing, near.name)
	}
	switch near.how {
	case otherPath:
		return text + " other states follow; expect.path would say which are right"
	case otherTimes:
		return text + " times change; expect.took would say which are right"
	case otherFigures:
		return text + " only figures change"
	}
	return text + " nothing changes"
}
