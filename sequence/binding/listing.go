package binding

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// mostLines bounds how much of a program is shown for one state.
const mostLines = 80

// Listing is the branch of the CASE that runs in the present state; with flags, the lines that name
// the flag that is set.
func (c *Controller) Listing() []sequence.Line {
	l := c.logic
	numbers := l.linesOf(c.instance)
	text := strings.Split(l.program.Text, "\n")
	var lines []sequence.Line
	for _, n := range numbers[:min(len(numbers), mostLines)] {
		if n < 1 || n > len(text) {
			continue
		}
		line := strings.TrimRight(text[n-1], "\r")
		lines = append(lines, sequence.Line{Number: n, Text: strings.ReplaceAll(line, "\t", "    "), Values: l.values(c.instance, line)})
	}
	return lines
}

// linesOf are the numbers of the lines that run in the present state.
func (l *Logic) linesOf(m *st.Machine) []int {
	if l.state.flags != nil {
		return l.flagLines(m)
	}
	var numbers []int
	now := whole(m, l.state.handle, l.state.kind)
	for _, c := range l.program.Cases(l.block, l.state.handle) {
		k := c.Branch(now)
		if k < 0 || len(c.Branches[k].Labels) == 0 {
			continue // what ELSE does is not of this state
		}
		for n := c.Branches[k].First.Line; n <= c.Branches[k].Last.Line; n++ {
			numbers = append(numbers, n)
		}
	}
	return numbers
}

// flagLines are the lines behind the declarations that name the flag of the present state.
func (l *Logic) flagLines(m *st.Machine) []int {
	i := slices.IndexFunc(l.state.flags, func(f stateFlag) bool { return m.Bool(f.handle) })
	if i < 0 {
		return nil
	}
	name := l.state.flags[i].handle.Path()
	last := 0
	for _, v := range l.block.Variables {
		last = max(last, v.Line)
	}
	var numbers []int
	n := 0
	for line := range strings.Lines(l.program.Text) {
		n++
		named := func(of string) bool { return strings.EqualFold(of, name) }
		if n > last && slices.ContainsFunc(namesIn(line), named) {
			numbers = append(numbers, n)
		}
	}
	return numbers
}

// values are the variables in a line with what they are now, each once.
func (l *Logic) values(m *st.Machine, line string) []string {
	var list []string
	for _, name := range namesIn(line) {
		ref, err := l.program.Find(l.block, name)
		if err != nil || ref.Type().Kind() > st.Enum || ref.Variable().Constant {
			continue
		}
		if text := ref.Path() + " = " + m.Format(ref); !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	return list
}

// namesIn are the names and paths in a line, comments left out.
func namesIn(line string) []string {
	line, _, _ = strings.Cut(line, "//")
	line = regexp.MustCompile(`\(\*.*?(\*\)|$)|'[^']*'`).ReplaceAllString(line, " ")
	return regexp.MustCompile(`[A-Za-z_]\w*(\[[0-9, ]+\]|\.[A-Za-z_]\w*)*`).FindAllString(line, -1)
}
