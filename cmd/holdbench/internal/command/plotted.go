package command

import (
	"io"

	"holdbench/cmd/holdbench/internal/files"
)

// Plotted is what a command shows of a result: a plot in a file and a page, or an object in place of the page.
type Plotted[T any] struct {
	Plot files.Output[T] // without a path there is none
	JSON bool
	// Object is what --json prints, Text the page.
	Object func() any
	Text   func() string
}

// ShowPlotted writes the plot, then page or object, unless the plot went to standard output.
func ShowPlotted[T any](a *App, result T, p *Plotted[T]) error {
	outputs, err := files.OpenOutputs(a.Stdout, p.Plot)
	if err != nil {
		return err
	}
	if err := outputs.Write(result); err != nil || files.IsStdout(p.Plot.Path) {
		return err
	}
	return a.Printed(func(w io.Writer) error {
		if p.JSON {
			return files.WriteJSON(w, p.Object())
		}
		_, err := io.WriteString(w, p.Text())
		return err
	})
}
