package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"holdbench/sequence"
)

// Table is one table about a sequence.
type Table struct {
	Name, Title string
	Columns     []string
	Rows        [][]string
}

// TableNames are the names of the tables.
func TableNames() []string {
	return []string{"transitions", "states", "signals", "parameters", "causes", "inputs", "effects"}
}

// Tables are all tables about a sequence: its transitions and states, the signals and parameters that
// it reads, what each cause leads to, and where each input is looked at and what it leads to. Sized are the sized values of
// parameters by name, as they are written in a document, if there are such.
func Tables(p *sequence.Program, sized map[string]string) []Table {
	return []Table{transitionTable(p), stateTable(p), signalTable(p), parameterTable(p, sized), causeTable(p), inputTable(p), effectTable(p)}
}

func transitionTable(p *sequence.Program) Table {
	t := Table{Name: "transitions", Title: "Transitions by number: T, the state, and the place in which they are tried there; those from any state, T0, come first", Columns: []string{"number", "from", "to", "when", "for", "least time in state", "times", "cause"}}
	for k := range p.Any() {
		w := anyWay{}
		for _, s := range p.States() {
			if !s.Any[k] {
				w.except = append(w.except, s.Name)
			}
		}
		t.Rows = append(t.Rows, edgeRow(&p.Any()[k], numberOf(0, k), "any; "+w.from()))
	}
	for i, s := range p.States() {
		for k := range s.Edges {
			t.Rows = append(t.Rows, edgeRow(&s.Edges[k], numberOf(i+1, k), s.Name))
		}
	}
	return t
}

func edgeRow(e *sequence.Edge, number, from string) []string {
	when, times := "", ""
	if e.When != nil {
		when = strings.Join(strings.Fields(e.When.Text), " ")
	}
	if e.Times >= 0 {
		times = strconv.Itoa(e.Times)
	}
	return []string{number, from, e.To, when, e.For.Text, e.After.Text, times, e.Cause}
}

func stateTable(p *sequence.Program) Table {
	t := Table{Name: "states", Title: "States: what each keeps and commands when it is entered", Columns: []string{"number", "state", "part", "note", "keeps", "commands", "end"}}
	groups := groupsOf(p)
	for i := range p.States() {
		s := &p.States()[i]
		var keeps []string
		for _, k := range s.Keeps {
			keeps = append(keeps, k.Signal.Name+" = "+k.Expr.Text)
		}
		end := ""
		if s.End != sequence.EndNone {
			end = s.End.String()
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), s.Name, groups[i], s.Note, strings.Join(keeps, "; "), strings.Join(commands(s), "; "), end})
	}
	return t
}

func commands(s *sequence.DocumentState) []string {
	var list []string
	for _, a := range s.Sets {
		value := a.Word
		if a.Expr != nil {
			value = a.Expr.Text
		}
		if a.Signal.Words == nil && a.Expr == nil {
			value = strconv.Quote(value)
		}
		list = append(list, a.Signal.Name+" = "+value)
	}
	return list
}

func signalTable(p *sequence.Program) Table {
	t := Table{Name: "signals", Title: "Signals that the sequence reads and sets", Columns: []string{"signal", "direction", "kind", "unit", "words", "meaning"}}
	row := func(s sequence.Signal, direction string) {
		t.Rows = append(t.Rows, []string{s.Name, direction, s.Kind.String(), unitText(s.Unit), strings.Join(slices.DeleteFunc(slices.Clone(s.Words), func(w string) bool { return w == "" }), ", "), s.Note})
	}
	about := p.About()
	for _, s := range sequence.InputSignals() {
		if slices.Contains(about.Inputs, s.Name) {
			row(s, "input")
		}
	}
	for _, s := range sequence.OutputSignals() {
		if slices.Contains(about.Outputs, s.Name) {
			row(s, "output")
		}
	}
	for _, s := range about.Kept {
		s.Note = "kept by a state"
		row(s, "kept")
	}
	return t
}

func parameterTable(p *sequence.Program, sized map[string]string) Table {
	t := Table{Name: "parameters", Title: "Parameters of the engineering", Columns: []string{"parameter", "present", "sized", "unit", "from", "role", "meaning"}}
	about := p.About()
	for i := range about.Params {
		v := &about.Params[i]
		present, from, role := strconv.FormatFloat(v.Number, 'g', 6, 64), "", ""
		if v.Kind == sequence.KindBoolean {
			present = strconv.FormatBool(v.Boolean)
		}
		if derived(v) {
			from = v.Written()
		}
		for _, r := range sequence.RoleWords() {
			if about.Roles[r.Role] == v.Name {
				role = r.Role
			}
		}
		t.Rows = append(t.Rows, []string{v.Name, present, sized[v.Name], unitText(v.Unit), from, role, meaningOf(p, v)})
	}
	return t
}

// causeTable says of each cause where it is found, where it leads to and what is commanded there.
func causeTable(p *sequence.Program) Table {
	outputs := p.About().Outputs
	t := Table{Name: "causes", Title: "Causes and effects: what is commanded in the state that a cause leads to; what a state does not command stays", Columns: slices.Concat([]string{"cause", "found in", "leads to"}, outputs)}
	type pair struct{ cause, to string }
	var order []pair
	found := map[pair][]string{}
	see := func(e *sequence.Edge, in string) {
		k := pair{e.Cause, e.To}
		if e.Cause == "" {
			return
		}
		if found[k] == nil {
			order = append(order, k)
		}
		found[k] = append(found[k], in)
	}
	for k := range p.Any() {
		see(&p.Any()[k], "any state")
	}
	for _, s := range p.States() {
		for k := range s.Edges {
			see(&s.Edges[k], s.Name)
		}
	}
	slices.SortStableFunc(order, func(a, b pair) int { return strings.Compare(a.cause, b.cause) })
	for _, k := range order {
		row := []string{k.cause, strings.Join(slices.Compact(found[k]), ", "), k.to}
		s := p.States()[slices.IndexFunc(p.States(), func(s sequence.DocumentState) bool { return s.Name == k.to })]
		for _, o := range outputs {
			value, _ := commanded(&s, o)
			row = append(row, value)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// commanded is the value that a state gives an output; none if it leaves it as it was.
func commanded(s *sequence.DocumentState, output string) (value string, set bool) {
	for _, a := range s.Sets {
		if a.Signal.Name != output {
			continue
		}
		if a.Expr != nil {
			return a.Expr.Text, true
		}
		return a.Word, true
	}
	return "", false
}

// Markdown writes tables for a document.
func Markdown(p *sequence.Program, h Heading, tables []Table) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n\n", markdownText(p.About().Name))
	for _, line := range h.lines(p.About().Note) {
		if line != "" {
			b.WriteString(markdownText(line) + "  \n")
		}
	}
	for i := range tables {
		t := &tables[i]
		fmt.Fprintf(&b, "\n## %s\n\n", t.Title)
		markdownRow(&b, t.Columns)
		rule := make([]string, len(t.Columns))
		for k := range rule {
			rule[k] = "---"
		}
		b.WriteString("| " + strings.Join(rule, " | ") + " |\n")
		for _, row := range t.Rows {
			markdownRow(&b, row)
		}
	}
	return shown(b.String())
}

func markdownRow(b *strings.Builder, cells []string) {
	for _, c := range cells {
		b.WriteString("| " + markdownText(c) + " ")
	}
	b.WriteString("|\n")
}

// markdownText is text in which nothing is read as a mark.
func markdownText(text string) string {
	return strings.NewReplacer("|", `\|`, "<", "&lt;", ">", "&gt;", "*", `\*`, "`", "\\`", "\n", " ").Replace(text)
}
