package screens

import (
	"fmt"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sim"
)

// numberAnswer is the answer to a question for a number, as far as it is typed.
type numberAnswer struct {
	typed string
	wrong string // why what was typed is no number
	value float64
	taken bool

	predicted *prediction // of the stop before, which the present one shows
}

// prediction is a number that was typed before the run had it.
type prediction struct {
	asked  *sim.NumberAsked
	answer float64
}

// mostNumberSigns bounds a typed number.
const mostNumberSigns = 12

// typeNumber takes the keys of a number, and tells whether a key is one. Other keys are the bench's, so that the
// run can be examined before the answer.
func (l *lessonScreen) typeNumber(text string) (taken bool) {
	n := &l.number
	switch text {
	case "enter":
		l.takeNumber()
		return true
	case "backspace":
		n.typed, n.wrong = n.typed[:max(0, len(n.typed)-1)], ""
		return true
	case ",":
		text = "."
	}
	if len(text) != 1 || strings.Trim(text, "0123456789.-") != "" {
		return text == " "
	}
	if n.wrong = ""; len(n.typed) < mostNumberSigns {
		n.typed += text
	}
	return true
}

// takeNumber ends the typing if there is a number.
func (l *lessonScreen) takeNumber() {
	n := &l.number
	x, err := strconv.ParseFloat(n.typed, 64)
	if err != nil {
		n.wrong = "type a number such as 2.5, then enter"
		return
	}
	n.value, n.taken = x, true
	if s := l.stop(); !s.Number.AtNext {
		l.score.count(s.Number.Compare(x, s.Value))
	}
	l.read(mostRows) // down to the reason
}

// mostRows is more than any text has.
const mostRows = 1 << 20

// comparePrediction begins a stop: it counts what was predicted at the stop before, and is ready for a new
// number.
func (l *lessonScreen) comparePrediction() {
	before := l.number
	l.number = numberAnswer{}
	if l.at == 0 || !before.taken {
		return
	}
	if asked := l.reached[l.at-1].Number; asked != nil && asked.AtNext {
		l.number.predicted = &prediction{asked, before.value}
		l.score.count(asked.Compare(before.value, l.stop().Predicted))
	}
}

// count counts an answer.
func (s *score) count(c sim.Closeness) {
	s.Asked++
	switch c {
	case sim.Right:
		s.Right++
	case sim.Near:
		s.Near++
	}
}

func (s score) text() string {
	text := fmt.Sprintf("%d of %d questions answered correctly", s.Right, s.Asked)
	if s.Near > 0 {
		text += fmt.Sprintf(", %d nearly", s.Near)
	}
	return text + "."
}

// predictionText compares what was predicted at the stop before with the run.
func (l *lessonScreen) predictionText() []passage {
	p := l.number.predicted
	if p == nil {
		return nil
	}
	return append(compared(p.asked, p.answer, l.stop().Predicted, l.stop().Reason), passage{})
}

// numberText is the number as it is typed, and once it is taken what the run says to it.
func (l *lessonScreen) numberText() []passage {
	s, n := l.stop(), &l.number
	switch {
	case !n.taken && n.wrong != "":
		return []passage{{page.Key, 2, "› " + n.typed + "_ " + s.Number.Unit}, {page.Bad, 2, "✗ " + n.wrong}}
	case !n.taken:
		return []passage{{page.Key, 2, "› " + n.typed + "_ " + s.Number.Unit}}
	case s.Number.AtNext:
		return []passage{{page.Strong, 2, "your answer: " + answerText(n.value, s.Number.Unit)}, {page.Plain, 0, "The next stop shows what the run has."}}
	}
	return compared(s.Number, n.value, s.Value, s.Because)
}

// compared shows an answer beside the value of the run, or that which is worked out.
func compared(asked *sim.NumberAsked, answer, value float64, because string) []passage {
	word, role := "✗ Wrong.", page.Bad
	switch asked.Compare(answer, value) {
	case sim.Right:
		word, role = "✓ Correct.", page.Good
	case sim.Near:
		word, role = "≈ Near.", page.Caution
	}
	origin := "the run"
	if asked.Calculated {
		origin = "calculated"
	}
	return []passage{
		{page.Strong, 2, "your answer: " + answerText(answer, asked.Unit) + "; " + origin + ": " + answerText(value, asked.Unit)},
		{role, 0, word + " " + strings.TrimSpace(because)},
	}
}

func answerText(x float64, unit string) string {
	const figures = 3
	return sim.FigureText(x, figures) + " " + unit
}
