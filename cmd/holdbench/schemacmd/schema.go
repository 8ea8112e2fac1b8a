// Package schemacmd has the command schema: JSON Schemas of documents and of JSON outputs.
package schemacmd

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/scenarios/schema"
	"holdbench/sequence"
	"holdbench/sim/remote"
)

// Output is JSON that a command prints: one value, or the kinds of its lines.
type Output struct {
	Name, About string
	Lines       []any
}

// kind is what has a schema.
type kind struct {
	name, about string
	make        func() ([]byte, error)
}

// kinds lists documents first, then outputs.
func kinds(outputs []Output) []kind {
	var list []kind
	for _, d := range schema.Documents() {
		list = append(list, kind{d.Name, d.About, func() ([]byte, error) { return schema.JSON(d.Name) }})
	}
	for _, o := range outputs {
		list = append(list, kind{o.Name, o.About, func() ([]byte, error) { return schema.Output(o.Name, o.About, o.Lines...) }})
	}
	return append(list, kind{"protocol", "the lines between the bench and a controller outside the program", remote.Schema})
}

type flags struct {
	out       string
	overwrite bool
}

// New is the command schema. Outputs are those of the commands that print JSON.
func New(a *command.App, outputs []Output) *cobra.Command {
	f := &flags{}
	all := kinds(outputs)
	var names []string
	for _, k := range all {
		names = append(names, k.name)
	}
	c := &cobra.Command{
		Use:   "schema [KIND]",
		Short: "Print the JSON Schema of a document or of a JSON output",
		Long: page.Prose(`Prints a JSON Schema (draft 2020-12), made from the tables by which holdbench reads documents and writes JSON.
With it an editor completes keys, shows their meaning and marks what is wrong. Without KIND it lists the kinds.`,
			`A schema knows keys, types, words and ranges. It does not know relations between values and names that other
documents define: holdbench vet checks these. It is stricter than the reader with an empty text for a word, where
the key can be left out, and with numbers in spellings other than decimal.`),
		Example: `  holdbench schema
  holdbench schema sequence --out sequence.schema.json
  holdbench schema run`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return command.WrongUse(c, "schema takes one KIND; found %d: %s", len(args), strings.Join(args, " "))
			}
			return nil
		},
		ValidArgsFunction: command.FirstOnly(cobra.FixedCompletions(names, cobra.ShellCompDirectiveNoFileComp)),
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			if f.out != "" {
				return command.WrongUse(c, "--out needs the KIND of a schema")
			}
			return list(a, all)
		}
		for _, k := range all {
			if k.name == args[0] {
				return write(a, k, f)
			}
		}
		return command.WrongUse(c, "there is no schema of %q; %s", args[0], sequence.Suggest(args[0], names))
	}
	c.Flags().StringVarP(&f.out, "out", "o", "", "write to `FILE`; - is stdout")
	c.Flags().BoolVar(&f.overwrite, "overwrite", false, "replace a file that is there")
	command.Complete(c, "out", command.CompleteFiles("json"))
	return c
}

func list(a *command.App, all []kind) error {
	t := page.Table{Head: []string{"kind", "schema of"}}
	for _, k := range all {
		t.Add(k.name, k.about)
	}
	return a.Printed(func(w io.Writer) error {
		_, err := io.WriteString(w, t.Text(a.Screen(false), ""))
		return err
	})
}

func write(a *command.App, k kind, f *flags) error {
	text, err := k.make()
	if err != nil {
		return err
	}
	if f.out != "" && f.out != "-" {
		if err := scenarios.Save(f.out, text, f.overwrite); err != nil {
			return err
		}
		text = []byte("wrote " + page.CleanLine(f.out) + "\n")
	}
	return a.Printed(func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
