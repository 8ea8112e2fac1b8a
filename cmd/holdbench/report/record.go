// Package report makes the validation record of a brake test: one page that needs nothing from
// outside, for a screen and for paper. Every text of a document goes through the template, which
// escapes it.
package report

import (
	_ "embed" // for the page
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"unicode"
)

//go:embed record.html
var recordTemplate string

//go:embed record.css
var recordStyle string

// Record is what the page shows, in its order.
type Record struct {
	Title, Machine, Author, Date string // as given; empty ones are lines to fill in
	Version                      string
	Identity                     Table // what was validated, at a glance
	Result                       Table
	Verdict                      Cell // of all test cases together
	Caution                      string
	Chapters                     []*Section
}

// Section is a part of the record.
type Section struct {
	ID, Number, Title string
	Notes             []string
	Tables            []Table
	Figures           []Figure
	Listings          []Listing
	Items             []Cell
	Cases             []*CasePage
	Parts             []*Section
}

// Table has a head that is repeated on every page of paper.
type Table struct {
	Caption string
	Mark    Cell // beside the caption
	Class   string
	Columns []Column
	Rows    [][]Cell
	Notes   []string
}

// Column is one of a table. Right is for numbers.
type Column struct {
	Name  string
	Right bool
}

// Cell is a text with a link, or several.
type Cell struct {
	ID    string // to link to; empty for none
	Text  string
	Tone  string // good, bad, warn, soft, sign; empty for none
	Link  string // within the page, without #
	Links []Link // behind the text
}

// Link leads to another place of the page.
type Link struct{ Text, To string }

// Figure is a drawing with what it shows.
type Figure struct {
	Caption string
	Drawing template.HTML
	Plate   bool // it has colours of its own, and needs white paper below
	Notes   []string
	Paper   template.HTML // that takes its place on paper, where it would be too small; empty for the same
}

// Listing is the text of a document.
type Listing struct{ Caption, Text string }

// CasePage is one test case.
type CasePage struct {
	ID, Number, Name, Title string
	Tone, Outcome           string // as expected or not
	Facts                   []Fact
	Limits                  Table
	Measured                []Column // to sign
	Figure                  Figure
	States, Events          string
}

// Fact is a line of what a case is.
type Fact struct {
	Name  string
	Value Cell
}

// Write writes the page.
func Write(w io.Writer, r *Record) error {
	t, err := template.New("record").Funcs(template.FuncMap{
		"style":  func() template.CSS { return template.CSS(recordStyle) }, //nolint:gosec // a file of ours
		"name":   breakable,
		"quoted": quoted,
	}).Parse(recordTemplate)
	if err != nil {
		return err
	}
	r.number()
	return t.Execute(w, r)
}

// breakable is a text whose names may be broken behind an underscore or a slash.
func breakable(text string) template.HTML {
	return template.HTML(strings.NewReplacer("_", "_<wbr>", "/", "/<wbr>").Replace(template.HTMLEscapeString(text))) //nolint:gosec // escaped
}

// quoted is a text in a style sheet: all but letters, digits and blanks by their numbers, each with the blank that ends it, so that nothing ends it.
func quoted(text string) template.CSS {
	var b strings.Builder
	for _, r := range text {
		if r == ' ' || r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			b.WriteRune(r)
			continue
		}
		fmt.Fprintf(&b, `\%x `, r)
	}
	return template.CSS(`"` + b.String() + `"`) //nolint:gosec // escaped
}

// number numbers the chapters and their parts.
func (r *Record) number() {
	for i, c := range r.Chapters {
		c.Number = strconv.Itoa(i + 1)
		for k, p := range c.Parts {
			p.Number = c.Number + "." + strconv.Itoa(k+1)
			if p.ID == "" {
				p.ID = "part-" + c.Number + "-" + strconv.Itoa(k+1)
			}
		}
	}
}

// plain are cells without a link.
func plain(texts ...string) []Cell {
	cells := make([]Cell, len(texts))
	for i, s := range texts {
		cells[i].Text = s
	}
	return cells
}

// heads are the columns of a table; a name that begins with > is of numbers.
func heads(names ...string) []Column {
	list := make([]Column, len(names))
	for i, n := range names {
		list[i].Name = n
		if n != "" && n[0] == '>' {
			list[i] = Column{n[1:], true}
		}
	}
	return list
}

// half is the class of a narrow table, which paper has in two columns.
func half(narrow bool) string {
	if narrow {
		return "half"
	}
	return ""
}

// add adds a row of texts.
func (t *Table) add(texts ...string) { t.Rows = append(t.Rows, plain(texts...)) }

// addCells adds a row.
func (t *Table) addCells(cells ...Cell) { t.Rows = append(t.Rows, cells) }
