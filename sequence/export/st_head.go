package export

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// head writes what the program is, and its interface as a table.
func (w *stWriter) head() {
	about := w.program.About()
	w.line(0, "(*")
	for _, line := range w.options.Heading.lines(w.own.block + ": the sequence " + about.Name + ", " + about.Note) {
		w.line(1, "%s", commentText(line))
	}
	for _, line := range w.explained() {
		w.line(1, "%s", commentText(line))
	}
	for _, line := range w.answers() {
		w.line(1, "%s", commentText(line))
	}
	for _, t := range []struct {
		title string
		list  []declared
	}{{"Inputs", w.inputTable()}, {"Parameters", w.paramTable()}, {"Outputs", w.outputTable()}} {
		w.line(0, "")
		w.line(1, "%s", t.title)
		for _, d := range t.list {
			w.line(2, "%s", strings.TrimRight(commentText(fmt.Sprintf("%-34s %-26s %-10s %s", d.name, d.typ, d.unit, d.note)), " "))
		}
	}
	w.line(0, "*)")
	w.line(0, "")
}

// explained says how the program works, and what it asks of the controller.
func (w *stWriter) explained() []string {
	list := []string{
		"",
		"The block is called once in every scan of a cyclic task, with a fixed time between two scans: " + w.own.scanS + " must be that time.",
		"Positive torque and current raise the load. What a state does not command stays as the state before left it.",
		"At most one way is taken in a scan; the state that it leads to commands in the same scan.",
		"It needs BOOL, DINT, LINT, LREAL, STRING, arrays and structures. What is measured is LREAL, as on the",
		"bench; with REAL in its place it is another program, which has to be tried again.",
		"",
		"FALSE and 0 are the safe values of its outputs: brake closed, operation not allowed, drive off. Which values they",
		"have when the controller stops or a link is lost is a matter of wiring and set-up, and has to be checked there.",
		"The instance must not be retained: when power comes, the test begins in " + w.states.value(w.program.States()[w.program.About().PowerUp].Name) + " with the initial values.",
	}
	if _, computed := parametersInOrder(w.program); len(computed) > 0 {
		list = append(list,
			"A parameter that is computed from others does not follow them by itself: "+w.own.values+" computes them, or a new",
			"export does.")
	}
	divisors := slices.Clone(w.divisors)
	if w.needs.least {
		divisors = append(divisors, w.own.scanS)
	}
	if len(divisors) > 0 {
		list = append(list, "It divides by "+strings.Join(divisors, "; by ")+": must not be 0, with which some controllers stop and others go on with a wrong value.")
	}
	list = append(list,
		"Every name that a project shares begins with "+w.prefix+", in values with "+strings.ToUpper(w.prefix)+": exports with different prefixes fit in",
		"one project. A second axis with the same sequence is a second instance with its own parameters.")
	return append(list, w.renamed()...)
}

// renamed lists what has another name here than in the document, and the numbers that stand for words.
func (w *stWriter) renamed() []string {
	list := []string{""}
	other := func(what, name, here string) {
		if name != here {
			list = append(list, fmt.Sprintf("%s %s of the document is %s here.", what, name, here))
		}
	}
	for _, v := range w.program.About().Params {
		other("The parameter", v.Name, w.params[v.Name])
	}
	for _, s := range w.program.About().Kept {
		other("The kept value", s.Name, w.kept[s.Name])
	}
	for _, s := range w.outputs {
		other("The output", s.Name, w.signals["output "+s.Name])
	}
	for _, e := range w.enumerations() {
		for i, word := range e.words {
			if e.values[i] != e.wanted[i] {
				other("The word", word, e.values[i])
			}
		}
	}
	if !w.options.Integers {
		return list
	}
	for _, e := range w.enumerations() {
		var numbers []string
		for i, v := range e.values {
			numbers = append(numbers, strconv.Itoa(i)+" "+v)
		}
		list = append(list, strings.Split("Numbers of "+e.name+": "+wrapped(numbers, ", ", ",\n  ", widest-8), "\n")...)
	}
	return list
}
