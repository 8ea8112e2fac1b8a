// Package scorecmd has the command score: what the players of riddles mix up.
package scorecmd

import (
	"fmt"
	"io"
	"strconv"
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
how often the remedy was right, how often the riddle was aborted, and the means of the points and of the looks that were used; the cause that was
found least often comes first. The same stands below for each player, the one with the fewest points in the mean first.`,
			`Of several answers of one player to the same riddle the first one counts, as the truth is shown with it; "again" counts the
others. So an aborted riddle counts as an answer with 0 points. Answers
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
	v.Prose(headline(t))
	v.Section("causes")
	causes := page.Table{Head: []string{"cause", "found", "remedy", "aborted", "points", "looks", "taken for"}}
	for i := range t.Faults {
		f := &t.Faults[i]
		causes.Add(page.CleanLine(f.Fault), share(f.Right, f.Answers), share(f.Remedies, f.Answers), count(f.Aborted),
			mean(f.Points), mean(f.Looks), takenFor(f))
	}
	v.Put(causes.Text(v.Screen, ""))
	if len(t.ByPlayer) == 0 {
		return v.String()
	}
	v.Section("players")
	players := page.Table{Head: []string{"player", "found", "remedy", "aborted", "points", "looks", "again"}}
	for i := range t.ByPlayer {
		p := &t.ByPlayer[i]
		players.Add(page.CleanLine(p.Player), share(p.Right, p.Answers), share(p.Remedies, p.Answers), count(p.Aborted),
			mean(p.Points), mean(p.Looks), count(p.Repeated))
	}
	v.Put(players.Text(v.Screen, ""))
	return v.String()
}

// headline says how many answers there are, of whom, and which of them do not count.
func headline(t *training.Tally) string {
	head := page.Count(t.Answers, "answer", "answers")
	switch {
	case t.Players == 0:
		head += " without the name of a player"
	case t.Unnamed > 0:
		head += fmt.Sprintf(", %d of %s and %d without a name", t.Answers-t.Unnamed, page.Count(t.Players, "player", "players"), t.Unnamed)
	default:
		head += " of " + page.Count(t.Players, "player", "players")
	}
	head += fmt.Sprintf(", %s of %d points in the mean", mean(t.Points), training.MaxPoints)
	if t.Aborted > 0 {
		head += fmt.Sprintf("; %d aborted, with 0 points", t.Aborted)
	}
	if t.Repeated > 0 {
		head += "; " + page.Count(t.Repeated, "answer to a riddle whose truth the player had seen does not count",
			"answers to riddles whose truth the player had seen do not count")
	}
	return head
}

func share(part, whole int) string { return fmt.Sprintf("%d of %d", part, whole) }

func mean(value float64) string { return fmt.Sprintf("%.1f", value) }

// count is a number, or a dash for none.
func count(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}

// takenFor lists the wrong causes that were named, the most frequent first.
func takenFor(f *training.FaultTally) string {
	var list []string
	for _, c := range f.TakenFor {
		list = append(list, fmt.Sprintf("%s (%d)", page.CleanLine(c.Cause), c.Times))
	}
	return strings.Join(list, ", ")
}
