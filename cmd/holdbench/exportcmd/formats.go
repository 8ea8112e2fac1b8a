package exportcmd

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/sizing"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/export"
	"holdbench/sim/csvcell"
)

// format is one form in which a sequence can be written.
type format struct {
	name, note string
	write      func(*job) ([]output, error)

	program, groups, tables bool // which has states as numbers, groups of states, tables to choose from
}

func formats() []format {
	return []format{
		{name: "st", note: "a function block in Structured Text, IEC 61131-3", write: structuredText, program: true},
		{name: "binding", note: "the binding by which the bench runs that function block", write: bindingOnly, program: true},
		{name: "scxml", note: "a state chart in SCXML, W3C 2015", write: chart},
		{name: "svg", note: "a diagram of the states, drawn", write: drawn, groups: true},
		{name: "dot", note: "the same for Graphviz", write: graph, groups: true},
		{name: "mermaid", note: "the same for documents that draw Mermaid", write: mermaid, groups: true},
		{name: "table", note: "tables of transitions, states, signals, parameters, causes, effects", write: markdown, tables: true},
		{name: "csv", note: "one of these tables by --table, or matrix: inputs against all", write: commaSeparated, tables: true},
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
	o := export.STOptions{Heading: j.heading, Integers: j.flags.states == statesInt, Prefix: j.flags.prefix}
	if j.rig != nil {
		o.Scan = j.rig.Clock.FunctionalScan
	}
	return o
}

func bindingOnly(j *job) ([]output, error) {
	_, binding, err := export.StructuredText(j.program, j.program.About().Name+".st", j.options())
	return []output{{text: []byte(binding)}}, err
}

func drawn(j *job) ([]output, error) {
	text, err := export.SVG(j.ctx, j.program, j.heading, j.flags.group)
	return []output{{text: export.OnSheet(text)}}, err
}

func graph(j *job) ([]output, error) {
	text, err := export.DOT(j.program, j.heading, j.flags.group)
	return []output{{text: []byte(text)}}, err
}

func mermaid(j *job) ([]output, error) {
	text, err := export.Mermaid(j.program, j.heading, j.flags.group)
	return []output{{text: []byte(text)}}, err
}

func markdown(j *job) ([]output, error) {
	tables, err := j.tables()
	return []output{{text: []byte(export.Markdown(j.program, j.heading, tables))}}, err
}

// commaSeparated is one table; what the export says of itself would be read as a row, and is left out.
func commaSeparated(j *job) ([]output, error) {
	if j.flags.table == "" {
		return nil, fmt.Errorf("--table is missing; must be one of %s", strings.Join(tableNames(), ", "))
	}
	tables, err := []export.Table{export.Matrix(j.program)}, error(nil)
	if j.flags.table != export.MatrixName {
		tables, err = j.tables()
	}
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, row := range append([][]string{tables[0].Columns}, tables[0].Rows...) {
		err = errors.Join(err, w.Write(csvcell.Row(slices.Clone(row))))
	}
	w.Flush()
	return []output{{text: b.Bytes()}}, errors.Join(err, w.Error())
}

// tableNames are those of the tables and of the one that is too wide for a page.
func tableNames() []string { return append(export.TableNames(), export.MatrixName) }

// tables are all, or the one that is asked for. With a rig the sized values stand beside the present ones.
func (j *job) tables() ([]export.Table, error) {
	sized := map[string]string{}
	if j.rig != nil {
		params := command.SizingParams(j.program.About())
		result, err := sizing.Compute(j.rig, params, sizing.DefaultAssumptions(j.rig, params))
		if err != nil {
			return nil, fmt.Errorf("the rig cannot be sized: %w", err)
		}
		for _, s := range result.Settings {
			if name, ok := strings.CutPrefix(s.Key, "sequence."); ok && s.Origin == "" {
				sized[name] = s.Value
			}
		}
	}
	list := export.Tables(j.program, sized)
	if j.flags.table == "" {
		return list, nil
	}
	if j.flags.table == export.MatrixName {
		return nil, fmt.Errorf("the table %s is too wide for a page; must be written with --as csv", export.MatrixName)
	}
	i := slices.Index(export.TableNames(), j.flags.table)
	if i < 0 {
		return nil, fmt.Errorf("there is no table %q; %s", j.flags.table, sequence.Suggest(j.flags.table, tableNames()))
	}
	return list[i : i+1], nil
}

// chart is the sequence as SCXML.
func chart(j *job) ([]output, error) {
	return []output{{text: []byte(export.SCXML(j.program, j.heading))}}, nil
}
