package view

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/sequence"
)

// drawMissing draws one term of a condition: the first that is not met, else the first. How many are met is left out
// where the name of the signal would be cut for it.
func drawMissing(a page.Area, x, y int, terms []sequence.Term, role page.Role) int {
	shown, more := missing(terms)
	if shown == nil {
		return x
	}
	if _, whole := written(shown, a.W()-x-page.Width(more)); whole {
		x = a.Text(x, y, page.Faint, more)
	}
	return drawValues(a, x, y, shown, role) + 1
}

// compares is whether a condition compares a value, which takes more room than a flag.
func compares(c sequence.Condition) bool {
	return slices.ContainsFunc(c.Terms, func(t sequence.Term) bool { return t.Op != "" })
}

// fits is whether the term that is shown of a condition has room with the whole name of its signal.
func fits(terms []sequence.Term, width int) bool {
	shown, _ := missing(terms)
	if shown == nil {
		return true
	}
	_, whole := written(shown, width)
	return whole
}

// missing is the term that is shown of a condition, nil if it has none, and how many of several are met.
func missing(terms []sequence.Term) (shown *sequence.Term, more string) {
	if len(terms) == 0 {
		return nil, ""
	}
	shown = &terms[0]
	for i := range terms {
		if !terms[i].Met && terms[i].Group == "" {
			shown = &terms[i]
			break
		}
	}
	if met, all := countMet(terms); all > 1 {
		more = strconv.Itoa(met) + "/" + strconv.Itoa(all) + " "
	}
	return shown, more
}

// missingWidth is the room of the term that is shown of a condition, with the name of its signal.
func missingWidth(terms []sequence.Term) int {
	shown, more := missing(terms)
	switch {
	case shown == nil:
		return 0
	case shown.Op == "":
		return page.Width(more + shown.Text)
	}
	return page.Width(more + nameOf(shown) + " " + comparison(shown))
}

// nameOf is the left side of a comparison as it is written.
func nameOf(t *sequence.Term) string {
	name, _, _ := strings.Cut(t.Text, " "+t.Op+" ")
	return name
}

// drawValues draws a term with its live value beside the limit.
func drawValues(a page.Area, x, y int, t *sequence.Term, role page.Role) int {
	text, _ := written(t, a.W()-x)
	if text.name != "" {
		x = a.Text(x, y, page.Plain, text.name) + 1
	}
	return a.Text(x, y, role, page.Cut(text.values, max(a.W()-x, 0)))
}

// term is how a term is written: what is compared, and its live value beside the limit. A term that compares nothing is
// its name alone.
type term struct{ name, values string }

// width is that of both, with a blank between them.
func (t *term) width() int {
	if t.values == "" {
		return page.Width(t.name)
	}
	return page.Width(t.name) + 1 + page.Width(t.values)
}

// written is how a term is written in a width, and whether the name is whole. Where there is little room the values are
// shortened to four digits first, then the unit is left out, then the blanks, and only then the name is cut. The live
// value has three digits where that keeps the signal in the name.
func written(t *sequence.Term, width int) (text term, whole bool) {
	if t.Op == "" {
		return term{name: cutName(t.Text, width)}, page.Width(t.Text) <= width
	}
	name, short := nameOf(t), rounded(t, 4)
	bare := withoutUnits(short)
	ways := []term{{name, comparison(t)}, {name, comparison(short)}, {name, bare}, {tight(name), bare}, {tight(name), tight(bare)}}
	if !startsWithNumber(t.Left) { // of two words the live one
		ways = append(ways, term{name, t.Left})
	}
	for _, text := range ways {
		if text.width() <= width {
			return text, true
		}
	}
	text = term{values: tight(bare)}
	if page.Width(signalOf(name))+1+page.Width(text.values) > width {
		text.values = leastValues(t)
	}
	text.name = cutName(tight(name), width-page.Width(text.values)-1)
	return text, false
}

// leastValues are the values of a comparison in as little room as they take.
func leastValues(t *sequence.Term) string { return tight(withoutUnits(rounded(t, 3))) }

// lacking is how many cells a width has too few for the signal in the term that is shown of a condition.
func lacking(terms []sequence.Term, width int) int {
	shown, _ := missing(terms)
	if shown == nil {
		return 0
	}
	if _, whole := written(shown, width); whole {
		return 0
	}
	least := term{name: signalOf(shown.Text)}
	if shown.Op != "" {
		least = term{signalOf(nameOf(shown)), leastValues(shown)}
	}
	return max(0, least.width()-width)
}

// signalOf is the signal in an expression, with the sign of what is cut if it is a part of it: a bare name would say that
// the value beside it is that of the signal.
func signalOf(expression string) string {
	if _, name := signalIn(expression); name != expression {
		return "…" + name
	}
	return expression
}

// tight leaves out the blanks beside the signs of an expression.
func tight(expression string) string {
	for _, sign := range []string{"+", "-", "*", "/", "<=", ">=", "<", ">", "==", "!="} {
		expression = strings.ReplaceAll(expression, " "+sign+" ", sign)
	}
	return expression
}

// cutName cuts an expression to a width, so that the name of a signal in it stays: the first input of the sequence, else
// the first name. The sign of what is cut shows that the name is a part of an expression. Of a name that would not be
// known by what is left, nothing is kept.
func cutName(expression string, width int) string {
	const known = 3 // letters
	at, name := signalIn(expression)
	whole, part := expression[at:], signalOf(expression)
	switch {
	case page.Width(expression) <= width:
		return expression
	case at+page.Width(name) < width, at == 0 && width > known:
		return page.Cut(expression, width)
	case page.Width(part)+1 <= width:
		return page.Cut("…"+whole, width)
	case width > known+1:
		return page.Cut(part, width)
	}
	return ""
}

// signalIn is the first input in an expression, and where it begins; without one, the first name.
func signalIn(expression string) (at int, name string) {
	first, firstAt := "", 0
	for from := 0; from < len(expression); {
		word := strings.FieldsFunc(expression[from:], outsideNames)
		if len(word) == 0 {
			break
		}
		from += strings.Index(expression[from:], word[0])
		if isInput(word[0]) {
			return from, word[0]
		}
		if from += len(word[0]); first == "" && !strings.HasPrefix(expression[from:], "(") {
			first, firstAt = word[0], from-len(word[0])
		}
	}
	return firstAt, first
}

func isInput(name string) bool {
	return slices.ContainsFunc(sequence.InputSignals(), func(s sequence.Signal) bool { return s.Name == name })
}

// rounded is a term with its live value in so many digits and its limit in four. Both have more where the value would be
// on the other side of the limit, or at it.
func rounded(t *sequence.Term, digits int) *sequence.Term {
	const ofLimit = 4
	for ; digits <= ofLimit; digits++ {
		short := *t
		short.Left, short.Right = inDigits(t.Left, digits), inDigits(t.Right, ofLimit)
		if cmp.Compare(number(short.Left), number(short.Right)) == cmp.Compare(number(t.Left), number(t.Right)) {
			return &short
		}
	}
	return t
}

// number is the number in front of a unit, NaN for a word.
func number(text string) float64 {
	text, _, _ = strings.Cut(text, " ")
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}

// inDigits shortens a number in front of a unit; all else is as it was.
func inDigits(text string, digits int) string {
	x := number(text)
	if math.IsNaN(x) {
		return text
	}
	_, unit, _ := strings.Cut(text, " ")
	return strings.TrimSpace(page.Digits(x, digits) + " " + unit)
}

// withoutUnits writes both sides of a comparison as numbers alone.
func withoutUnits(t *sequence.Term) string {
	if !startsWithNumber(t.Left) {
		return comparison(t)
	}
	left, _, _ := strings.Cut(t.Left, " ")
	right, _, _ := strings.Cut(t.Right, " ")
	return left + " " + t.Op + " " + right
}

func startsWithNumber(text string) bool { return !math.IsNaN(number(text)) }

// comparison writes both sides, the unit once if they share it.
func comparison(t *sequence.Term) string {
	value, unit, _ := strings.Cut(t.Left, " ")
	if unit != "" && strings.HasSuffix(t.Right, " "+unit) {
		return value + " " + t.Op + " " + t.Right
	}
	return t.Left + " " + t.Op + " " + t.Right
}
