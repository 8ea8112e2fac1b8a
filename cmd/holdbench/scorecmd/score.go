// Package scorecmd has the command score: what the players of riddles mix up.
package scorecmd

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim/training"
)

// New is the command score.
func New(a *command.App) *cobra.Command {
	var asJSON, ascii bool
	c := &cobra.Command{
		Use:   "score FOLDER|FILE…",
		Short: "Show what the players of riddles mix up",
		Long: page.Prose(`Reads the results of riddles, one JSON object a line, as the bench keeps them (holdbench --results FILE --player
NAME; without --results in riddles.jsonl in the folder holdbench of XDG_STATE_HOME or ~/.local/state); of a folder all files that end in .jsonl. For each cause it prints how often it was found, what it was taken for,
how often the remedy was right, and the means of the points and of the looks that were used; the cause that was found least often comes first.`,
			`Of several answers of one player to the same riddle the first one counts, as the truth is shown with it. Answers
without the name of a player all count.`),
		Example: `  holdbench score class
  holdbench score ada.jsonl ben.jsonl
  holdbench score class --json`,
		Args:              command.SomeArguments("FOLDER or FILE"),
		ValidArgsFunction: command.CompleteFiles("jsonl"),
		RunE: func(_ *cobra.Command, args []string) error {
			list, err := read(args)
			if err != nil {
				return err
			}
			tally := training.NewTally(list)
			return a.Printed(func(w io.Writer) error {
				if asJSON {
					return files.WriteJSON(w, objectOf(&tally))
				}
				v := &sheet{page.NewSheet(a.Screen(ascii))}
				_, err := io.WriteString(w, v.text(&tally))
				return err
			})
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON object on one line")
	c.Flags().BoolVar(&ascii, "ascii", false, "draw with ASCII characters")
	a.AddReach(c)
	return c
}

// sheet is the page of a tally.
type sheet struct{ page.Sheet }

func (v *sheet) text(t *training.Tally) string {
	head := fmt.Sprintf("%s of %s, %.1f of %d points in the mean", page.Count(t.Answers, "answer", "answers"),
		page.Count(t.Players, "player", "players"), t.Points, training.MaxPoints)
	if t.Repeated > 0 {
		head += fmt.Sprintf("; %s to a riddle whose truth the player had seen do not count", page.Count(t.Repeated, "answer", "answers"))
	}
	v.Prose(head)
	v.Section("causes")
	table := page.Table{Head: []string{"cause", "found", "remedy", "points", "looks", "taken for"}}
	for i := range t.Faults {
		f := &t.Faults[i]
		table.Add(page.CleanLine(f.Fault), fmt.Sprintf("%d of %d", f.Right, f.Answers), fmt.Sprintf("%d of %d", f.Remedies, f.Answers),
			fmt.Sprintf("%.1f", f.Points), fmt.Sprintf("%.1f", f.Looks), takenFor(f))
	}
	v.Put(table.Text(v.Screen, ""))
	return v.String()
}

// takenFor lists the wrong causes that were named, the most frequent first.
func takenFor(f *training.FaultTally) string {
	var list []string
	for _, c := range f.TakenFor {
		list = append(list, fmt.Sprintf("%s (%d)", page.CleanLine(c.Cause), c.Times))
	}
	return strings.Join(list, ", ")
}
