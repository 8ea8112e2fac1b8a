package exportcmd

import (
	"cmp"
	"fmt"
	"path/filepath"
	"strings"

	"holdbench/scenarios"
	"holdbench/sequence/export"
)

// format is one form in which a sequence can be written.
type format struct {
	name, note string
	write      func(*job) ([]output, error)
}

func formats() []format {
	return []format{
		{"st", "a function block in Structured Text, IEC 61131-3", structuredText},
		{"binding", "the binding by which the bench runs that function block", bindingOnly},
	}
}

func formatNames() []string {
	var names []string
	for _, m := range formats() {
		names = append(names, m.name)
	}
	return names
}

// formatList is a line for each format.
func formatList() string {
	var b strings.Builder
	for _, m := range formats() {
		b.WriteString("  " + m.name + strings.Repeat(" ", 10-len(m.name)) + m.note + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

// structuredText is the program with its binding beside it.
func structuredText(j *job) ([]output, error) {
	file := cmp.Or(j.file, j.program.About().Name+".st")
	if !strings.EqualFold(filepath.Ext(file), ".st") {
		return nil, fmt.Errorf("--out is %s; the name of a program must end in .st", file)
	}
	program, binding, err := export.StructuredText(j.program, filepath.Base(file), j.options())
	return []output{{text: []byte(program)}, {scenarios.BindingBeside(file), []byte(binding)}}, err
}

func (j *job) options() export.STOptions {
	return export.STOptions{Heading: j.heading, Integers: j.flags.states == statesInt}
}

func bindingOnly(j *job) ([]output, error) {
	_, binding, err := export.StructuredText(j.program, j.program.About().Name+".st", j.options())
	return []output{{text: []byte(binding)}}, err
}
