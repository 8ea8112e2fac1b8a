package scenarios

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/plant/problem"
)

// kindOf is a document's kind by its keys at the margin; a binding is a sequence. A scenario names its rig and its
// sequence, and a rig can hold values of a sequence, so that scenario counts first and
// sequence last.
func kindOf(text []byte) (Kind, bool) {
	line, kind := kindLine(text)
	return kind, line > 0
}

// kindLine is the line of the key that says the kind, 0 if there is none.
func kindLine(text []byte) (int, Kind) {
	lines := map[Kind]int{}
	n := 0
	for line := range strings.Lines(string(text)) {
		n++
		key, _, found := strings.Cut(line, ":")
		if key == bindingKey {
			key = string(SequenceKind) // of another sort
		}
		if found && slices.Contains(Kinds(), Kind(key)) && lines[Kind(key)] == 0 {
			lines[Kind(key)] = n
		}
	}
	for _, kind := range []Kind{ScenarioKind, RigKind, SequenceKind} {
		if lines[kind] > 0 {
			return lines[kind], kind
		}
	}
	return 0, ""
}

// refuseKind refuses a document of another kind, once, in place of all its keys.
func refuseKind(want Kind, name string, text []byte) error {
	line, is := kindLine(text)
	if line == 0 || is == want {
		return nil
	}
	return problem.List{{File: name, Line: line, Column: 1, Message: wrongKind(want, is)}}
}

// refuseBuiltin does the same for the name of a built-in document.
func refuseBuiltin(want Kind, name string) error {
	for _, kind := range Kinds() {
		if kind != want && slices.Contains(Names(kind), name) {
			return fmt.Errorf("%s: %s", name, wrongKind(want, kind))
		}
	}
	return nil
}

// wrongKind says what a document is, and where one of its kind goes.
func wrongKind(want, is Kind) string {
	if is == ScenarioKind {
		return fmt.Sprintf("this is a scenario; must be a %s", want)
	}
	return fmt.Sprintf("this is a %s: use --%s; must be a %s here", is, is, want)
}
