package columns

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"holdbench/sim/csvcell"
)

type csvTable struct {
	out     *csv.Writer
	columns []Column
	row     []string
}

// CSV begins a table with a line of names (RFC 4180). No value is an empty field, and no text is
// a formula.
func CSV(w io.Writer, columns []Column) (Writer, error) {
	t := &csvTable{out: csv.NewWriter(w), columns: columns, row: make([]string, len(columns))}
	for i, c := range columns {
		t.row[i] = csvcell.Text(c.Name)
	}
	return t, t.out.Write(t.row)
}

func (t *csvTable) Row(values ...any) error {
	if err := check(t.columns, values); err != nil {
		return err
	}
	for i, v := range values {
		t.row[i] = field(v)
	}
	return t.out.Write(t.row)
}

func field(v any) string {
	switch v := v.(type) {
	case float64:
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	case int64:
		return strconv.FormatInt(v, 10)
	case string:
		return csvcell.Text(v)
	case bool:
		return strconv.FormatBool(v)
	}
	return ""
}

func (t *csvTable) Close() error {
	t.out.Flush()
	return t.out.Error()
}
