package command

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
)

// OutputFlags are the flags of all commands that name a file to be written. As with other programs, a file that
// is there is replaced, unless it is one that the command reads.
func OutputFlags() []string {
	return []string{"answers", "csv", "found", "html", "junit", "keep", "out", "output", "plot", "plot-alarms", "set-rig", "set-scenario", "table", "tests", "trace"}
}

// written is a file that a command writes.
type written struct{ flag, path string }

// noteOutputs notes the files that a command writes, and refuses those that its command line gives it to read, and one that it
// would write twice.
func (a *App) noteOutputs(c *cobra.Command, args []string) error {
	a.writes = nil
	read := slices.Clone(args)
	c.Flags().Visit(func(f *pflag.Flag) {
		switch list, several := f.Value.(pflag.SliceValue); {
		case !takesFile(f):
		case slices.Contains(OutputFlags(), f.Name):
			a.writes = append(a.writes, written{f.Name, f.Value.String()})
		case several:
			read = append(read, list.GetSlice()...)
		default:
			read = append(read, f.Value.String())
		}
	})
	if err := a.refuseTwice(); err != nil {
		return err
	}
	return a.refuseWritten(read)
}

// refuseTwice refuses one file for two outputs, of which the second would replace the first.
func (a *App) refuseTwice() error {
	for i, w := range a.writes {
		if files.IsStdout(w.path) || files.IsDevice(w.path) {
			continue
		}
		for _, before := range a.writes[:i] {
			if files.SameFile(w.path, before.path) {
				return fmt.Errorf("--%s %s is the file of --%s, too; must be another one", w.flag, page.CleanLine(w.path), before.flag)
			}
		}
	}
	return nil
}

// takesFile is whether the value of a flag is a file.
func takesFile(f *pflag.Flag) bool {
	name, _ := pflag.UnquoteUsage(f)
	return strings.Contains(name, "FILE")
}

// RefuseRead refuses to write a file that a case is read from: a document that a scenario names is not on the
// command line.
func (a *App) RefuseRead(sources []sim.Document) error {
	var read []string
	for _, d := range sources {
		read = append(read, d.File)
	}
	return a.refuseWritten(read)
}

func (a *App) refuseWritten(read []string) error {
	for _, w := range a.writes {
		for _, path := range read {
			if files.SameFile(w.path, path) {
				return fmt.Errorf("--%s %s is a file that is read, too; must be another one", w.flag, page.CleanLine(w.path))
			}
		}
	}
	return nil
}
