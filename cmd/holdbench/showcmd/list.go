package showcmd

import (
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sequence"
)

// listing is one kind that can be listed. Rows are printed as JSON without change.
type listing struct {
	kind, about string
	head        []string
	rows        func() []listRow
}

// listRow is one row of a listing. What is empty is left out of JSON.
type listRow struct {
	Name     string   `json:"name"`
	Group    string   `json:"group,omitempty"`
	Title    string   `json:"title,omitempty"`
	Teaches  string   `json:"teaches,omitempty"`
	Remedy   string   `json:"remedy,omitempty"`
	Rig      string   `json:"rig,omitempty"`
	Sequence string   `json:"sequence,omitempty"`
	Class    string   `json:"class,omitempty"`
	Kind     string   `json:"kind,omitempty"`
	Unit     string   `json:"unit,omitempty"`
	Range    string   `json:"range,omitempty"`
	Words    []string `json:"words,omitempty"`
	Count    int      `json:"count,omitempty"`
	Note     string   `json:"note,omitempty"`
	Detected string   `json:"detected_by,omitempty"`
	Moment   string   `json:"moment,omitempty"`
}

// The headings of columns with numbers: of a kind, and of the stops of a lesson.
const (
	howMany   = "number"
	stopCount = "stops"
)

// moment is the heading for the moments at which a fault can occur, where there is room for it.
const (
	moment = "moment"
	roomy  = 110
)

// NewList is the command list.
func NewList(a *command.App) *cobra.Command {
	var asJSON, long bool
	c := &cobra.Command{
		Use:   "list [KIND]",
		Short: "List what is built in, and the terms of documents",
		Long:  page.Prose("Lists one kind: " + strings.Join(listKinds(), ", ") + ". Values are listed as settings. Without KIND, it lists the kinds and their numbers."),
		Example: `  holdbench list
  holdbench list scenarios --long
  holdbench list faults
  holdbench list signals
  holdbench list settings --json`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return command.WrongUse(c, "list takes one KIND; found %d: %s", len(args), strings.Join(args, " "))
			}
			return nil
		},
		ValidArgsFunction: command.FirstOnly(cobra.FixedCompletions(listKinds(), cobra.ShellCompDirectiveNoFileComp)),
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON array")
	c.Flags().BoolVar(&long, "long", false, "scenarios with their lessons")
	c.RunE = func(c *cobra.Command, args []string) error {
		one, err := listingNamed(c, args)
		if err != nil {
			return err
		}
		return a.Printed(func(w io.Writer) error {
			rows, err := command.Interruptible(c.Context(), "reading documents", func() ([]listRow, error) { return one.rows(), nil })
			switch {
			case err != nil:
				return err
			case asJSON:
				return files.WriteJSON(w, rows)
			}
			_, err = io.WriteString(w, one.text(rows, a.Screen(false), long))
			return err
		})
	}
	return c
}

func listKinds() []string {
	var kinds []string
	for _, l := range listings() {
		kinds = append(kinds, l.kind)
	}
	return kinds
}

// listingNamed finds a kind; without one it is the overview of all kinds.
func listingNamed(c *cobra.Command, args []string) (listing, error) {
	if len(args) == 0 {
		return overview(), nil
	}
	kind := args[0]
	if kind == "values" {
		kind = "settings" // what documents and people call them
	}
	for _, l := range listings() {
		if l.kind == kind {
			return l, nil
		}
	}
	return listing{}, command.WrongUse(c, "there is no list of %q; %s", args[0], sequence.Suggest(args[0], listKinds()))
}

// text lays a listing out for people, one part a group where there are groups.
func (l listing) text(rows []listRow, s *page.Screen, long bool) string {
	var b strings.Builder
	group := ""
	t := &page.Table{Head: l.head}
	flush := func() {
		if len(t.Rows) > 0 {
			b.WriteString(t.Text(s, margin(group)))
		}
		t = &page.Table{}
	}
	widest := 0
	for _, r := range rows {
		widest = max(widest, page.Cells(r.Name))
	}
	if l.kind == "faults" && s.Width >= roomy {
		l.head = []string{"name", moment, "range", "note"}
		t.Head = l.head
	}
	for _, r := range rows {
		if r.Group != group {
			flush()
			if group != "" {
				b.WriteString("\n")
			}
			group = r.Group
			b.WriteString(s.Style.Strong.Render(page.CleanLine(group)) + "\n")
		}
		t.Add(l.cells(r, widest)...)
		if long && r.Teaches != "" {
			t.Add(page.Pad("", widest), page.Clean(r.Teaches))
		}
	}
	flush()
	return b.String()
}

func margin(group string) string {
	if group == "" {
		return ""
	}
	return "  "
}

// cells are the columns that the heading promises.
func (l listing) cells(r listRow, widest int) []string {
	list := []string{page.Pad(page.CleanLine(r.Name), widest)}
	for _, column := range l.head[1:] {
		switch column {
		case "unit":
			list = append(list, orDash(r.Unit))
		case howMany, stopCount:
			list = append(list, strconv.Itoa(r.Count))
		case "kind":
			list = append(list, r.Kind)
		case "range":
			list = append(list, shortRange(&r))
		case moment:
			list = append(list, r.Moment)
		case "title":
			list = append(list, page.CleanLine(r.Title))
		default:
			list = append(list, page.CleanLine(r.Note))
		}
	}
	return list
}

// shortRange is a range for a column. Many words are left to the note.
func shortRange(r *listRow) string {
	const most = 30
	switch {
	case r.Moment != "":
		return strings.TrimSpace(r.Range + " " + r.Unit)
	case page.Cells(r.Range) <= most:
		return strings.TrimSuffix(r.Range, " "+r.Unit) // which has a column of its own
	}
	r.Note += ": " + r.Range
	return "a word"
}

func orDash(text string) string {
	if text == "" {
		return "-"
	}
	return text
}

// ListJSON is what list --json prints, for its schema.
func ListJSON() any { return []listRow{} }
