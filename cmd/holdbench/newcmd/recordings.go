package newcmd

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

func newRecordings(a *command.App) *cobra.Command {
	return &cobra.Command{
		Use:   "recordings NAME",
		Short: "Write a folder with recordings of an invented axis",
		Long: page.Prose(`Writes a folder with recordings to learn with: the rig of an invented axis as its data sheets have it
(data-sheet.yaml), what was recorded to identify it (travel.csv, brake.csv), three brake tests (good.csv, tired.csv,
worn.csv) and twelve of half a year (months). The README goes from them to a rig, its test, their evaluation and its
record. The folder appears whole or not at all; one that is there is kept. holdbench help recordings says what to
record on an axis of your own.`),
		Example: `  holdbench new recordings crate-lift`,
		Args:    command.OneArgument("NAME"),
		RunE:    func(c *cobra.Command, args []string) error { return writeRecordings(a, c, args[0]) },
	}
}

func writeRecordings(a *command.App, c *cobra.Command, name string) error {
	if err := documentName(c, name); err != nil {
		return err
	}
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s exists already; choose another name", name)
	}
	hidden, err := os.MkdirTemp(".", "."+name+"-")
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	defer os.RemoveAll(hidden) //nolint:errcheck // what is left over is hidden
	folder := filepath.Join(hidden, name)
	if err := scenarios.SaveRecordings(folder); err != nil {
		return err
	}
	if err := os.Rename(folder, name); err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	return a.Printed(func(w io.Writer) error {
		_, err := fmt.Fprintf(w, "wrote %s with %d files\n", name, len(scenarios.RecordingFiles()))
		return err
	})
}
