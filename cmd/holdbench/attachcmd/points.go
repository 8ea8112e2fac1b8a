package attachcmd

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/csvcell"
	"holdbench/sim/fieldbus"
)

// pointFormats are the ways to print the points of Modbus.
func pointFormats() []string { return []string{"text", "csv", "st"} }

// printPoints prints the points for the sequence of a scenario.
func printPoints(a *command.App, c *cobra.Command, reference string, f *flags) error {
	overrides, err := f.overrides.Read(c)
	if err != nil {
		return err
	}
	ready, err := a.LoadCase(reference, overrides)
	if err != nil {
		return err
	}
	points := fieldbus.Points(ready.Sequence)
	return a.Printed(func(w io.Writer) error {
		switch f.points {
		case "csv":
			return writePoints(w, points)
		case "st":
			_, err := io.WriteString(w, declarations(points, ready.Sequence.Name))
			return err
		}
		_, err := io.WriteString(w, pointsPage(a.Screen(f.ascii), points))
		return err
	})
}

// pointsPage is the table by areas.
func pointsPage(s *page.Screen, points []fieldbus.Point) string {
	v := page.NewSheet(s)
	v.Prose("Addresses count from 0. A real number (IEEE 754, 32 bits) takes two registers, the upper half first, and is written with one request. A register of words has the place of the word, from 0. The 0 of an output is its safe value: that of a controller without power, which all outputs have until the first one is written. The controller reads discrete inputs and input registers, and writes coils and holding registers.")
	for _, area := range []fieldbus.Area{fieldbus.DiscreteInputs, fieldbus.InputRegisters, fieldbus.Coils, fieldbus.HoldingRegisters} {
		v.Line()
		v.Line(area.String() + "s")
		t := page.Table{}
		for i := range points {
			if p := &points[i]; p.Area == area {
				t.Add(strconv.Itoa(int(p.Address)), p.Name, typeName(p), about(p))
			}
		}
		v.Put(t.Text(v.Screen, "  "))
	}
	return v.String()
}

func typeName(p *fieldbus.Point) string { return [...]string{"bit", "UINT", "REAL"}[p.Type] }

// about is unit, note and words of a point.
func about(p *fieldbus.Point) string {
	text := p.Note
	if p.Unit != "" {
		text += ", in " + p.Unit
	}
	if len(p.Words) > 0 {
		var words []string
		for i, w := range p.Words {
			words = append(words, fmt.Sprintf("%d %s", i, word(w)))
		}
		text += ": " + strings.Join(words, ", ")
	}
	return text
}

// word is a word of a signal; the empty one is none.
func word(w string) string {
	if w == "" {
		return "none"
	}
	return w
}

// writePoints writes the table as CSV.
func writePoints(w io.Writer, points []fieldbus.Point) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"area", "address", "registers", "name", "type", "unit", "words", "note"}}
	for i := range points {
		p := &points[i]
		rows = append(rows, []string{
			p.Area.String(), strconv.Itoa(int(p.Address)), strconv.Itoa(p.Type.Registers()), p.Name, typeName(p), p.Unit, strings.Join(words(p), " "), p.Note,
		})
	}
	for _, row := range rows {
		csvcell.Row(row)
	}
	if err := out.WriteAll(rows); err != nil {
		return fmt.Errorf("table of points: %w", err)
	}
	return nil
}

func words(p *fieldbus.Point) []string {
	var list []string
	for _, w := range p.Words {
		list = append(list, word(w))
	}
	return list
}

// declarations are those of a program in Structured Text, with the places in comments: how a variable is
// bound to a register differs between runtimes.
func declarations(points []fieldbus.Point, sequence string) string {
	var b strings.Builder
	_, _ = fmt.Fprintf(&b, "(* Points of Modbus for a controller in the place of sequence %s.\n   Addresses count from 0; a REAL takes two registers, the upper half first. The 0 of an output is its\n   safe value: drive off, brake closed, operation inhibited. *)\nPROGRAM Controller\n", sequence)
	b.WriteString("VAR_INPUT (* read by the controller *)\n" + declared(points, false) + "END_VAR\n")
	b.WriteString("VAR_OUTPUT (* written by the controller *)\n" + declared(points, true) + "END_VAR\n")
	b.WriteString("VAR CONSTANT (* words in registers; brake_closed is a signal, word_brake_closed a value of brake *)\n")
	for i := range points {
		p := &points[i]
		for place, w := range words(p) {
			_, _ = fmt.Fprintf(&b, "  word_%s_%s : UINT := %d;\n", p.Name, identifier(w), place)
		}
	}
	b.WriteString("END_VAR\nEND_PROGRAM\n")
	return b.String()
}

// declared are the points of one direction.
func declared(points []fieldbus.Point, fromController bool) string {
	var b strings.Builder
	for i := range points {
		if p := &points[i]; p.Area.FromController() == fromController {
			_, _ = fmt.Fprintf(&b, "  %s : %s; (* %s %d: %s *)\n", p.Name, strings.Replace(typeName(p), "bit", "BOOL", 1), p.Area, p.Address, noteOf(p))
		}
	}
	return b.String()
}

func noteOf(p *fieldbus.Point) string {
	if p.Unit == "" {
		return p.Note
	}
	return p.Note + ", in " + p.Unit
}

// identifier makes a name of a word.
func identifier(word string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, word)
}

// knownFormat refuses another format.
func knownFormat(c *cobra.Command, format string) error {
	if !slices.Contains(pointFormats(), format) {
		return command.WrongUse(c, "--points is %q; must be text, csv or st", format)
	}
	return nil
}
