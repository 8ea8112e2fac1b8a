package columns

import (
	"io"
	"math"
	"reflect"
	"strconv"

	"github.com/parquet-go/parquet-go"
)

// rowsInGroup is how many rows are held before they are written as a group. Of each column of a group the writer keeps a
// kilobyte to the end of the file: fewer rows would take less at first and more of a long table.
const rowsInGroup = 1 << 14

type parquetTable struct {
	out     *parquet.GenericWriter[any]
	columns []Column
	held    int
	row     [1]parquet.Row // of the newest row, which the writer copies
}

// Parquet begins a table in the order of its columns. No value is a null.
func Parquet(w io.Writer, columns []Column) (Writer, error) {
	return &parquetTable{out: parquet.NewGenericWriter[any](w, schemaOf(columns)), columns: columns}, nil
}

// schemaOf makes the schema by a struct type: a group made of a map would sort its columns by
// name.
func schemaOf(columns []Column) *parquet.Schema {
	fields := make([]reflect.StructField, len(columns))
	for i, c := range columns {
		of := reflect.TypeFor[string]()
		tag := c.Name
		switch c.Kind {
		case Number:
			of, tag = reflect.TypeFor[*float64](), tag+",optional"
		case Count:
			of = reflect.TypeFor[int64]()
		case Boolean:
			of = reflect.TypeFor[bool]()
		}
		fields[i] = reflect.StructField{Name: "C" + strconv.Itoa(i), Type: of, Tag: reflect.StructTag(`parquet:"` + tag + `"`)}
	}
	return parquet.SchemaOf(reflect.New(reflect.StructOf(fields)).Interface())
}

func (t *parquetTable) Row(values ...any) error {
	if err := check(t.columns, values); err != nil {
		return err
	}
	row := t.row[0][:0]
	for i, v := range values {
		row = append(row, valueOf(v).Level(0, t.definition(v), i))
	}
	t.row[0] = row
	if _, err := t.out.WriteRows(t.row[:]); err != nil {
		return err
	}
	if t.held++; t.held < rowsInGroup {
		return nil
	}
	t.held = 0
	return t.out.Flush()
}

func valueOf(v any) parquet.Value {
	if x, ok := v.(float64); ok && math.IsNaN(x) {
		return parquet.NullValue()
	}
	return parquet.ValueOf(v)
}

// definition is 1 for an optional value that is there.
func (t *parquetTable) definition(v any) int {
	if x, ok := v.(float64); ok && !math.IsNaN(x) {
		return 1
	}
	return 0
}

func (t *parquetTable) Close() error { return t.out.Close() }
