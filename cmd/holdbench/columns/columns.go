// Package columns writes tables a row at a time, in memory that does not grow with them.
package columns

import (
	"fmt"
)

// Kind is what a column holds.
type Kind int

// The kinds.
const (
	Number  Kind = iota // a float64; NaN is no value
	Count               // an int64
	Word                // a string
	Boolean             // a bool
)

func (k Kind) String() string {
	switch k {
	case Number:
		return "a number"
	case Count:
		return "a count"
	case Boolean:
		return "true or false"
	}
	return "a word"
}

// Column is one column of a table.
type Column struct {
	Name string
	Kind Kind
}

// Writer takes the rows of a table: a float64, an int64, a string or a bool for each column.
type Writer interface {
	Row(values ...any) error
	Close() error
}

// check refuses a row that does not fit its table.
func check(columns []Column, values []any) error {
	if len(values) != len(columns) {
		return fmt.Errorf("a row of %d values for %d columns", len(values), len(columns))
	}
	for i, c := range columns {
		kind := Kind(-1)
		switch values[i].(type) {
		case float64:
			kind = Number
		case int64:
			kind = Count
		case string:
			kind = Word
		case bool:
			kind = Boolean
		}
		if kind != c.Kind {
			return fmt.Errorf("column %s holds %T; must hold %s", c.Name, values[i], c.Kind)
		}
	}
	return nil
}
