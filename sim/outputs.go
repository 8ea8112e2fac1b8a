package sim

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// checkOutputs reports expectations of outputs that can never be met.
func checkOutputs(outputs map[string]map[string]string, states []string) problem.List {
	var found problem.List
	for _, state := range sortedKeys(outputs) {
		at := "expect.outputs" + quoted(state)
		switch {
		case !slices.Contains(states, state):
			found = append(found, problem.Problem{Path: at, Message: noState(state, states)})
			continue
		case len(outputs[state]) == 0:
			found = append(found, problem.Problem{Path: at, Message: "no output is named; must be outputs with their values, such as {brake: closed}"})
		}
		for _, name := range sortedKeys(outputs[state]) {
			if message := outputProblem(name, outputs[state][name]); message != "" {
				found = append(found, problem.Problem{Path: at + quoted(name), Message: message})
			}
		}
	}
	return found
}

func outputProblem(name, text string) string {
	signal, ok := sequence.FindOutput(name)
	if !ok {
		var names []string
		for _, s := range sequence.OutputSignals() {
			names = append(names, s.Name)
		}
		return fmt.Sprintf("there is no output %q%s", name, suggestion(name, names))
	}
	if err := signal.SetOutput(new(sequence.Outputs), text); err != nil {
		return err.Error()
	}
	return ""
}

// compareOutputs compares the outputs of the states that were entered with the expectations.
func compareOutputs(outputs map[string]map[string]string, visits []Visit) []Expectation {
	var list []Expectation
	for _, state := range sortedKeys(outputs) {
		x := Expectation{Name: "outputs", Want: state + " " + outputsText(outputs[state]), Got: state + " never entered"}
		if i := slices.IndexFunc(visits, func(v Visit) bool { return v.State == state && v.Set }); i >= 0 {
			got := outputsIn(&visits[i].Out, outputs[state])
			x.Met, x.Got = sameOutputs(outputs[state], got), state+" "+outputsText(got)
		}
		list = append(list, x)
	}
	return list
}

// outputsIn are the outputs of an image that are expected.
func outputsIn(out *sequence.Outputs, expected map[string]string) map[string]string {
	got := map[string]string{}
	for name := range expected {
		if s, ok := sequence.FindOutput(name); ok {
			got[name] = string(s.AppendOutput(nil, out))
		}
	}
	return got
}

// sameOutputs compares words as they are and numbers to a thousandth, as a document has
// rounded numbers.
func sameOutputs(want, got map[string]string) bool {
	for name, text := range want {
		if text == got[name] {
			continue
		}
		w, errWant := strconv.ParseFloat(text, 64)
		g, errGot := strconv.ParseFloat(got[name], 64)
		if errWant != nil || errGot != nil || math.Abs(w-g) > 1e-3*max(math.Abs(w), math.Abs(g)) {
			return false
		}
	}
	return true
}

func outputsText(set map[string]string) string {
	var parts []string
	for _, name := range sortedKeys(set) {
		text := set[name]
		if x, err := strconv.ParseFloat(text, 64); err == nil {
			text = strconv.FormatFloat(x, 'g', 4, 64)
		}
		parts = append(parts, name+" = "+textOr(text, "nothing", ""))
	}
	return strings.Join(parts, ", ")
}
