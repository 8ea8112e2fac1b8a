package binding

import (
	"regexp"
	"slices"
	"strconv"
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
	text := l.text()
	var lines []sequence.Line
	for _, n := range numbers[:min(len(numbers), mostLines)] {
		if n < 1 || n > len(text) {
			continue
		}
		line := &text[n-1]
		lines = append(lines, sequence.Line{Number: n, Text: line.text, Comment: line.comment, Values: values(c.instance, line.named)})
	}
	return lines
}

// textLine is a line of the program with the variables that it names, each once.
type textLine struct {
	text    string // tabs expanded
	comment bool   // nothing but a comment or a blank
	named   []st.Ref
	names   []string
}

// readText reads the lines of the program for display.
func (l *Logic) readText() []textLine {
	var list []textLine
	within := ""
	for line := range strings.Lines(l.program.Text) {
		line = strings.TrimRight(line, "\r\n")
		var code string
		code, within = codeOf(line, within)
		names := namesIn(code)
		list = append(list, textLine{
			text: expandTabs(line), comment: strings.TrimSpace(code) == "", named: l.variables(names), names: names,
		})
	}
	return list
}

// codeOf is a line without comments and strings; within is the end of the comment in which it begins
// or ends, empty outside of one.
func codeOf(line, within string) (code, after string) {
	var b strings.Builder
	for line != "" {
		if within != "" {
			_, rest, ended := strings.Cut(line, within)
			if !ended {
				return b.String(), within
			}
			line, within = rest, ""
			continue
		}
		i := strings.IndexAny(line, "(/'")
		if i < 0 {
			i = len(line)
		}
		b.WriteString(line[:i])
		line = line[i:]
		switch {
		case strings.HasPrefix(line, "//"):
			line = ""
		case strings.HasPrefix(line, "(*"):
			within = "*)"
		case strings.HasPrefix(line, "/*"):
			within = "*/"
		case strings.HasPrefix(line, "'"):
			_, line, _ = strings.Cut(line[1:], "'")
			b.WriteByte('\'')
			continue
		case line != "":
			b.WriteByte(line[0])
			line = line[1:]
			continue
		}
		line = line[min(2, len(line)):]
	}
	return b.String(), within
}

// expandTabs replaces tabs by blanks up to the next fourth column.
func expandTabs(line string) string {
	const stop = 4
	if !strings.Contains(line, "\t") {
		return line
	}
	var b strings.Builder
	column := 0
	for _, r := range line {
		if r != '\t' {
			b.WriteRune(r)
			column++
			continue
		}
		n := stop - column%stop
		b.WriteString(strings.Repeat(" ", n))
		column += n
	}
	return b.String()
}

// linesOf are the numbers of the lines that run in the present state.
func (l *Logic) linesOf(m *st.Machine) []int {
	if l.state.flags != nil {
		return l.flagLines(m)
	}
	var numbers []int
	now := whole(m, l.state.handle, l.state.kind)
	for _, c := range l.cases() {
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
	for i, line := range l.text() {
		named := func(of string) bool { return strings.EqualFold(of, name) }
		if i+1 > last && slices.ContainsFunc(line.names, named) {
			numbers = append(numbers, i+1)
		}
	}
	return numbers
}

// variables are those of a line whose values can be shown, each once.
func (l *Logic) variables(names []string) []st.Ref {
	var list []st.Ref
	for _, name := range l.withBlocks(names) {
		ref, err := l.program.Find(l.block, name)
		if err != nil || ref.Type().Kind() > st.Enum || ref.Variable().Constant {
			continue
		}
		if !slices.ContainsFunc(list, func(r st.Ref) bool { return r.Path() == ref.Path() }) {
			list = append(list, ref)
		}
	}
	return list
}

// withBlocks are names with those of what a timer or a counter puts out, in place of the instance and
// beside its Q.
func (l *Logic) withBlocks(names []string) []string {
	var list []string
	for _, name := range names {
		instance, whole := name, true
		if end := len(name) - len(".Q"); end > 0 && strings.EqualFold(name[end:], ".Q") {
			instance, whole = name[:end], false
		}
		ref, err := l.program.Find(l.block, instance)
		if err != nil || ref.Type().Kind() != st.Instance {
			list = append(list, name)
			continue
		}
		if !whole {
			list = append(list, name)
		}
		list = append(list, instance+".Q", instance+".ET", instance+".CV") // those that it does not have are not found
	}
	return list
}

// values are variables with what they are now.
func values(m *st.Machine, list []st.Ref) []string {
	var texts []string
	for _, ref := range list {
		texts = append(texts, ref.Path()+" = "+shortValue(m, ref))
	}
	return texts
}

// shortValue is a value for people: a real number with four figures, others as the program writes them.
func shortValue(m *st.Machine, ref st.Ref) string {
	if k := ref.Type().Kind(); k == st.Real || k == st.Lreal {
		return strconv.FormatFloat(m.Real(ref), 'g', 4, 64)
	}
	return m.Format(ref)
}

// namesIn are the names and paths in a line without comments.
func namesIn(code string) []string {
	return regexp.MustCompile(`[A-Za-z_]\w*(\[[0-9, ]+\]|\.[A-Za-z_]\w*)*`).FindAllString(code, -1)
}
